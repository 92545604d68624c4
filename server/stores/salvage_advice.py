"""What to do after a salvage: which copy still holds what was lost, and the very line that brings it back."""

from __future__ import annotations

import shlex
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from pathlib import Path

from server.stores.sqlite_file import connect_reader

Span = tuple[int, int]
_WORN = "a disk that is not worn: change it before it does this again"


def advice(rows: int, missing: Mapping[str, Sequence[Span]], backups: Path) -> str:
    """What would be right: ``rows`` were salvaged, ``missing`` were not."""
    copies = sorted(backups.glob("record-*.sqlite"), reverse=True) if backups.is_dir() else []
    if not rows:
        if not copies:
            return "nothing could be read, and there is no backup; the damaged file is kept"
        return f"nothing could be read; stop the server, then: stillstack store restore {shlex.quote(str(copies[0]))}"
    for copy in copies if missing else []:
        if count := _held(copy, missing):
            return (
                f"{_WORN}. {copy} holds {count:,} readings of the spans that are missing; they come back, and what came"
                f" since stays: stop the server, then: stillstack store refill {shlex.quote(str(copy))}"
            )
    return _WORN


def _held(copy: Path, missing: Mapping[str, Sequence[Span]]) -> int:
    """How many readings inside the missing spans a copy has."""
    question = (
        "SELECT count(*) FROM reading WHERE series = (SELECT id FROM series WHERE name = ?) AND t_ms > ? AND t_ms < ?"
    )
    try:
        with closing(connect_reader(copy)) as reader:
            spans = [(series, *span) for series, of_series in missing.items() for span in of_series]
            return sum(int(reader.execute(question, span).fetchone()[0]) for span in spans)
    except sqlite3.Error:  # it is damaged as well: an older one may not be
        return 0
