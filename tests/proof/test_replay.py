"""The demo's coldest week: its dry-out is told in time, once, in a sentence one can act on. And the table of
`tests/proof/table.md` is what a replay gives: two of its records are replayed here, by the real spine."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

import pytest

from server.snapshot import ShopView, document
from tests.proof.__main__ import OUT
from tests.proof.judge import Spell, spells
from tests.proof.keep import TABLE
from tests.proof.records import HOUSE, TOWN
from tests.proof.replay import Replayed, replay
from tests.proof.table import REACH_H, ahead_rows, week_row


@dataclass(slots=True)
class Wall:
    """What it said when the alerts became others: title, sentence, caution and the band's two lines."""

    said: dict[tuple[str, int], list[str]] = field(default_factory=dict)
    _stood: set[tuple[str, int]] = field(default_factory=set)

    def look(self, view: ShopView) -> None:
        """Read what is new."""
        stood = {(one.rule, one.raised_ms) for one in view.alerts if one.state == "unacknowledged"}
        if stood - self._stood:
            page = document(view, "", "en", "metric")
            for shown, one in zip(page.alerts, view.alerts, strict=True):
                lines = [shown.title.text, shown.why.text, shown.caution.text if shown.caution else ""]
                key = one.rule, one.raised_ms
                self.said.setdefault(key, [*lines, page.band.title.text, page.band.why.text])
        self._stood = stood


@pytest.fixture(scope="module")
def cold_week(tmp_path_factory: pytest.TempPathFactory) -> tuple[Replayed, Wall]:
    wall = Wall()
    return asyncio.run(replay(TABLE["demo-week"].make(), tmp_path_factory.mktemp("cold") / "state", wall.look)), wall


def when(t_ms: int) -> str:
    return datetime.fromtimestamp(t_ms / 1000, TOWN).strftime("%a %d %b %H:%M")


def of_rule(every: list[Spell], *rules: str) -> list[Spell]:
    return [one for one in every if one.rule in rules]


def test_the_dry_out_of_the_coldest_week_is_told_in_time_once_and_says_what_to_do(
    cold_week: tuple[Replayed, Wall],
) -> None:
    """The air comes down to its limit on the 13th and the 18th; sensors hear it below for some hours each time."""
    replayed, wall = cold_week
    every = spells(replayed.changes)
    dry = of_rule(every, "dry-limit")
    (ahead,) = of_rule(every, *REACH_H)
    assert [when(one.from_ms)[:10] for one in dry] == ["Wed 13 Jan", "Mon 18 Jan"]
    assert (ahead.rule, when(ahead.from_ms), ahead.to_ms) == ("outlook-dry", "Tue 12 Jan 01:10", None)
    assert 36.0 < (dry[0].from_ms - ahead.from_ms) / 3_600_000 < 37.0
    title, why, caution, *band = wall.said[ahead.rule, ahead.from_ms]
    assert title == "Bench room: dry-out ahead"
    assert why == (
        "By 6:00 tomorrow the air there may draw wood below 6 %, one time in ten or oftener; now it is 7.0 %. "
        "Wrap stock that is milled, and heat less tonight."
    )
    assert caution == "A heater or humidifier near dust or solvent vapour burns: follow its maker and the local code."
    assert band == [title, why]


def test_its_row_is_the_tables(cold_week: tuple[Replayed, Wall]) -> None:
    found_again("demo-week", cold_week[0])


@pytest.mark.skipif(not HOUSE.exists(), reason=f"the public house record is not beside the checkout: {HOUSE.name}")
async def test_a_fortnight_of_the_public_record_is_the_tables(tmp_path: Path) -> None:
    found_again("house-fortnight", await replay(TABLE["house-fortnight"].make(), tmp_path / "state"))


def found_again(name: str, replayed: Replayed) -> None:
    """Also every other row about a record of this name, so that none is left from other rules."""
    record, table = TABLE[name].make(), OUT.read_text(encoding="utf-8").splitlines()
    rows = [*ahead_rows(record, replayed, TABLE[name].use), week_row(record, replayed)]
    assert rows == [line for line in table if line.startswith(f"| {record.name} |")]
    assert replayed.faults == 0
