"""The outlook's rule: middle and end, both sides, one telling of one dry-out, and no flapping on the limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from pydantic import ValidationError

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.reading import OutlookPoint
from server.rules.base import RuleView, ZoneView
from server.rules.falling_fast import FallingFast
from server.rules.outlook_crosses import OutlookCrosses
from server.rules.outlook_damp import OutlookDamp
from server.rules.outlook_dry import OutlookDry, OutlookDryParameters
from tests.unit.rules.spells import raised_and_over
from tests.unit.rules.test_falling_fast import fall
from tests.unit.rules.views import AIM, HOUR_MS, NOW_MS, air, view

Ahead = tuple[float, float, float, float]
"""In how many hours, low, middle, high."""


def seen(emc_pct: float | None, *ahead: Ahead, now_ms: int = NOW_MS) -> RuleView:
    points = tuple(OutlookPoint(now_ms + round(h * HOUR_MS), mid, low, high) for h, low, mid, high in ahead)
    zone = ZoneView("bench-room", AIM, None if emc_pct is None else air(emc_pct), outlook=points)
    return RuleView(now_ms, (zone,))


@pytest.mark.parametrize(
    ("emc_pct", "ahead", "raises", "clears", "because"),
    [
        (6.8, (20.0, 5.4, 5.9, 6.4), True, False, "its middle crosses the dry limit"),
        (6.8, (20.0, 5.7, 6.2, 6.7), True, False, "its low end does"),
        (6.8, (20.0, 6.1, 6.6, 7.1), False, False, "near it: neither"),
        (7.4, (20.0, 6.5, 7.0, 7.5), False, True, "well inside"),
        (6.8, (40.0, 5.0, 5.5, 6.0), False, True, "beyond the hours it looks at"),
        (9.2, (20.0, 9.1, 9.7, 10.3), True, False, "its high end crosses the damp limit"),
        (5.9, (20.0, 5.0, 5.5, 6.0), False, True, "arrived: the dry limit speaks"),
        (None, (20.0, 5.0, 5.5, 6.0), False, False, "silence holds everything"),
    ],
)
def test_where_it_speaks(emc_pct: float | None, ahead: Ahead, raises: bool, clears: bool, because: str) -> None:
    rule, other = (OutlookDry(), OutlookDamp()) if "damp" not in because else (OutlookDamp(), OutlookDry())
    (finding,), (quiet,) = (one.findings(seen(emc_pct, ahead)) for one in (rule, other))
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears), because
    assert (quiet.raise_holds, quiet.clear_holds) == (False, emc_pct is not None), "its own side is far"


def test_it_says_which_side_when_and_how_surely() -> None:
    (dry,) = OutlookDry().findings(seen(6.8, (9.1, 5.8, 6.3, 6.8), (14.0, 5.5, 5.9, 6.4)))
    assert (dry.word, dry.lean, dry.values["sure"], dry.values["limit_pct"]) == ("look", "dry", 1, 6.0)
    (damp,) = OutlookDamp().findings(seen(9.2, (9.1, 9.1, 9.7, 10.3)))
    assert (damp.lean, damp.values["sure"], damp.values["limit_pct"]) == ("damp", 0, 10.0)
    crosses_ms = damp.values["crosses_ms"]
    assert isinstance(crosses_ms, int)
    assert 0 <= crosses_ms - (NOW_MS + 9.1 * HOUR_MS) < HOUR_MS / 2
    assert crosses_ms % (HOUR_MS // 2) == 0


def test_the_end_may_be_left_out_or_asked_to_go_further() -> None:
    end_only = seen(6.8, (20.0, 5.7, 6.2, 6.7))
    assert OutlookDry().findings(end_only)[0].raise_holds
    for parameters in (OutlookDryParameters(end_within_h=0), OutlookDryParameters(end_past_pct=0.4)):
        assert not OutlookDry(parameters).findings(end_only)[0].raise_holds
    with pytest.raises(ValidationError, match=r"end_within_h: found 48; would be right: at most within_h \(36\)"):
        OutlookDryParameters(end_within_h=48)


def test_of_one_dry_out_the_rule_that_told_it_first_speaks_alone() -> None:
    both = seen(6.3, (5.0, 5.5, 5.9, 6.4))
    both = replace(both, zones=(replace(both.zones[0], last_6_h=fall(6.9, 6.3)),))
    assert OutlookDry().findings(both)[0].raise_holds
    assert FallingFast().findings(both)[0].raise_holds
    told = replace(both, standing={("outlook-dry", "bench-room")})
    assert OutlookDry().findings(told)[0].raise_holds
    assert not FallingFast().findings(told)[0].raise_holds
    told = replace(both, standing={("falling-fast", "bench-room")})
    assert not OutlookDry().findings(told)[0].raise_holds
    assert FallingFast().findings(told)[0].raise_holds
    elsewhere = replace(both, standing={("falling-fast", "loft")})
    assert OutlookDry().findings(elsewhere)[0].raise_holds


def test_each_side_of_an_outlook_has_its_own_life_and_is_not_said_while_the_middle_goes_the_other_way() -> None:
    """A day whose middle crosses the dry limit, two that may reach either, then two days of neither. A bathroom of a
    real house whose outlook always reached its dry limit first was never told of its damp."""
    surely_dry = ((5.0, 5.3, 5.9, 6.5), (20.0, 8.0, 9.5, 10.4))
    either = ((5.0, 5.7, 6.3, 6.9), (20.0, 8.0, 9.5, 10.4))
    away = ((5.0, 7.0, 8.0, 9.0), (20.0, 7.0, 8.0, 9.0))
    days = (surely_dry, either, either, away, away)
    book, told = AlertBook(), []
    rules: tuple[OutlookCrosses, ...] = OutlookDry(), OutlookDamp()
    for n in range(len(days) * 24):
        now_ms = NOW_MS + n * HOUR_MS
        view = seen(7.5, *days[n // 24], now_ms=now_ms)
        book, changes = apply(book, [f for rule in rules for f in rule.findings(view)], now_ms, n * 3600.0)
        told += [(one.rule, one.state, n, one.lean, one.values.get("limit_pct")) for one in changes]
    assert told == [
        ("outlook-dry", "unacknowledged", 2, "dry", 6.0),
        ("outlook-damp", "unacknowledged", 26, "damp", 10.0),
        ("outlook-dry", "returned", 84, "dry", 6.0),
        ("outlook-damp", "returned", 84, "damp", 10.0),
    ]


def test_a_fall_that_was_told_does_not_silence_damp_to_come() -> None:
    """A room of a real house missed a damp spell so: its fall of four days before had never come to an end."""
    damp = replace(seen(9.2, (9.1, 9.1, 9.7, 10.3)), standing={("falling-fast", "bench-room")})
    assert OutlookDamp().findings(damp)[0].raise_holds


def test_it_stands_half_a_day_where_the_outlook_turns_and_an_hour_where_the_air_arrives() -> None:
    minutes = range(4 * 1440)
    for then, hours in ((seen(7.4, (20.0, 6.5, 7.0, 7.5)), 12.0), (seen(5.9, (20.0, 5.0, 5.5, 6.0)), 1.0)):
        before = seen(6.8, (20.0, 5.4, 5.9, 6.4)).zones
        views = (RuleView(NOW_MS + 60_000 * n, _from(before if n < 1440 else then.zones, 60_000 * n)) for n in minutes)
        (_, raised), (_, over) = raised_and_over(OutlookDry(), views)
        assert raised - NOW_MS == 2 * HOUR_MS
        assert (over - NOW_MS) / HOUR_MS == pytest.approx(24.0 + hours)


def _from(zones: Sequence[ZoneView], later_ms: int) -> tuple[ZoneView, ...]:
    (zone,) = zones
    return (replace(zone, outlook=tuple(replace(point, t_ms=point.t_ms + later_ms) for point in zone.outlook)),)


def test_noise_on_the_limit_raises_once_and_a_wait_comes_before() -> None:
    """A day of minutes with the low end at the limit, give or take 0.1, after a quiet hour and before a quiet day."""
    rng = np.random.default_rng(3)
    limit_pct = AIM.dry_limit_pct - OutlookDryParameters().end_past_pct
    lows = np.concatenate([np.full(60, 6.5), limit_pct - 0.1 + rng.normal(0, 0.05, 1440), np.full(1440, 6.6)])
    views = (
        seen(6.9, (20.0, float(low), float(low) + 0.5, float(low) + 1.0), now_ms=NOW_MS + 60_000 * n)
        for n, low in enumerate(lows)
    )
    changes = raised_and_over(OutlookDry(), views)
    assert [kind for kind, _ in changes] == ["raised", "over"]
    assert changes[0][1] - NOW_MS >= 3 * HOUR_MS
    assert changes[1][1] - NOW_MS >= 27 * HOUR_MS


def test_without_an_outlook_the_reason_is_named() -> None:
    assert OutlookDry().unwatched(seen(6.8, (20.0, 6.0, 6.4, 6.8))) is None
    assert OutlookDry().unwatched(view(6.8)) == "not-watched-no-outlook"
    assert OutlookDry().unwatched(view(None)) == "not-watched-no-air"
    (finding,) = OutlookDry().findings(view(6.8))
    assert (finding.raise_holds, finding.clear_holds) == (False, False)
