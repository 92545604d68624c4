"""Labels where nobody knows the time: they go on from the record, and a clock that becomes set is not followed before
what was labelled has been moved (Field pitfall 3)."""

from __future__ import annotations

import pytest

from server.boots import floor_ms
from server.clock import RELEASED_MS, Instant
from server.reading import JournalEntry
from server.shop_clock import AGREES_MS, JUMP_MS, Change, ShopClock
from server.stores.port import Boot

T0 = 1_799_755_200_000
HOUR, DAY = 3_600_000, 86_400_000


class Machine:
    """A machine's clock whose every number is told."""

    def __init__(
        self, wall_ms: int, mono_s: float = 100.0, *, is_set: bool = True, vouched: bool | None = None
    ) -> None:
        self.wall_ms, self.mono_s, self.is_set, self.vouched = wall_ms, mono_s, is_set, vouched

    def now(self) -> Instant:
        return Instant(self.wall_ms, self.mono_s, self.is_set, self.vouched)

    def go(self, seconds: float) -> None:
        self.wall_ms += round(seconds * 1000)
        self.mono_s += seconds

    async def sleep(self, seconds: float) -> None:
        self.go(seconds)


def begun(machine: Machine, newest_ms: int | None = T0, last: Boot | None = None) -> ShopClock:
    clock = ShopClock(machine)
    clock.begin(newest_ms, newest_ms, last, "boot-a")
    return clock


@pytest.mark.parametrize(
    ("machine", "is_set"),
    [
        pytest.param(Machine(T0 + HOUR), True, id="after the record, nobody can say"),
        pytest.param(Machine(T0 - 1), False, id="before the record, nobody can say"),
        pytest.param(Machine(T0 - HOUR, vouched=True), True, id="before the record, but synchronised"),
        pytest.param(Machine(T0 + HOUR, is_set=False, vouched=False), False, id="the time service has not looked"),
        pytest.param(Machine(60_000, is_set=False), False, id="1970"),
    ],
)
def test_who_is_believed_at_a_start(machine: Machine, is_set: bool):
    clock = begun(machine)
    assert clock.now().wall_is_set is is_set
    assert clock.now().wall_ms == (machine.wall_ms if is_set else T0 + 1)


def test_labels_go_on_at_the_pace_of_the_monotonic_clock_whatever_the_wall_says():
    machine = Machine(60_000, is_set=False)
    clock = begun(machine)
    machine.go(90.0)
    machine.wall_ms += 5 * DAY
    assert clock.now() == Instant(T0 + 1 + 90_000, 190.0, wall_is_set=False, vouched=None)
    assert clock.look() is None


def test_in_an_empty_record_they_begin_at_the_release():
    assert begun(Machine(60_000, is_set=False), None).now().wall_ms == RELEASED_MS


def test_a_clock_that_becomes_set_is_followed_when_told_to():
    machine = Machine(60_000, is_set=False)
    clock = begun(machine)
    machine.go(30.0)
    machine.wall_ms, machine.is_set = T0 + 2 * DAY, True
    change = clock.look()
    assert change == Change("set", T0 + 1 + 30_000, T0 + 2 * DAY)
    machine.go(2.0)
    assert clock.now() == Instant(T0 + 1 + 32_000, 132.0, wall_is_set=False, vouched=None), "not by itself"
    clock.adopt(change)
    assert clock.now() == Instant(T0 + 2 * DAY + 2000, 132.0, wall_is_set=True, vouched=None)
    assert clock.look() is None


def test_a_clock_set_by_hand_while_we_look_is_meant_also_to_before_the_record():
    machine = Machine(T0 - 2 * DAY)
    clock = begun(machine)
    assert not clock.now().wall_is_set
    assert clock.look() is None
    machine.wall_ms = T0 - DAY
    assert clock.look() == Change("set", T0 + 1, T0 - DAY)


def test_a_clock_that_stood_behind_at_the_start_is_no_less_wrong_an_hour_later():
    machine = Machine(T0 - HOUR)
    clock = begun(machine)
    for _ in range(10):
        machine.go(1800.0)
        assert clock.look() is None
    assert not clock.now().wall_is_set


def test_a_hand_that_sets_the_clock_onward_is_believed_while_the_time_service_still_waits():
    machine = Machine(60_000, is_set=False)
    clock = begun(machine)
    machine.go(30.0)
    machine.wall_ms = T0 + 2 * DAY
    assert clock.look() == Change("set", T0 + 1 + 30_000, T0 + 2 * DAY)


@pytest.mark.parametrize("step_ms", [30 * DAY, -HOUR, -20 * DAY, JUMP_MS + 1])
def test_a_step_of_a_set_clock_is_followed_at_once_and_told_once(step_ms: int):
    machine = Machine(T0 + 30 * DAY)
    clock = begun(machine)
    machine.go(1.0)
    machine.wall_ms += step_ms
    assert clock.now().wall_ms == machine.wall_ms
    assert clock.look() == Change("jumped", machine.wall_ms - step_ms, machine.wall_ms)
    machine.go(1.0)
    assert clock.look() is None


def test_steering_and_changes_of_summer_time_are_no_step():
    machine = Machine(T0 + DAY)
    clock = begun(machine)
    for _ in range(1000):
        machine.go(1.0)
        machine.wall_ms += 500
        assert clock.look() is None


def test_a_set_clock_that_falls_back_to_1970_goes_on_and_is_lost():
    machine = Machine(T0 + DAY)
    clock = begun(machine)
    clock.look()
    machine.go(1.0)
    machine.wall_ms, machine.is_set = 60_000, False
    assert clock.now().wall_ms == T0 + DAY + 1000
    assert clock.look() == Change("lost", T0 + DAY + 1000, T0 + DAY + 1000)
    assert (clock.first_ms, clock.now().wall_is_set) == (T0 + DAY + 1000, False)
    machine.go(10.0)
    machine.wall_ms, machine.is_set = T0 + DAY + 11_250, True
    change = clock.look()
    assert change is not None
    assert change.to_ms - change.from_ms == 250


def test_a_second_start_of_one_boot_counts_on_where_the_first_did():
    first = Boot(1, "boot-a", T0 - 90_000, clock_set=False, first_ms=T0 - 80_000)
    clock = begun(Machine(60_000, 100.0, is_set=False), T0 + 5000, first)
    assert (clock.now().wall_ms, clock.first_ms) == (T0 + 10_000, T0 - 80_000)


def test_another_boot_or_a_count_that_cannot_be_begins_anew():
    for first in (
        Boot(1, "boot-b", T0 - 90_000, clock_set=False, first_ms=T0 - 80_000),
        Boot(1, "boot-a", T0 - DAY, clock_set=False, first_ms=T0 - 80_000),
    ):
        assert begun(Machine(60_000, 100.0, is_set=False), T0, first).now().wall_ms == T0 + 1


def test_a_time_service_that_is_silent_after_a_second_start_takes_no_time_away():
    machine = Machine(T0 + HOUR, 100.0, is_set=False, vouched=False)
    first = Boot(1, "boot-a", T0 + HOUR - 100_000 - AGREES_MS, clock_set=True, first_ms=T0)
    clock = begun(machine, T0, first)
    assert clock.now() == Instant(T0 + HOUR, 100.0, wall_is_set=True, vouched=False)
    machine.go(1.0)
    assert clock.look() is None
    assert clock.now().wall_ms == T0 + HOUR + 1000
    assert not begun(machine, T0, Boot(1, "boot-a", T0, clock_set=True, first_ms=T0)).now().wall_is_set


def step(from_ms: int, to_ms: int) -> JournalEntry:
    return JournalEntry("c", to_ms, "clock-set", "clock", {"from_ms": from_ms, "to_ms": to_ms})


def test_a_month_that_was_a_mistake_keeps_no_clock_from_being_believed():
    back = step(T0 + 30 * DAY, T0)
    assert floor_ms(T0 + 30 * DAY - 5000, [step(T0, T0 + 30 * DAY), back]) == T0
    assert floor_ms(T0 + 31 * DAY, [back]) == T0 + 31 * DAY, "time has passed it"
    assert floor_ms(T0 - 5000, [back]) == T0 - 5000
    assert floor_ms(T0, []) == T0
    assert floor_ms(None, [back]) is None
