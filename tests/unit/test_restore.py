"""A restart forgets nothing: the same samples give the same whether or not the spine was rebuilt on the way."""

from __future__ import annotations

import asyncio
from math import sin
from pathlib import Path
from typing import Any

import pytest

from sensors.sample import RawSample
from server.beside import Beside
from server.deeds import AlertCommand
from server.outlooks import refresh
from server.reading import Flag
from tests.unit.spine import DAY, HOUR, MINUTE, START_MS, Bench, UnsetClock, config, sample, story

LONG = 10 * HOUR
PERIOD = 5 * MINUTE
SOON_OVER = "\n[rules.dry-limit]\nclear_after_min = 60\n"
"""So that the story has an end of one in it."""


async def told(folder: Path, cuts: tuple[float, ...] = ()) -> dict[str, Any]:
    """What the whole story leaves, with restarts at these times."""
    bench, items = Bench(folder, config(SOON_OVER)), story(LONG, PERIOD)
    for number, cut in enumerate((*cuts, LONG + 1)):
        await bench.hear([i for i in items if i.heard_mono_s <= cut])
        items = [i for i in items if i.heard_mono_s > cut]
        if cut < LONG:
            bench.until(cut)
            await bench.restart(f"boot-{number + 2}")
    await bench.tick_until(LONG + 30 * MINUTE)
    engine = bench.spine.engine
    await bench.close()
    return {
        "air": engine.air,
        "bins": {zone: list(bins.closed) for zone, bins in engine.bins.items()},
        "alerts": bench.alert_story(),
        "document": bench.pictured(),
        "rhythm": {name: (ear.period_s, ear.heard_ms, ear.reach_ms) for name, ear in engine.zones.ears.items()},
    }


@pytest.fixture(scope="module")
def unbroken(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return asyncio.run(told(tmp_path_factory.mktemp("unbroken") / "state"))


def test_the_story_has_something_to_forget(unbroken: dict[str, Any]):
    assert [change[1:] for change in unbroken["alerts"]] == [
        ("dry-limit", "bench", "unacknowledged"),
        ("damp-limit", "loft", "unacknowledged"),
        ("dry-limit", "bench", "unacknowledged"),  # said again: half a percent worse
        ("sensor-silent", "loft-1", "unacknowledged"),
        ("falling-fast", "bench", "suppressed"),
        ("dry-limit", "bench", "returned"),
        ("falling-fast", "bench", "unacknowledged"),
        ("sensor-silent", "bench-1", "suppressed"),
        ("sensor-silent", "bench-2", "suppressed"),
        ("sensor-silent", "zone:bench", "unacknowledged"),
    ]
    assert {zone["state"] for zone in unbroken["document"]["zones"]} == {"silent"}


@pytest.mark.parametrize(
    "cuts",
    [
        pytest.param((700.0,), id="while the rhythm is learnt"),
        pytest.param((3 * HOUR + 2 * MINUTE, 5 * HOUR + 12), id="inside the wait past a limit"),
        pytest.param((LONG * 0.7 + 3, 8 * HOUR + 50 * MINUTE), id="while the loft is silent, inside the wait to clear"),
        pytest.param((LONG - 200,), id="between two sensors of a zone"),
    ],
)
async def test_a_restart_anywhere_changes_nothing(unbroken: dict[str, Any], tmp_path: Path, cuts: tuple[float, ...]):
    broken = await told(tmp_path / "state", cuts)
    for part, expected in unbroken.items():
        assert broken[part] == expected, part


async def test_a_week_of_silence_leaves_the_same_picture(tmp_path: Path):
    bench = Bench(tmp_path)
    await bench.hear([sample("loft-1", n * HOUR, 18.0, 50.0 + n) for n in range(5)])
    await bench.tick_until(7 * DAY, DAY)
    before = bench.pictured()
    await bench.restart()
    assert before == bench.pictured()
    assert before["zones"][1]["state_text"]["text"] == "6 days ago"
    await bench.close()


async def test_a_sensor_that_has_fallen_silent_is_not_shown_as_fresh_beside_one_that_never_spoke(tmp_path: Path):
    bench = Bench(tmp_path)
    await bench.hear([sample("bench-1", n * MINUTE) for n in range(5)])
    bench.until(3 * HOUR)
    await bench.restart()
    zone = bench.document.zones[0]
    assert (zone.state, zone.air) == ("silent", None)
    await bench.close()


async def test_a_jump_that_waits_for_its_witness_waits_over_a_restart(tmp_path: Path):
    said = [sample("bench-1", 0), sample("bench-1", 60, humidity_pct=70), sample("bench-1", 120, humidity_pct=70.5)]
    bench = Bench(tmp_path)
    await bench.hear(said[:2])
    await bench.restart()
    await bench.hear(said[2:])
    rows = bench.spine.history.readings("bench-1/humidity_pct", 0, 2**53, good_only=False)
    assert [row.flags for row in rows] == [Flag.NONE, Flag.RATE, Flag.NONE]
    await bench.close()


async def test_a_sensor_that_stood_still_for_a_day_stands_still_after_a_restart(tmp_path: Path):
    bench = Bench(tmp_path)
    still: list[RawSample] = [sample("bench-1", n * HOUR, 20.0, 45.0) for n in range(28)]
    await bench.hear(still[:23])
    await bench.restart("boot-2")
    await bench.hear(still[23:26])
    await bench.restart("boot-3")
    await bench.hear(still[26:])
    rows = bench.spine.history.readings("bench-1/humidity_pct", 0, 2**53, good_only=False)
    assert [row.flags for row in rows] == [Flag.NONE] * 24 + [Flag.STUCK] * 4
    await bench.close()


async def test_a_humidity_that_died_days_ago_is_missed_after_a_restart_as_before(tmp_path: Path):
    """Its thermometer lives: further back than a restart looks, its zone had air."""
    said = [sample("loft-1", n * HOUR / 2, 17 + 0.01 * (n % 50), 45.0 + n if n < 8 else -5.0) for n in range(152)]
    bench = Bench(tmp_path)
    await bench.hear(said[:150], 2)
    await bench.tick_until(150 * HOUR / 2)
    before, alerts = bench.pictured(), [(a.rule, a.id, a.state) for a in bench.spine.engine.book.alerts]
    assert "sensor-silent" in [alert[0] for alert in alerts]
    await bench.restart()
    assert [(a.rule, a.id, a.state) for a in bench.spine.engine.book.alerts] == alerts
    assert bench.pictured() == before
    await bench.hear(said[150:])
    assert [zone.state for zone in bench.document.zones if zone.id == "loft"] == ["silent"]
    assert ("sensor-silent", "loft-1") in {(a.rule, a.subject) for a in bench.spine.engine.book.alerts}
    await bench.close()


async def test_a_wet_sensors_alert_outlives_a_restart(tmp_path: Path):
    """Field pitfall 12."""
    bench = Bench(tmp_path)
    await bench.hear([sample("loft-1", n * PERIOD, 17 + 0.01 * n, 100.0 if n > 5 else 99.0) for n in range(120)], 4)
    alerts = [(a.rule, a.id, a.state) for a in bench.spine.engine.book.alerts if a.subject == "loft-1"]
    assert [alert[0] for alert in alerts] == ["sensor-stuck"]
    await bench.restart()
    assert [(a.rule, a.id, a.state) for a in bench.spine.engine.book.alerts if a.subject == "loft-1"] == alerts
    await bench.close()


async def test_what_a_broker_sends_again_after_a_restart_moves_nothing(tmp_path: Path):
    bench = Bench(tmp_path)
    await bench.hear([sample("bench-1", 0)])
    await bench.restart()
    await bench.hear([sample("bench-1", 5, redelivered=True)])
    assert len(bench.spine.history.columns("bench-1/humidity_pct", 0, 2**53)[0]) == 1
    await bench.close()


async def test_a_shelf_ends_when_it_should_and_knows_that_its_reason_is_over(tmp_path: Path):
    bench = Bench(tmp_path, config("[rules.dry-limit]\nraise_after_min = 0\nclear_after_min = 20\n"))
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 20.0) for n in range(3)])
    (alert,) = bench.document.alerts
    await bench.spine.engine.command(AlertCommand("c1", "shelve", alert.id, 0.5))
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 45.0) for n in range(3, 15)])
    await bench.restart()
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 45.0) for n in range(15, 32)])
    assert _of_air(bench) == ["shelved"]
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 45.0) for n in range(32, 34)])
    assert _of_air(bench) == []
    await bench.close()


async def test_a_clock_that_starts_in_1970_knows_no_ages_and_loses_nothing(tmp_path: Path):
    bench = Bench(tmp_path)
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 20.0) for n in range(40)])
    alerts = [(a.id, a.state) for a in bench.document.alerts]
    assert alerts
    bench.clock = UnsetClock(60_000)
    await bench.restart()
    zone = bench.document.zones[0]
    assert (zone.state, zone.heard_ms) == ("fresh", START_MS + 39 * MINUTE * 1000)
    assert [(a.id, a.state) for a in bench.document.alerts] == alerts
    bench.clock.advance(601)
    await bench.spine.engine.turn(())
    assert bench.document.zones[0].state == "silent", "counted from the start"
    await bench.close()


async def test_a_restart_is_told_for_ten_minutes(tmp_path: Path):
    bench = Bench(tmp_path)
    assert "server-restarted" not in await _notices(bench)
    await bench.restart()
    assert "server-restarted" in await _notices(bench)
    bench.clock.advance(599)
    assert "server-restarted" in await _notices(bench)
    bench.clock.advance(1)
    assert "server-restarted" not in await _notices(bench)
    await bench.close()


async def _laid(folder: Path, near_h: float) -> Bench:
    """Three days that swing inside the aim, then ``near_h`` in which the end of the outlook is past the dry limit."""
    bench = Bench(folder, config("[rules.falling-fast]\nfallen_pct = 5\n"))  # else it would speak first
    said = [_near(n, n * 10 * MINUTE >= 72 * HOUR) for n in range(round(6 * (72 + near_h)))]
    for sample_ in said:
        bench.until(sample_.heard_mono_s)
        await bench.spine.engine.lay_down([sample_])
    return bench


def _near(n: int, near: bool) -> RawSample:
    humidity = 32.0 if near else 42.0 + 6.0 * sin(n / 54.0)
    return sample("bench-1", n * 10 * MINUTE, 20.0 + 0.01 * (n % 7), humidity)


async def _started(bench: Bench, boot: str) -> None:
    """As the server starts: from the record, all that rules want, the first turn."""
    await bench.spine.store.close()
    bench.spine = bench._built(boot, restarted=True)
    await Beside.of(bench.spine.engine, bench.spine.engine.clock, lambda: bench.spine.frame.config).first()
    await bench.spine.engine.turn(())


def _ahead(bench: Bench) -> list[tuple[int, str]]:
    return [(t_ms, state) for t_ms, rule, _, state in bench.alert_story() if rule == "outlook-dry"]


@pytest.mark.parametrize(("near_h", "told"), [(3.0, True), (1.0, False)])
async def test_what_held_in_the_record_for_longer_than_its_wait_is_said_at_the_first_turn(
    tmp_path: Path, near_h: float, told: bool
):
    """Two hours is the wait of a crossing outlook, and outlooks are no part of the record."""
    bench = await _laid(tmp_path, near_h)
    await _started(bench, "boot-2")
    now_ms = bench.clock.now().wall_ms
    assert _ahead(bench) == ([(now_ms, "unacknowledged")] if told else [])
    await bench.close()


async def test_a_wait_for_an_outlook_goes_on_over_a_restart(tmp_path: Path):
    raised = []
    for cut in (None, 72 * 6 + 7):
        bench = await _laid(tmp_path / str(cut), 0.0)
        await _started(bench, "boot-2")
        for n in range(72 * 6, 75 * 6):
            await bench.hear([_near(n, near=True)])
            await refresh(bench.spine.engine, bench.clock, "Europe/Oslo")
            if n == cut:
                await _started(bench, "boot-3")
        raised.append(_ahead(bench))
        await bench.close()
    ((unbroken_ms, state),), ((broken_ms, _),) = raised
    assert state == "unacknowledged"
    # An outlook that is made beside the loop is seen a turn later than one that is made again.
    assert 0 <= unbroken_ms - broken_ms <= 10 * MINUTE * 1000


def _of_air(bench: Bench) -> list[str]:
    return [alert.state for alert in bench.document.alerts if alert.rule == "dry-limit"]


async def _notices(bench: Bench) -> list[str]:
    await bench.spine.engine.turn(())
    return [notice.key for notice in bench.document.notices]
