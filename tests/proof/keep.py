"""What is in the table, and what was replayed of it: kept in a folder, so that it can be taken up again."""

from __future__ import annotations

import asyncio
import pickle
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.proof.records import Record, coldest_week, demo, fortnight, house, noise, town
from tests.proof.replay import Replayed, replay


@dataclass(frozen=True, slots=True)
class Entry:
    """A record of the table: ``use`` says what it was used for."""

    make: Callable[[], Record]
    use: str


TABLE: dict[str, Entry] = {
    "demo-week": Entry(coldest_week, "replayed by the suite"),
    "house-fortnight": Entry(fortnight, "replayed by the suite"),
    "demo-first": Entry(lambda: demo("first winter"), "chosen on"),
    "demo-second": Entry(lambda: demo("second winter"), "chosen on, its weather is the first's"),
    "town-1992": Entry(lambda: town(1991), "chosen on"),
    "town-1996": Entry(lambda: town(1995), "chosen on"),
    "town-1994": Entry(lambda: town(1993), "looked at twice"),
    "town-1998": Entry(lambda: town(1997), "looked at twice"),
    "town-1995": Entry(lambda: town(1994), "fresh"),
    "town-1999": Entry(lambda: town(1998), "fresh"),
    "house-aim": Entry(lambda: house("aim"), "chosen on"),
    "house-own": Entry(lambda: house("own"), "a defect was found on it"),
    "noise": Entry(noise, "constructed"),
}


def kept(name: str, folder: Path) -> tuple[Record, Replayed] | None:
    """What was replayed of it before; None where it was not."""
    file = folder / f"{name}.pickle"
    return (TABLE[name].make(), pickle.loads(file.read_bytes())) if file.exists() else None  # noqa: S301 - our own file


def replayed(name: str, folder: Path) -> tuple[Record, Replayed]:
    """The record and what came of it; replayed now, and kept, where it was not before."""
    if (found := kept(name, folder)) is not None:
        return found
    record = TABLE[name].make()
    with tempfile.TemporaryDirectory() as state:
        of = asyncio.run(replay(record, Path(state) / "state"))
    folder.mkdir(parents=True, exist_ok=True)
    half = folder / f"{name}.half"
    half.write_bytes(pickle.dumps(of))
    half.rename(folder / f"{name}.pickle")
    return record, of
