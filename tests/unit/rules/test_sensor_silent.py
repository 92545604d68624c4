"""Silence: three learnt periods, at least ten minutes (common practice, no source)."""

from __future__ import annotations

import pytest

from server.rules.base import RuleView, SensorView
from server.rules.sensor_silent import SensorSilent
from tests.unit.rules.views import NOW_MS


def said(silent_for_s: float, period_s: float | None, heard_ms: int | None = NOW_MS - 30_000) -> tuple[bool, bool]:
    sensor = SensorView("bench-1", "bench-room", heard_ms, silent_for_s, period_s)
    (finding,) = SensorSilent().findings(RuleView(NOW_MS, sensors=(sensor,)))
    assert (finding.word, finding.lean, finding.subject) == ("look", "none", "bench-1")
    return finding.raise_holds, finding.clear_holds


@pytest.mark.parametrize(
    ("silent_for_s", "period_s", "silent"),
    [(599, 60, False), (600, 60, True), (600, 300, False), (899, 300, False), (900, 300, True), (600, None, True)],
)
def test_three_periods_but_at_least_ten_minutes(silent_for_s: float, period_s: float | None, silent: bool) -> None:
    assert said(silent_for_s, period_s) == (silent, not silent)


def test_never_heard_counts_from_the_start_and_does_not_clear() -> None:
    assert said(30, None, heard_ms=None) == (False, False)
    assert said(600, None, heard_ms=None) == (True, False)


def test_a_last_word_from_before_the_start_clears_nothing() -> None:
    assert said(5, 60, heard_ms=NOW_MS - 3_600_000) == (False, False)


def test_values_carry_the_zone_and_the_last_word() -> None:
    rule, sensor = SensorSilent(), SensorView("bench-1", "bench-room", 5, 900, 60)
    assert rule.findings(RuleView(NOW_MS, sensors=(sensor,)))[0].values == {"zone": "bench-room", "heard_ms": 5}
    assert rule.unwatched(RuleView(NOW_MS)) == "not-watched-no-sensor"
    assert rule.unwatched(RuleView(NOW_MS, sensors=(sensor,))) is None
