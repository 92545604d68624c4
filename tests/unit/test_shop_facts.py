"""Zones off for the season, nobody there, lots that lie open: from the configuration and the journal to the wall."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from server.config import ConfigError
from server.season import last_day_ms, within
from server.shop.entries import Entry
from tests.unit.spine import HOUR, MINUTE, START_MS, Bench, config, sample

OSLO = "Europe/Oslo"


def at(text: str) -> int:
    return round(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(OSLO)).timestamp() * 1000)


@pytest.mark.parametrize(
    ("season", "when", "inside"),
    [
        (("05-15", "09-15"), "2027-05-15T00:00", True),
        (("05-15", "09-15"), "2027-05-14T23:59", False),
        (("05-15", "09-15"), "2027-09-15T23:59", True),
        (("05-15", "09-15"), "2027-09-16T00:00", False),
        (("11-20", "02-10"), "2026-12-31T12:00", True),
        (("11-20", "02-10"), "2027-02-10T12:00", True),
        (("11-20", "02-10"), "2027-02-11T00:00", False),
    ],
)
def test_a_season_takes_in_both_its_days_and_runs_over_new_year(season: tuple[str, str], when: str, inside: bool):
    assert within(season, at(when), OSLO) is inside


@pytest.mark.parametrize(
    ("season", "when", "last"),
    [
        (("05-15", "09-15"), "2027-05-15T00:00", "2027-09-15T12:00"),
        (("11-20", "02-10"), "2026-12-31T12:00", "2027-02-10T12:00"),
        (("11-20", "02-29"), "2026-12-31T12:00", "2027-02-28T12:00"),
        (("11-20", "02-29"), "2027-12-31T12:00", "2028-02-29T12:00"),
    ],
)
def test_the_last_day_is_this_years_or_the_next(season: tuple[str, str], when: str, last: str):
    assert last_day_ms(season, at(when), OSLO) == at(last)


@pytest.mark.parametrize("day", ["02-30", "13-01", "May", "5", "2027-05-01"])
def test_what_is_no_day_of_the_year_is_refused(day: str):
    with pytest.raises(ConfigError, match="a month and a day, as 05-15"):
        config(f'[[zone]]\nid = "shed"\nname = "Shed"\ndestination = "heated"\noff_season = ["{day}", "09-15"]\n')


RULES = "[rules.dry-limit]\nraise_after_min = 0\n"


async def dries(bench: Bench, from_s: float, hours: float = 1.0) -> None:
    await bench.hear([sample("bench-1", from_s + n * MINUTE, 20.0, 20.0) for n in range(round(hours * 60))])


async def test_nobody_there_and_all_wrapped_keeps_the_dry_limit_back_until_somebody_comes(tmp_path: Path):
    bench = Bench(tmp_path, config(RULES))
    spine = bench.spine
    try:
        await spine.stockroom.opened()
        received = {
            "kind": "received", "lot": "oak-1", "name": "Oak", "species": "oak_white", "pieces": 4, "width_mm": 150,
            "length_mm": 2000, "thickness_mm": 27, "zone": "bench", "start": {"kind": "unknown"},
            "aim": {"dry_limit_pct": 6, "damp_limit_pct": 10},
        }  # fmt: skip
        away = {"kind": "away", "from_ms": START_MS, "to_ms": START_MS + 2 * HOUR * 1000}
        for n, deed in enumerate((received, {"kind": "wrapped", "lot": "oak-1"}, away)):
            await spine.stockroom.tell(Entry(id=f"entry-000{n}", t_ms=START_MS, recorded_ms=START_MS, deed=deed))
        await dries(bench, 1)
        (kept_back,) = [a for a in bench.document.alerts if a.rule == "dry-limit"]
        assert (kept_back.state, kept_back.why.key, kept_back.deeds) == ("suppressed", "suppressed-away", [])
        assert kept_back.why.text == "Kept back until 15:00: nobody is in the shop, and all that lies there is wrapped."
        assert bench.document.band.alert != kept_back.id
        await bench.restart()  # whose first turns know of no lot and of nobody's being away
        await dries(bench, 1.5 * HOUR, 0.25)
        assert [s for _, rule, _, s in bench.alert_story() if rule == "dry-limit"] == ["suppressed"]
        await bench.spine.stockroom.opened()
        await dries(bench, 2 * HOUR)
        (out,) = [a for a in bench.document.alerts if a.rule == "dry-limit"]
        assert (out.state, out.id, bench.document.band.alert) == ("unacknowledged", kept_back.id, out.id)
    finally:
        await bench.close()


async def test_a_season_set_at_the_wall_counts_at_once_and_a_restart_keeps_it_back(tmp_path: Path):
    winter = 'off_season = ["11-20", "02-10"]\n'
    text = RULES + f'[[zone]]\nid = "shed"\nname = "Cold shed"\ndestination = "heated"\n{winter}'
    text += '[[sensor]]\nid = "shed-1"\nsource = "mq"\ndevice = "shed-1"\nzone = "shed"\n'
    bench = Bench(tmp_path, config(text))
    try:
        await bench.hear([sample("shed-1", 1 + n * MINUTE, 20.0, 20.0) for n in range(5)])
        await bench.hear([sample("bench-1", 300 + n, 20.0, 42.0) for n in range(5)])
        assert (bench.document.band.word, bench.document.band.zone) == ("ready", "bench"), "no aim is held against it"
        await bench.restart()
        await bench.hear([sample("shed-1", 600 + n * MINUTE, 20.0, 20.0) for n in range(5)])
        (kept_back,) = [a for a in bench.document.alerts if a.subject == "shed"]
        assert kept_back.why.text == "Kept back until 10 Feb: the cold shed is off for the season."
        assert [s for _, rule, subject, s in bench.alert_story() if (rule, subject) == ("dry-limit", "shed")] == [
            "suppressed"
        ]
    finally:
        await bench.close()
