"""The rules about the instrument itself: when each raises, when it clears, and what lies between.

Limits are common practice, no source; the states they lead to are those of ISA-18.2.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.reading import Finding, Flag, RecordState, RemoteState, SourceState, Surroundings
from server.rules.base import NeighbourView, RuleView, SensorView, ZoneView
from server.rules.catalog import make_rules
from server.rules.sensor_silent import SensorSilent
from tests.unit.rules.views import AIM, NOW_MS, air

MB = 1_000_000
DAY_MS = 86_400_000
HOUR_S = 3600.0


def finding(rule: str, view: RuleView, subject: str) -> Finding:
    (one,) = (r for r in make_rules() if r.name == rule)
    (found,) = (f for f in one.findings(view) if f.subject == subject)
    return found


def says(found: Finding) -> tuple[bool, bool]:
    return found.raise_holds, found.clear_holds


def record(state: RecordState) -> RuleView:
    return RuleView(NOW_MS, surroundings=Surroundings(record=state))


def source(state: Literal["starting", "listening", "lost", "refused", "stopped"], error: str = "") -> RuleView:
    one = SourceState("bench-line", "serial", "/dev/x", state, NOW_MS - 90_500, None, 0, 0, 0, 0, "", error)
    return RuleView(NOW_MS, surroundings=Surroundings((one,)))


@pytest.mark.parametrize(
    ("state", "expected"),
    [
        ("starting", (False, False)),
        ("stopped", (False, False)),
        ("listening", (False, True)),
        ("lost", (True, False)),
        ("refused", (True, False)),
    ],
)
def test_a_wire_that_is_only_starting_neither_raises_nor_clears(
    state: Literal["starting", "listening", "lost", "refused", "stopped"], expected: tuple[bool, bool]
) -> None:
    assert says(finding("source-lost", source(state), "bench-line")) == expected


def test_a_lost_wire_is_said_after_two_minutes_once_and_is_over_a_minute_after_it_is_back() -> None:
    book, said = AlertBook(), []
    for second in range(0, 600, 10):
        up = not 60 <= second < 360
        found = finding("source-lost", source("listening" if up else "lost"), "bench-line")
        book, changes = apply(book, [found], NOW_MS + 1000 * second, float(second), new_id=lambda: "one")
        said += [(second, alert.state) for alert in changes]
    assert said == [(180, "unacknowledged"), (420, "returned")]


def test_the_figures_of_a_wire_that_stays_lost_are_no_news_each_second() -> None:
    first, later = source("lost"), source("lost")
    nudged = replace(later.surroundings.sources[0], since_ms=later.surroundings.sources[0].since_ms + 1)
    again = finding("source-lost", RuleView(NOW_MS, surroundings=Surroundings((nudged,))), "bench-line")
    assert finding("source-lost", first, "bench-line").values == again.values


def test_a_refusal_carries_its_reason_cut_to_a_readable_length() -> None:
    found = finding("source-lost", source("refused", "Not authorized. " + "x" * 900), "bench-line")
    assert str(found.values["reason"]).startswith("Not authorized")
    assert len(str(found.values["reason"])) == 200
    assert finding("source-lost", source("refused"), "bench-line").values["reason"] == "no"


def test_a_record_that_cannot_be_written_is_act_and_the_loss_is_told() -> None:
    found = finding("record-failing", record(RecordState(writable=False)), "record")
    assert (found.word, found.lean, says(found), found.values) == ("act", "none", (True, False), {})
    lossy = finding("record-failing", record(RecordState(writable=False, ring_dropped=7)), "record")
    assert lossy.values == {"given_up": 7}
    assert says(finding("record-failing", record(RecordState()), "record")) == (False, True)


@pytest.mark.parametrize(
    ("free_mb", "expected"), [(199, (True, False)), (201, (False, False)), (249, (False, False)), (251, (False, True))]
)
def test_a_disk_that_fills_has_a_raise_and_a_wider_clear_limit(free_mb: int, expected: tuple[bool, bool]) -> None:
    found = finding("record-space", record(RecordState(free_bytes=free_mb * MB)), "disk")
    assert says(found) == expected
    assert ("free_mb" in found.values) == (not expected[1])


def test_noise_on_the_limit_of_the_disk_raises_once() -> None:
    """Field pitfall 25: one threshold for both directions makes an alert each time the figure wavers."""
    book, said = AlertBook(), []
    for second in range(0, 3600, 10):
        noisy = record(RecordState(free_bytes=(190 + 20 * (second // 10 % 2 and second > 1200)) * MB))
        found = finding("record-space", noisy, "disk")
        book, changes = apply(book, [found], NOW_MS + 1000 * second, float(second))
        said += [alert.state for alert in changes]
    assert said == ["unacknowledged"]


def test_a_log_that_does_not_shrink_is_told_and_a_disk_that_says_nothing_is_not_watched() -> None:
    """Field pitfall 29: a reader that never ends pins the write-ahead log until the disk is full."""
    (rule,) = (r for r in make_rules() if r.name == "record-space")
    assert [f.subject for f in rule.findings(record(RecordState()))] == ["log"]
    assert says(finding("record-space", record(RecordState(log_bytes=65 * MB)), "log")) == (True, False)
    assert says(finding("record-space", record(RecordState(log_bytes=60 * MB)), "log")) == (False, False)
    assert says(finding("record-space", record(RecordState(log_bytes=16 * MB)), "log")) == (False, True)


def test_a_backup_that_fails_or_is_old_and_a_salvage_are_told_for_their_time() -> None:
    fresh = RecordState(backup_ms=NOW_MS - 2 * DAY_MS)
    old = RecordState(backup_ms=NOW_MS - 4 * DAY_MS)
    assert says(finding("record-copies", record(RecordState()), "backup")) == (False, True)
    assert says(finding("record-copies", record(fresh), "backup")) == (False, True)
    assert finding("record-copies", record(old), "backup").values == {"at_ms": NOW_MS - 4 * DAY_MS}
    failed = finding("record-copies", record(replace(fresh, backup_error="no room")), "backup")
    assert (says(failed), failed.values["reason"]) == ((True, False), "no room")
    for days, expected in ((1, (True, False)), (8, (False, True))):
        state = RecordState(salvaged_ms=NOW_MS - days * DAY_MS)
        assert says(finding("record-copies", record(state), "salvage")) == expected


def test_a_weekly_check_that_finds_damage_is_told_and_a_record_that_cannot_be_written_is_another_matter() -> None:
    damaged = finding("record-copies", record(RecordState(error="page 7 is out of order.")), "check")
    assert (says(damaged), damaged.values) == ((True, False), {"reason": "page 7 is out of order"})
    full = record(RecordState(writable=False, error="disk full"))
    assert says(finding("record-copies", full, "check")) == (False, False)
    assert says(finding("record-copies", record(RecordState()), "check")) == (False, True)


def test_the_clock_is_given_five_minutes() -> None:
    found = finding("clock-unset", RuleView(NOW_MS, clock_is_set=False), "clock")
    assert (says(found), found.raise_after_s) == ((True, False), 300.0)
    assert says(finding("clock-unset", RuleView(NOW_MS), "clock")) == (False, True)


@pytest.mark.parametrize(
    ("state", "behind_h", "expected"),
    [
        ("idle", 0.0, (False, True)),
        ("sending", 2.0, (False, True)),
        ("sending", 4.0, (False, False)),
        ("sending", 9000.0, (False, False)),
        ("held", 5.9, (False, False)),
        ("held", 6.1, (True, False)),
        ("refused", 0.1, (True, False)),
    ],
)
def test_a_copy_is_behind_when_it_waits_not_while_it_works_through_old_years(
    state: Literal["sending", "idle", "held", "refused"], behind_h: float, expected: tuple[bool, bool]
) -> None:
    remote = RemoteState("attic", "", state, NOW_MS, 0, 0, behind_h * HOUR_S, error="401" if state == "refused" else "")
    found = finding("remote-lagging", RuleView(NOW_MS, surroundings=Surroundings(remotes=(remote,))), "attic")
    assert says(found) == expected
    assert found.values.get("reason") == ("401" if state == "refused" else None)


def test_a_stuck_sensor_is_said_to_be_stuck_and_not_silent_as_well() -> None:
    """Field pitfall 14: a register that is read again and again looks like a sensor at work."""
    stuck = SensorView("bench-1", "bench-room", NOW_MS - 90_000_000, 90_000.0, 60.0, stuck=True)
    view = RuleView(NOW_MS, sensors=(stuck,))
    found = finding("sensor-stuck", view, "bench-1")
    assert (says(found), found.values) == ((True, False), {"zone": "bench-room"})
    assert SensorSilent().findings(view)[0].raise_holds is False
    moving = RuleView(NOW_MS, sensors=(replace(stuck, stuck=False),))
    assert says(finding("sensor-stuck", moving, "bench-1")) == (False, True)
    assert SensorSilent().findings(moving)[0].raise_holds is True


def test_sensors_that_disagree_for_hours_are_told_and_silence_changes_nothing() -> None:
    apart = replace(air(8.0), flags=Flag.WITNESSES_APART)
    for one, expected in ((apart, (True, False)), (air(8.0), (False, True)), (None, (False, False))):
        found = finding("sensors-apart", RuleView(NOW_MS, (ZoneView("bench-room", AIM, one),)), "bench-room")
        assert (says(found), found.raise_after_s) == (expected, 7200.0)


def test_a_wet_sensor_is_said_to_be_wet_and_not_silent_as_well() -> None:
    """Field pitfall 12."""
    wet = RuleView(NOW_MS, sensors=(SensorView("bench-1", "bench-room", None, 90_000.0, 60.0, wet=True),))
    found = finding("sensor-stuck", wet, "bench-1")
    assert (says(found), found.values) == ((True, False), {"zone": "bench-room", "wet": 1})
    assert SensorSilent().findings(wet)[0].raise_holds is False


@pytest.mark.parametrize(
    ("apart", "trend", "days", "expected"),
    [
        (0.4, 0.15, 30, (True, False)),
        (-0.4, -0.15, 21, (True, False)),
        (0.4, -0.15, 30, (False, True)),
        (-0.4, 0.15, 30, (False, True)),
        (0.4, 0.15, 20, (False, True)),
        (0.4, 0.07, 30, (False, False)),
        (0.4, 0.04, 30, (False, True)),
        (0.4, None, 9, (False, True)),
    ],
)
def test_sensors_that_part_are_told_once_three_weeks_say_so_and_those_that_close_are_not(
    apart: float, trend: float | None, days: int, expected: tuple[bool, bool]
) -> None:
    """Field pitfall 15; what trend 1 % RH a month makes is shown in test_neighbours.py."""
    pair = NeighbourView("bench-room", "bench-1", "bench-2", apart, trend, days)
    month_pct = max(apart * (trend or 0.0) / abs(apart), 0.0)
    found = finding("sensors-parting", RuleView(NOW_MS, neighbours=(pair,)), "bench-1/bench-2")
    assert says(found) == expected
    assert found.values == {
        "zone": "bench-room", "sensor": "bench-1", "mate": "bench-2", "month_pct": pytest.approx(month_pct),
    }  # fmt: skip


def test_a_salt_check_that_grew_old_is_told_when_the_clock_can_tell() -> None:
    checked = SensorView("bench-1", "bench-room", NOW_MS, 0.0, 60.0, check_due_ms=NOW_MS)
    never = SensorView("bench-2", "bench-room", NOW_MS, 0.0, 60.0)
    view = RuleView(NOW_MS, sensors=(checked, never))
    assert says(finding("check-due", view, "bench-1")) == (True, False)
    assert says(finding("check-due", replace(view, clock_is_set=False), "bench-1")) == (False, False)
    assert says(finding("check-due", replace(view, now_ms=NOW_MS - 1), "bench-1")) == (False, True)
    (rule,) = (r for r in make_rules() if r.name == "check-due")
    assert [f.subject for f in rule.findings(view)] == ["bench-1"], "nobody is nagged into a first check"


def test_a_stuck_sensor_that_dies_is_silent_and_one_that_talks_nonsense_is_said_to_talk() -> None:
    stuck = SensorView("bench-1", "bench-room", NOW_MS - 90_000_000, 90_000.0, 60.0, stuck=True, quiet_for_s=599.0)
    assert SensorSilent().findings(RuleView(NOW_MS, sensors=(stuck,)))[0].raise_holds is False
    dead = replace(stuck, quiet_for_s=601.0)
    assert SensorSilent().findings(RuleView(NOW_MS, sensors=(dead,)))[0].raise_holds is True
    talking = replace(stuck, stuck=False, talking=True)
    (found,) = SensorSilent().findings(RuleView(NOW_MS, sensors=(talking,)))
    assert (found.raise_holds, found.values["talking"]) == (True, 1)


def test_a_wire_that_is_back_says_since_when_and_not_that_it_is_tried_again() -> None:
    found = finding("source-lost", source("listening"), "bench-line")
    assert found.values.keys() == {"kind", "back_ms"}
