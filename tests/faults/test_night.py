"""A night with every fault in it, played to a whole server at the pace it can take: three hours of mixed traffic, at
the end of which the record is complete, the alerts are right, and the wall has said what happened.

The shop's clock moves a minute when everything that was said in the last one has arrived, so nothing here depends on
how fast the machine is. What happens when: ``tests/faults/night/story.py``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.faults.night.devices import EVERYBODY
from tests.faults.night.ends import judge, kept, report
from tests.faults.night.shop import Shop, Wall
from tests.faults.night.story import LENGTH, Night, played, prepared

pytestmark = pytest.mark.whole
AS_ROOT = os.geteuid() == 0
SOURCES = ("any", "found", "line", "mq", "nested", "numbers")
FULL_FROM, FULL_TO = 91, 94
Change = tuple[int, str, str, str]
"""Step, rule, subject, state ("normal" where it is on the wall no longer)."""
ALERTS: list[Change] = [
    *((39, "source-lost", source, "unacknowledged") for source in SOURCES),
    *((41, "source-lost", source, "returned") for source in SOURCES),
    (56, "dry-limit", "finish", "unacknowledged"),
    (75, "dry-limit", "finish", "returned"),
    (81, "record-copies", "salvage", "unacknowledged"),
    (92, "record-failing", "record", "unacknowledged"),
    (95, "record-failing", "record", "normal"),
    # a month on, the damage is old news and no backup is fresh; back again, the other way round
    (113, "record-copies", "backup", "unacknowledged"),
    (113, "record-copies", "salvage", "returned"),
    (123, "record-copies", "backup", "returned"),
    (123, "record-copies", "salvage", "unacknowledged"),
]
FULL_DISK = {"record-failing", "record-space"}


@pytest.fixture
def state(tmp_path: Path) -> Iterator[Path]:
    """On a small disk of its own, where we may make one."""
    folder = tmp_path / "state"
    folder.mkdir()
    if AS_ROOT:
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=48m", "tmpfs", folder], check=True)
    try:
        yield folder
    finally:
        if AS_ROOT:
            subprocess.run(["umount", "-l", folder], check=True)


@pytest.mark.timeout(400)
async def test_a_night_with_every_fault_in_it(tmp_path: Path, state: Path) -> None:
    async with Shop(tmp_path, state) as shop:
        night = Night(shop, AS_ROOT, judge)
        await prepared(night)
        await played(night)
        told, nowhere = report(night)
        if not AS_ROOT:
            told += "left out: a disk that fills, which takes root: it mounts a file system of 48 MB\n"
        (tmp_path / "night.txt").write_text(told)
        sys.stdout.write(told)
        assert nowhere == []
        the_record_is_complete(night)
        the_alerts_are_right(night)
        the_wall_was_right(night)
        assert await left_out(shop) == 0, "no wire gave anything up"
        assert holes_without_a_name(night) == []


async def left_out(shop: Shop) -> int:
    return sum(int(source["dropped"]) for source in (await shop.sources()).values())


def the_record_is_complete(night: Night) -> None:
    """Every reading that was said on a wire that was up is there once, or lay on a page that was damaged."""
    lost = {(series, round(value, 3)) for rows in night.lost.values() for series, _, value in rows}
    for device in EVERYBODY:
        there = Counter(kept(night.shop, device.sensor))
        for temperature in night.shop.told[device.sensor]:
            damaged = (f"{device.sensor}/temperature_c", temperature) in lost
            assert there[temperature] == 1 or (damaged and there[temperature] == 0), (
                f"{device.sensor}: {temperature} °C: {labels(night, device.sensor, temperature)}"
            )
    reports = [json.loads(path.read_text()) for path in night.shop.state.glob("salvage-*.json")]
    assert len(reports) == len(night.lost) == 2
    for what, rows in night.lost.items():
        assert rows, f"{what}: it did harm"
        assert rows - night.harmed[what] == set(), f"{what}: nothing is gone but what lay on those pages"


def labels(night: Night, sensor: str, temperature: float) -> list[tuple[Any, ...]]:
    query = "SELECT t_ms, value, flags, raw FROM reading JOIN series ON id = series WHERE name = ?"
    rows = night.shop.ask(query, f"{sensor}/temperature_c")
    return [row for row in rows if round(row[1] if row[3] is None else row[3], 3) == temperature]


def holes_without_a_name(night: Night) -> list[tuple[str, int, int]]:
    """The long holes that the damages made and that no salvage's report names."""
    reports = [json.loads(path.read_text()) for path in night.shop.state.glob("salvage-*.json")]
    unnamed = []
    for what, holes in night.holes.items():
        missed = [hole for hole in holes if not is_named(hole, reports)]
        named, harmed = len(holes) - len(missed), len(night.harmed[what])
        sys.stdout.write(f"{what}: {len(night.lost[what])} of {harmed} rows, {named} of {len(holes)} holes named\n")
        unnamed += missed
    return unnamed


def is_named(hole: tuple[str, int, int], reports: list[dict[str, Any]]) -> bool:
    series, first_ms, last_ms = hole
    spans = [span for one in reports for span in one["missing"].get(series, [])]
    return any(first <= first_ms and last_ms <= last for first, last in spans)


def the_alerts_are_right(night: Night) -> None:
    """Those, step after step (in one step their order has no meaning), and no other: but a sensor whose last good
    reading lay on a damaged page may be missed for the moment of the restart."""
    found, before = [], {}
    for wall in night.shop.wall:
        now = wall.alerts
        silent = {series.partition("/")[0] for series in night.last_lost.get(wall.step, set())}
        for rule, subject in sorted(now.keys() | before.keys()):
            if now.get((rule, subject)) != before.get((rule, subject)):
                change = (wall.step, rule, subject, now.get((rule, subject), "normal"))
                if not (rule == "sensor-silent" and subject in silent and change[3] == "returned"):
                    found.append(change)
        before = now
    wanted = [change for change in ALERTS if AS_ROOT or change[1] not in FULL_DISK]
    assert found == sorted(wanted), f"last readings lost: {night.last_lost}"


def the_wall_was_right(night: Night) -> None:
    """``act`` while the record could not be written, and never else; a restart and a lost wire were said."""
    by_step: dict[int, Wall] = {wall.step: wall for wall in night.shop.wall}
    assert sorted(by_step) == list(range(1, LENGTH + 1))
    acting = [step for step, wall in by_step.items() if wall.word == "act"]
    assert acting == (list(range(FULL_FROM, FULL_TO + 1)) if AS_ROOT else [])
    assert {by_step[step].title for step in acting} <= {"band-store-title"}
    assert night.answers == ([503, 200] if AS_ROOT else []), "a deed is refused while it could not be kept"
    for step in (81, 166):
        assert "server-restarted" in by_step[step].notices
    assert "source-refused" in by_step[37].notices
    assert "source-back" in by_step[42].notices
    assert by_step[24].word == "ready", "nothing of the first half hour's nonsense moved the wall"
