"""The falling rule: its line against an independent least squares, and where it speaks."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy.stats import linregress

from server.reading import OutlookPoint
from server.rules.falling_fast import FallingFast, FallingFastParameters, pace
from tests.unit.rules.views import HOUR_MS, NOW_MS, view


def fall(from_pct: float, to_pct: float, hours: float = 6.0, every_min: int = 5) -> tuple[tuple[int, float], ...]:
    steps = round(hours * 60 / every_min)
    start_ms = NOW_MS - round(hours * HOUR_MS)
    return tuple(
        (start_ms + i * every_min * 60_000, from_pct + (to_pct - from_pct) * i / steps) for i in range(steps + 1)
    )


@given(
    start=st.floats(6.5, 12.0),
    change=st.floats(-3.0, 3.0).filter(lambda c: abs(c) > 0.05),
    noise=st.lists(st.floats(-0.2, 0.2), min_size=73, max_size=73),
)
def test_line_agrees_with_an_independent_least_squares(start: float, change: float, noise: list[float]) -> None:
    """Independent implementation: scipy.stats.linregress."""
    points = tuple((t, v + e) for (t, v), e in zip(fall(start, start + change), noise, strict=True))
    line = pace(points, 6.0, NOW_MS)
    assert line is not None
    hours = np.array([(t - points[0][0]) / HOUR_MS for t, _ in points])
    theirs = linregress(hours, [v for _, v in points])
    assert line.from_pct == pytest.approx(theirs.intercept, abs=1e-9)
    assert line.to_pct == pytest.approx(theirs.intercept + 6.0 * theirs.slope, abs=1e-9)
    if theirs.slope < -1e-6:
        crosses_h = (6.0 - theirs.intercept) / theirs.slope
        assert (line.crosses_ms - points[0][0]) / HOUR_MS == pytest.approx(crosses_h, rel=1e-6)


def test_a_straight_fall_crosses_where_arithmetic_says() -> None:
    """Limit: 6.9 to 6.3 in 6 h is 0.1 an hour, so 6.0 is 3 h away."""
    (finding,) = FallingFast().findings(view(6.3, fall(6.9, 6.3)))
    assert finding.raise_holds
    assert finding.lean == "dry"
    assert finding.values["from_pct"] == 6.9
    crosses_ms = finding.values["crosses_ms"]
    assert isinstance(crosses_ms, int)
    assert 0 <= crosses_ms - (NOW_MS + 3 * HOUR_MS) <= HOUR_MS // 2
    assert crosses_ms % (HOUR_MS // 2) == 0


@pytest.mark.parametrize(
    ("points", "emc_pct", "raises", "clears", "because"),
    [
        (fall(7.2, 6.9), 6.9, True, False, "0.05 an hour: 18 h"),
        (fall(7.6, 7.3), 7.3, False, False, "26 h: past the day, not yet far"),
        (fall(8.5, 8.1), 8.1, False, True, "31 h: far"),
        (fall(6.5, 6.25), 6.25, False, False, "fallen 0.25: too little to raise, too much to clear"),
        (fall(6.3, 6.15), 6.15, False, True, "fallen 0.15 only"),
        (fall(6.3, 7.0), 7.0, False, True, "rising"),
        (fall(6.5, 5.9), 5.9, False, True, "already below: the dry limit speaks"),
        (fall(6.9, 6.3, hours=4), 6.3, False, False, "four hours are no pace of six"),
        ((), 6.3, False, False, "no record yet"),
    ],
)
def test_where_it_speaks(
    points: tuple[tuple[int, float], ...], emc_pct: float, raises: bool, clears: bool, because: str
) -> None:
    (finding,) = FallingFast().findings(view(emc_pct, points))
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears), because


@pytest.mark.parametrize(
    ("lows", "raises", "clears", "because"),
    [
        ((6.2, 5.9), True, False, "its low end passes the limit within the day"),
        ((6.4, 6.1), False, True, "a daily dip: the outlook stays above all the while"),
        ((), True, False, "no outlook yet: the line decides"),
    ],
)
def test_the_outlook_has_to_agree(lows: tuple[float, ...], raises: bool, clears: bool, because: str) -> None:
    seen = view(6.3, fall(6.9, 6.3))
    points = tuple(OutlookPoint(NOW_MS + (n + 1) * 10 * HOUR_MS, low + 0.5, low, low + 1) for n, low in enumerate(lows))
    zone = dataclasses.replace(seen.zones[0], outlook=points)
    (finding,) = FallingFast().findings(dataclasses.replace(seen, zones=(zone,)))
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears), because


def test_what_the_outlook_says_beyond_the_day_raises_nothing() -> None:
    seen = view(6.3, fall(6.9, 6.3))
    late = (OutlookPoint(NOW_MS + HOUR_MS, 6.4, 6.2, 6.6), OutlookPoint(NOW_MS + 28 * HOUR_MS, 6.0, 5.5, 6.5))
    zone = dataclasses.replace(seen.zones[0], outlook=late)
    (finding,) = FallingFast().findings(dataclasses.replace(seen, zones=(zone,)))
    assert (finding.raise_holds, finding.clear_holds) == (False, False)


def test_a_line_already_under_the_limit_crosses_now() -> None:
    points = (*fall(6.9, 5.8)[:-1], (NOW_MS, 6.1))
    (finding,) = FallingFast().findings(view(6.1, points))
    assert finding.raise_holds
    assert NOW_MS <= int(finding.values["crosses_ms"]) < NOW_MS + HOUR_MS


def test_closed_half_hours_say_the_pace_of_six_hours() -> None:
    """What the engine hands over: bin ends, the newest up to 32 minutes old."""
    points = tuple((t - 31 * 60_000, v) for t, v in fall(7.0, 6.5, hours=5, every_min=30))
    line = pace(points, 6.0, NOW_MS)
    assert line is not None
    assert line.fallen_pct == pytest.approx(0.6)
    assert FallingFast().findings(view(6.45, points))[0].raise_holds


def test_silence_holds_everything_and_names_the_reason() -> None:
    (finding,) = FallingFast().findings(view(None, fall(6.9, 6.3)))
    assert (finding.raise_holds, finding.clear_holds) == (False, False)
    assert FallingFast().unwatched(view(None)) == "not-watched-no-air"
    assert FallingFast().unwatched(view(7.0, fall(7.0, 6.9, hours=2))) == "not-watched-short-record"
    assert FallingFast().unwatched(view(6.3, fall(6.9, 6.3))) is None


def test_level_air_never_crosses() -> None:
    line = pace(fall(7.0, 7.0), 6.0, NOW_MS)
    assert line is not None
    assert math.isinf(line.crosses_ms) or line.crosses_ms > NOW_MS + 1000 * HOUR_MS


def test_parameters_must_fit_each_other() -> None:
    with pytest.raises(ValidationError, match="clear_within_h: found 20; would be right: at least within_h"):
        FallingFastParameters(clear_within_h=20)
    with pytest.raises(ValidationError, match=r"clear_fallen_pct: found 0\.4; would be right: at most fallen_pct"):
        FallingFastParameters(clear_fallen_pct=0.4)
