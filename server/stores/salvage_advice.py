"""What to do after a salvage: which copy still holds what was lost, and the very lines that bring it back."""

from __future__ import annotations

import shlex
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from server.stores.sqlite_file import connect_reader

Span = tuple[int, int]
_WORN = "a disk that is not worn: change it before it does this again"
_FLAGS = {"temperature_c": "--temperature", "humidity_pct": "--humidity"}


def advice(rows: int, missing: Mapping[str, Sequence[Span]], backups: Path) -> str:
    """What would be right: ``rows`` were salvaged, ``missing`` were not."""
    copies = sorted(backups.glob("record-*.sqlite"), reverse=True) if backups.is_dir() else []
    if not rows:
        if not copies:
            return "nothing could be read, and there is no backup; the damaged file is kept"
        return f"nothing could be read; stop the server, then: stillstack store restore {shlex.quote(str(copies[0]))}"
    for copy in copies if missing else []:
        if held := _held(copy, missing):
            return f"{_WORN}. {_told(copy, held)}"
    return _WORN


def _held(copy: Path, missing: Mapping[str, Sequence[Span]]) -> dict[str, list[int]]:
    """By series how many readings of the missing spans a copy has, and the first and last of those."""
    question = (
        "SELECT count(*), min(t_ms), max(t_ms) FROM reading"
        " WHERE series = (SELECT id FROM series WHERE name = ?) AND t_ms > ? AND t_ms < ?"
    )
    found: dict[str, list[int]] = {}
    try:
        with closing(connect_reader(copy)) as reader:
            for series, spans in missing.items():
                there = [reader.execute(question, (series, *span)).fetchone() for span in spans]
                if there := [one for one in there if one[0]]:
                    found[series] = [sum(o[0] for o in there), min(o[1] for o in there), max(o[2] for o in there)]
    except sqlite3.Error:  # it is damaged as well: an older one may not be
        return {}
    return found


def _told(copy: Path, held: dict[str, list[int]]) -> str:
    """All of it at the price of what came since; or a series of a sensor at a time, with nothing lost."""
    file, count = shlex.quote(str(copy)), sum(one[0] for one in held.values())
    whole = (
        f"{count} of the lost readings are in {copy}. All at once, server stopped, and without what came after it:"
        f" stillstack store restore {file}"
    )
    lines = [line for series, one in held.items() if (line := _line(file, series, one))]
    if not lines:
        return whole
    return f"{whole}. Or a series at a time, and nothing is given up: {'; '.join(lines)}"


def _line(file: str, series: str, held: list[int]) -> str:
    sensor, _, quantity = series.rpartition("/")
    if quantity not in _FLAGS or ":" in sensor:
        return ""  # a zone's or a quantity that is made from others: an import is a sensor's
    name, out = shlex.quote(series), shlex.quote(f"lost-{sensor}-{quantity}.csv")
    return (
        f"stillstack store export {name} --record {file} --from {_iso(held[1])} --to {_iso(held[2] + 1)} --out {out}"
        f" && stillstack store import {out} --sensor {shlex.quote(sensor)} --time t_ms --time-format ms"
        f" {_FLAGS[quantity]} value"
    )


def _iso(t_ms: int) -> str:
    return datetime.fromtimestamp(t_ms / 1000, UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
