"""Silence: three learnt periods, at least ten minutes (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from server.faults import Faults
from server.judging import Judging
from server.reading import Finding
from server.reason import Reason
from server.rules.base import RuleView, SensorView
from server.rules.sensor_silent import SensorSilent, SensorSilentParameters
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


BENCH = SensorView("bench-1", "bench-room", NOW_MS - 60_000, 60.0, 60.0)
GONE = replace(BENCH, silent_for_s=5400.0, heard_ms=NOW_MS - 5_400_000)


def of(*sensors: SensorView, **more: object) -> dict[str, Finding]:
    """What is said of each subject, as the alerts are told it."""
    found = Judging().judged([SensorSilent()], RuleView(NOW_MS, sensors=sensors, **more), Faults()).findings  # type: ignore[arg-type]
    return {finding.subject: finding for finding in found}


def test_what_a_sensor_has_kept_quiet_twice_is_its_habit() -> None:
    assert SensorSilent().limit_s(60.0, 70.0) == 600.0, "a regular one is told as before"
    assert SensorSilent().limit_s(1800.0, 5400.0) == 10_800.0
    assert SensorSilent(SensorSilentParameters(pauses=1.0)).limit_s(1800.0, 5400.0) == 5400.0


def test_one_whose_neighbour_is_heard_is_for_the_round_and_else_asks_now() -> None:
    mate = replace(BENCH, sensor="bench-2")
    assert of(GONE)["bench-1"].asks == "now"
    assert of(GONE, mate)["bench-1"].asks == "round"
    for poor in (replace(mate, stuck=True), replace(mate, wet=True), replace(mate, over_salt=True)):
        assert of(GONE, poor)["bench-1"].asks == "now", "that one says nothing of the zone's air"
    assert of(GONE, replace(mate, zone="loft"))["bench-1"].asks == "now"


def test_where_none_of_a_zone_is_heard_it_is_said_once() -> None:
    mate = replace(GONE, sensor="bench-2", heard_ms=NOW_MS - 4_000_000)
    said = of(GONE, mate)
    whole = said["zone:bench-room"]
    assert (whole.raise_holds, whole.asks) == (True, "now")
    assert whole.values == {"zone": "bench-room", "heard_ms": NOW_MS - 4_000_000, "sensors": 2}
    for one in ("bench-1", "bench-2"):
        assert said[one].suppressed_by == Reason("suppressed-all-silent", {})
        assert (said[one].raise_holds, said[one].asks) == (True, "round")
    heard = of(GONE, replace(BENCH, sensor="bench-2"))
    assert (heard["zone:bench-room"].raise_holds, heard["zone:bench-room"].clear_holds) == (False, True)
    assert heard["bench-1"].suppressed_by is None
    salt = of(GONE, replace(mate, over_salt=True))
    assert (salt["zone:bench-room"].clear_holds, salt["bench-1"].suppressed_by) == (True, None), "one alone is itself"
    assert "zone:bench-room" not in of(GONE)
    just_started = replace(GONE, silent_for_s=1.0), replace(mate, silent_for_s=1.0)
    for stands, why in ((True, Reason("suppressed-all-silent", {})), (False, None)):
        standing = {("sensor-silent", "zone:bench-room")} if stands else frozenset()
        assert of(*just_started, standing=standing)["bench-1"].suppressed_by == why, "as before the start"


def test_silence_is_counted_from_the_return_of_the_wire() -> None:
    wired = replace(GONE, wire="shop-broker")
    lost = of(replace(wired, wire_back_s=0.0))["bench-1"]
    assert (lost.raise_holds, lost.clear_holds) == (False, False)
    assert lost.suppressed_by == Reason("suppressed-source-lost", {"source": "shop-broker"})
    back = of(replace(wired, wire_back_s=599.0))["bench-1"]
    assert (back.raise_holds, back.suppressed_by) == (False, None)
    kept_back = {("sensor-silent", "bench-1"): Reason("suppressed-source-lost", {"source": "shop-broker"})}
    assert of(replace(wired, wire_back_s=599.0), kept_back=kept_back)["bench-1"].suppressed_by is not None
    late = of(replace(wired, wire_back_s=600.0), kept_back=kept_back)["bench-1"]
    assert (late.raise_holds, late.suppressed_by) == (True, None)
    heard = of(replace(BENCH, wire="shop-broker", wire_back_s=300.0), kept_back=kept_back)["bench-1"]
    assert (heard.clear_holds, heard.suppressed_by) == (True, None)
