"""Two sensors of a room over weeks: one that creeps is noticed within a stated time, two right ones never."""

from __future__ import annotations

import math
import random
from pathlib import Path

import numpy as np
import psychrolib
import pytest
from scipy.stats import theilslopes

from server.neighbours import DAY_MS, HOUR_MS, Hours, compared, daily, fresh_starts, neighbours_of, trend_per_day
from server.placing import placed_entries
from server.reading import JournalEntry, Reading
from server.rules.base import NeighbourView
from server.wood.emc import emc_pct
from tests.unit.spine import START_MS, Bench

psychrolib.SetUnitSystem(psychrolib.SI)
NOTABLE_PCT_PER_MONTH = 0.08
"""Half of what 1 % RH a month makes in a heated room."""
NOTICED_WITHIN_DAYS = 30


def room(
    days: float, seed: int, *, warmer_c: float = 0.0, drift_pct_per_month: float = 0.0, off_pct: float = 0.0
) -> Hours:
    """A heated room through its days, as one sensor says it: the weather is everybody's, noise and place its own."""
    weather, own = random.Random(99), random.Random(seed)
    start, times, ts, rhs, wet = START_MS // DAY_MS * DAY_MS, [], [], [], 0.0
    for n in range(int(days * 24)):
        wet = 0.98 * wet + weather.gauss(0, 0.8)
        t = 19.5 + 1.5 * math.sin(2 * math.pi * n / 24)
        vapour = (0.40 + wet / 100) * psychrolib.GetSatVapPres(t)
        here_c = t + warmer_c * (1 + 0.5 * math.sin(2 * math.pi * (n - 3) / 24)) + own.gauss(0, 0.05)
        rh = 100 * vapour / psychrolib.GetSatVapPres(here_c) + own.gauss(0, 0.4)
        times.append(start + n * HOUR_MS)
        ts.append(here_c)
        rhs.append(rh + off_pct + drift_pct_per_month * n / 24 / 30)
    return np.array(times), np.array(ts), np.array(rhs)


def until(hours: Hours, day: float) -> Hours:
    kept = hours[0] < hours[0][0] + round(day * DAY_MS)
    return hours[0][kept], hours[1][kept], hours[2][kept]


def seen(day: float, **both: Hours) -> NeighbourView | None:
    names = list(both)
    return compared("bench", names[0], names[1], {name: until(hours, day) for name, hours in both.items()})


def notable(view: NeighbourView | None) -> bool:
    trend = None if view is None else view.trend_emc_pct_per_month
    return trend is not None and abs(trend) >= NOTABLE_PCT_PER_MONTH


@pytest.mark.parametrize("drift", [1.0, -1.0])
@pytest.mark.parametrize("seed", range(4))
def test_neighbours_that_part_by_one_percent_a_month_are_noticed_within_a_month(drift: float, seed: int) -> None:
    """Field pitfall 15."""
    a, b = room(60, 2 * seed, drift_pct_per_month=drift), room(60, 2 * seed + 1, warmer_c=1.0)
    assert notable(seen(NOTICED_WITHIN_DAYS, a=a, b=b))
    view = seen(45, a=a, b=b)
    assert view is not None
    slope = float(emc_pct(20.0, 0.41) - emc_pct(20.0, 0.40))
    assert view.trend_emc_pct_per_month == pytest.approx(drift * slope, abs=0.04)
    assert view.days == 30


@pytest.mark.parametrize("seed", range(4))
def test_two_right_sensors_are_left_alone_for_two_months_wherever_they_hang(seed: int) -> None:
    a, b = room(60, 2 * seed), room(60, 2 * seed + 1, warmer_c=2.0)
    for day in range(14, 61, 4):
        view = seen(day, a=a, b=b)
        assert view is not None
        assert not notable(view), day
        assert abs(view.apart_emc_pct) < 0.15


def test_humidities_that_differ_by_place_alone_are_no_difference() -> None:
    """4 K warmer says a quarter less humidity of the same vapour (psychrolib, inside ``room``)."""
    a, b = room(10, 1), room(10, 2, warmer_c=4.0)
    assert float(np.mean(a[2] - b[2])) > 8
    view = seen(10, a=a, b=b)
    assert view is not None
    assert abs(view.apart_emc_pct) < 0.2
    assert abs(view.apart_pa) < 25


def test_how_far_apart_is_the_figure_of_the_last_week() -> None:
    a, b = room(20, 1, off_pct=5.0), room(20, 2)
    view = seen(20, a=a, b=b)
    assert view is not None
    assert view.apart_emc_pct == pytest.approx(float(emc_pct(19.5, 0.45) - emc_pct(19.5, 0.40)), abs=0.1)
    assert (view.sensor, view.mate, view.zone) == ("a", "b", "bench")


def test_too_little_in_common_says_nothing() -> None:
    a, b = room(20, 1), room(20, 2)
    early = seen(10, a=a, b=b)
    assert early is not None
    assert early.trend_emc_pct_per_month is None
    few = (b[0][::6], b[1][::6], b[2][::6])
    assert seen(10, a=a, b=few) is None, "four hours a day"
    later = (b[0] + 30 * DAY_MS, b[1], b[2])
    assert compared("bench", "a", "b", {"a": a, "b": later}) is None


def test_the_trend_is_the_reference_librarys() -> None:
    """Independent: SciPy's Theil-Sen estimate, exact to rounding; a tenth of wild days bends neither."""
    days, values, _ = daily(room(40, 1, drift_pct_per_month=1.0), room(40, 2))
    values[::10] += 5.0
    ours = trend_per_day(days, values)
    assert ours == pytest.approx(float(theilslopes(values, days).slope), rel=1e-9)
    assert ours == pytest.approx(0.155 / 30, rel=0.4)
    assert trend_per_day(days[:13], values[:13]) is None


@pytest.fixture
async def bench(tmp_path: Path):
    made = Bench(tmp_path / "state")
    yield made
    await made.close()


async def kept(bench: Bench, sensor: str, hours: Hours) -> None:
    rows = [Reading(f"{sensor}/temperature_c", int(t), float(v)) for t, v in zip(hours[0], hours[1], strict=True)]
    rows += [Reading(f"{sensor}/humidity_pct", int(t), float(v)) for t, v in zip(hours[0], hours[2], strict=True)]
    await bench.spine.store.append(rows)


async def test_it_comes_from_the_record_so_a_restart_forgets_nothing(bench: Bench) -> None:
    await kept(bench, "bench-1", room(30, 1, drift_pct_per_month=1.5))
    await kept(bench, "bench-2", room(30, 2))
    now_ms = START_MS + 30 * DAY_MS
    (before,) = neighbours_of(bench.spine.engine, now_ms)
    assert notable(before)
    await bench.restart()
    assert neighbours_of(bench.spine.engine, now_ms) == (before,)
    bench.spine.engine.neighbours = (before,)
    assert bench.spine.engine.rule_view(bench.clock.now()).neighbours == (before,)


@pytest.mark.parametrize("change", [{"device": "new-chip"}, {"offset_humidity_pct": -2.0}, {"zone": "loft"}])
async def test_another_chip_or_another_offset_begins_anew(bench: Bench, change: dict[str, object]) -> None:
    (sensor,) = (s for s in bench.config.sensors if s.id == "bench-1")
    old = JournalEntry("old", START_MS, "placed", "bench-1", {"zone": "bench", "source": "mq"})
    await bench.spine.store.add_journal([old])
    written = placed_entries([sensor], [old], START_MS + 1)
    await bench.spine.store.add_journal(written)
    assert fresh_starts(bench.spine.history) == {}, "an entry of an older version says less, which is no change"
    changed = sensor.model_copy(update=change)
    await bench.spine.store.add_journal(placed_entries([changed], [old, *written], START_MS + 2))
    assert fresh_starts(bench.spine.history) == {"bench-1": START_MS + 2}


async def test_a_correction_or_a_move_begins_anew(bench: Bench) -> None:
    await kept(bench, "bench-1", room(30, 1, drift_pct_per_month=1.5))
    await kept(bench, "bench-2", room(30, 2))
    now_ms = START_MS + 30 * DAY_MS
    await bench.spine.store.add_journal([JournalEntry("p1", START_MS, "placed", "bench-1", {"zone": "loft"})])
    assert fresh_starts(bench.spine.history) == {}, "the first placement is no move"
    moved_ms = START_MS + 20 * DAY_MS
    await bench.spine.store.add_journal([JournalEntry("p2", moved_ms, "placed", "bench-1", {"zone": "bench"})])
    (view,) = neighbours_of(bench.spine.engine, now_ms)
    assert view.trend_emc_pct_per_month is None
    assert view.days <= 10
