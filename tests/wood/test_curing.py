"""An adhesive's time by the wood's temperature, against the published doubling and against hand counts."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest

from server.wood.adhesive import Family, families, family
from server.wood.curing import come, left_h
from server.wood.maker_sheet import Sheet

HOURS = 3600.0 * np.arange(0, 25.0)


@pytest.mark.parametrize(("wood_c", "clamp_h"), [(21.1, 1.0), (21.1 - 8.33, 2.0), (30.0, 1.0)])
def test_pva_in_steady_wood_takes_its_published_time(wood_c: float, clamp_h: float) -> None:
    """1 h at 70 °F, doubled for each 15 °F below (Wood magazine, Give the glue time, as in adhesives.csv)."""
    there = come(family("pva"), "clamp", 3600.0 * np.array([0.0, clamp_h]), [wood_c, wood_c])
    assert there.least == pytest.approx(1.0, abs=1e-9)
    assert there.sure
    half = come(family("pva"), "clamp", 1800.0 * np.array([0.0, clamp_h]), [wood_c, wood_c])
    assert left_h(family("pva"), "clamp", half, wood_c) == pytest.approx((clamp_h / 2, clamp_h / 2), abs=1e-9)


def test_parts_at_two_temperatures_add_up() -> None:
    """Half an hour warm is half of it; an hour at twice the time is the other half."""
    t, c = 3600.0 * np.array([0.0, 0.5, 0.5 + 1e-9, 1.5]), [21.1, 21.1, 21.1 - 8.33, 21.1 - 8.33]
    assert come(family("pva"), "clamp", t, c).least == pytest.approx(1.0, abs=1e-6)


def test_halving_the_steps_changes_nothing_that_is_seen() -> None:
    c = 14.0 + 6.0 * np.sin(HOURS / 3600.0 / 4.0)
    fine = np.linspace(0.0, HOURS[-1], 4 * (HOURS.size - 1) + 1)
    both = [come(family("pva"), "cure", t, np.interp(t, HOURS, c)).least for t in (HOURS, fine)]
    assert both[0] == pytest.approx(both[1], rel=0.01)


def test_below_the_lowest_temperature_nothing_counts() -> None:
    cold = come(family("pva"), "clamp", HOURS, np.full(HOURS.size, 4.0))
    assert (cold.least, cold.most, cold.why, cold.too_cold_h) == (0.0, 0.0, "too-cold", 24.0)
    assert left_h(family("pva"), "clamp", cold, 4.0) is None
    by_sheet = family("pva").by(Sheet(lowest_c=2.0, clamp_h=((3.0, 8.0), (20.0, 1.0))))
    assert come(by_sheet, "clamp", HOURS, np.full(HOURS.size, 4.0)).sure


def test_where_nobody_says_how_much_longer_the_least_is_nothing() -> None:
    """Polyurethane: a figure for warm wood, none for how it slows."""
    cool = come(family("polyurethane"), "cure", HOURS, np.full(HOURS.size, 15.0))
    assert (cool.least, cool.most, cool.why) == (0.0, pytest.approx(1.0), "longer")
    assert come(family("epoxy"), "cure", HOURS, np.full(HOURS.size, 20.0)).why == "not-found"


SHEET = Sheet(lowest_c=6.0, clamp_h=((5.0, 8.0), (12.0, 3.0), (20.0, 1.0)), cure_h=((8.0, 60.0), (20.0, 20.0)))


@pytest.mark.parametrize("glue", [*families().values(), family("pva").by(SHEET), family("epoxy").by(SHEET)])
@pytest.mark.parametrize("what", ["clamp", "cure"])
def test_many_temperatures_are_each_counted_as_one_is_asked(glue: Family, what: Literal["clamp", "cure"]) -> None:
    """Independent: hour by hour through the question for one temperature."""
    c = np.concatenate([np.linspace(-5.0, 30.0, 71), [5.0, 6.0, 7.0, 12.0, 21.1]])
    t = 3600.0 * np.arange(c.size)
    least = most = cold = 0.0
    why = ""
    for warm in 0.5 * (c[1:] + c[:-1]):
        needed, in_warm = glue.needs(what, float(warm)), glue.limits[what].low
        why = needed.why or why
        cold += needed.why == "too-cold"
        least += 0.0 if needed.high_h is None else 1.0 / needed.high_h
        most += 0.0 if needed.low_h is None else 1.0 / needed.low_h
        if needed.why == "longer" and in_warm is not None:
            most += 1.0 / in_warm
    found = come(glue, what, t, c)
    assert (found.least, found.most, found.too_cold_h) == pytest.approx((least, most, cold), rel=1e-12)
    assert found.why == why


def test_it_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="wood_c: found 2 values; would be right: 25"):
        come(family("pva"), "cure", HOURS, [20.0, 20.0])
    with pytest.raises(ValueError, match="times_s"):
        come(family("pva"), "cure", HOURS[::-1], np.full(HOURS.size, 20.0))
