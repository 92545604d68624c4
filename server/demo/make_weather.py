"""Write ``weather.csv`` again from the typical year it was taken from. Needed only when the columns change.

Fetch the wheel with the ordinary package client and hand it over::

    pip download --no-deps --only-binary :all: pvlib==0.16.1
    python -m server.demo.make_weather pvlib-0.16.1-py3-none-any.whl

Nothing is computed here: station values go in as they stand. What the demo changes is changed in ``weather.py``.
"""

from __future__ import annotations

import csv
import io
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

MEMBER = "pvlib/data/723170TYA.CSV"
LICENCE = "pvlib-0.16.1.dist-info/licenses/LICENSE"
OUT = Path(__file__).with_name("weather.csv")
HOURS = 8760

PROVENANCE = """\
A typical year of hourly weather, station values as published, written by server/demo/make_weather.py.
Station: Greensboro Piedmont Triad International, North Carolina, 36.10 N 79.95 W, 273 m, UTC-5 (TMY3 station 723170).
Read from the Python wheel pvlib 0.16.1, file pvlib/data/723170TYA.CSV, columns "Dry-bulb (C)" and "RHum (%)".
Hours 1..24 in local standard time, no daylight saving; hour 24 is the midnight that ends the day.
Relative humidity is over water, also below freezing. Each month comes from a real month of another year (1980 to 2003).
The set was made by the US National Renewable Energy Laboratory, free to use with its notice (from memory; the wheel
carries only the licence below, which is that of the package).
"""


def rows(text: str) -> Iterator[tuple[int, int, int, str, str]]:
    """(month, day, hour 1..24, temperature °C, humidity %) for each hour of a TMY3 file, numbers as they are printed.

    Raises ValueError when the file does not hold 8,760 hours or lacks one of the two columns.
    """
    lines = csv.reader(io.StringIO(text))
    next(lines)  # the station
    names = next(lines)
    try:
        temperature, humidity = names.index("Dry-bulb (C)"), names.index("RHum (%)")
    except ValueError as missing:
        raise ValueError(f"{MEMBER} line 2: {missing}; would be right: columns Dry-bulb (C) and RHum (%)") from missing
    count = 0
    for count, line in enumerate(lines, start=1):  # noqa: B007 - counted for the check below
        month, day, _ = (int(part) for part in line[0].split("/"))
        yield month, day, int(line[1][:2]), line[temperature], line[humidity]
    if count != HOURS:
        raise ValueError(f"{MEMBER}: found {count} hours; would be right: {HOURS}")


def main(wheel: Path, out: Path = OUT) -> None:
    """Read the wheel and write the CSV beside this file, whole or not at all."""
    with zipfile.ZipFile(wheel) as archive:
        text = archive.read(MEMBER).decode("ascii")
        licence = archive.read(LICENCE).decode("utf-8")
    written = io.StringIO()
    for line in [*PROVENANCE.splitlines(), "", *licence.strip().splitlines()]:
        written.write(f"# {line}".rstrip() + "\n")
    table = csv.writer(written, lineterminator="\n")
    table.writerow(["month", "day", "hour", "temperature_c", "humidity_pct"])
    table.writerows(rows(text))
    out.write_text(written.getvalue(), encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]))
