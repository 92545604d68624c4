"""What the machine says of its wall clock, on machines of every kind."""

from __future__ import annotations

from pathlib import Path

import pytest

from server import time_service
from server.clock import LATEST_MS, SystemClock
from server.time_service import BATTERY_AGREES_MS, kernel_synchronised, machine_boot, synchronised

T0 = 1_799_755_200_000


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(time_service, "TIME_SERVICE", tmp_path / "timesync")
    monkeypatch.setattr(time_service, "SYNCHRONISED", tmp_path / "timesync" / "synchronized")
    monkeypatch.setattr(time_service, "OTHER_SERVICES", (tmp_path / "other.pid",))
    monkeypatch.setattr(time_service, "BATTERY_CLOCK", tmp_path / "since_epoch")
    monkeypatch.setattr(time_service, "kernel_synchronised", lambda: False)
    return tmp_path


def test_without_any_time_service_nobody_can_say(machine: Path):
    assert synchronised(T0) is None


def test_a_service_that_has_not_looked_says_no_and_then_yes(machine: Path):
    (machine / "timesync").mkdir()
    assert synchronised(T0) is False
    (machine / "timesync" / "synchronized").touch()
    assert synchronised(T0) is True


def test_another_service_is_asked_through_the_kernel(machine: Path, monkeypatch: pytest.MonkeyPatch):
    (machine / "other.pid").touch()
    assert synchronised(T0) is False
    monkeypatch.setattr(time_service, "kernel_synchronised", lambda: True)
    assert synchronised(T0) is True


@pytest.mark.parametrize(("off_ms", "said"), [(0, None), (BATTERY_AGREES_MS, None), (BATTERY_AGREES_MS + 1000, False)])
def test_an_offline_board_with_a_battery_is_not_without_a_time_for_ever(machine: Path, off_ms: int, said: bool | None):
    (machine / "timesync").mkdir()
    (machine / "since_epoch").write_text(f"{(T0 - off_ms) // 1000}\n")
    assert synchronised(T0) is said


def test_the_kernel_answers_without_being_changed():
    assert kernel_synchronised() in (True, False)


def test_a_boot_has_a_name_that_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    assert machine_boot() == machine_boot() != ""
    monkeypatch.setattr(time_service, "BOOT_ID", tmp_path / "none")
    assert machine_boot() != machine_boot()


def test_the_clock_asks_until_it_is_vouched_for_and_never_after():
    answers = iter([False, None, True])
    asked: list[int] = []

    def ask(wall_ms: int) -> bool | None:
        asked.append(wall_ms)
        return next(answers)

    clock = SystemClock(ask=ask)
    clock._asked_s = None
    found = []
    for _ in range(5):
        now = clock.now()
        found.append((now.wall_is_set, now.vouched))
        clock._asked_s = None  # as after a second
    assert found == [(False, False), (True, None), (True, True), (True, True), (True, True)]
    assert len(asked) == 3


def test_a_wall_clock_of_the_far_future_is_not_set(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("server.clock.time.time_ns", lambda: LATEST_MS * 1_000_000)
    assert not SystemClock().now().wall_is_set
