"""Recorded shapes of bad sensors, replayed: what is believed is said row by row in tests/data/spikes."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from server.config import ScreeningTable, Sensor
from server.reading import Flag
from server.screening import Screening
from tests.unit.screening.said import NOW, sample

FOLDER = Path(__file__).parents[2] / "data" / "spikes"


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def expected(verdict: str, quantity: str) -> Flag:
    reason, _, only = verdict.partition("-")
    return Flag.NONE if reason == "good" or (only and only not in quantity) else Flag[reason.upper()]


@pytest.mark.parametrize(("name", "kind"), [("single_wire", "dht22"), ("frozen_tail", "sht4x")])
def test_a_recorded_shape_is_judged_row_by_row(name: str, kind: str) -> None:
    """Field pitfalls 11 (a lone value that passed its checksum) and 14 (the same number for days)."""
    one = Screening(ScreeningTable(), [Sensor(id="bench-1", source="line", zone="bench", type=kind)])
    seen = set()
    for row in rows(name):
        said = sample(float(row["minutes"]), float(row["temperature_c"]), float(row["humidity_pct"]))
        for reading in one.screen([said], NOW).readings:
            assert reading.flags == expected(row["verdict"], reading.series), row
            assert (reading.value if reading.raw is None else reading.raw) == dict(said.values)[
                reading.series.partition("/")[2]
            ]
        seen.add(row["verdict"].partition("-")[0])
    assert len(seen) >= 2
    assert sum(one.rejected["bench-1/humidity_pct"].values()) == sum(
        expected(row["verdict"], "humidity_pct") != Flag.NONE for row in rows(name)
    )
