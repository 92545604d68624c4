"""Probes on a bus, over a real pseudo-terminal and the real library, and over that library's own server."""

import asyncio
import contextlib
import logging
import os
import sys
import threading
from pathlib import Path

import pytest
from pymodbus import FramerType
from pymodbus.server import ModbusSerialServer
from pymodbus.simulator import DataType, SimData, SimDevice

from sensors.driver import LinkLost, LinkRefused
from sensors.modbus.registers import Figure
from sensors.sample import Heard
from sensors.simulated import PtyPair
from sensors.simulated_probe import Fault, SimulatedProbe
from sensors.supervise import Supervisor
from tests.unit.sensors.bus import AIR, NAME, driver, in_order, joined, plugged, probe
from tests.unit.sensors.helpers import Notes, real_now, running, until


class HandClock:
    """A clock moved by hand: a sleeper wakes when the test has moved it there."""

    def __init__(self) -> None:
        self.mono_s = 100.0
        self.slept: list[float] = []
        self._moved = asyncio.Condition()

    def __call__(self) -> tuple[int, float]:
        return round(self.mono_s * 1000), self.mono_s

    async def sleep(self, seconds: float) -> None:
        until_s = self.mono_s + seconds
        self.slept.append(seconds)
        async with self._moved:
            await self._moved.wait_for(lambda: self.mono_s >= until_s - 1e-9)

    async def move(self, seconds: float) -> None:
        async with self._moved:
            self.mono_s += seconds
            self._moved.notify_all()


def broken(fault: Fault) -> SimulatedProbe:
    return SimulatedProbe(AIR, fault)


async def test_every_probe_is_asked_in_turn_and_both_figures_are_one_sample(tmp_path: Path) -> None:
    notes = Notes()
    units = {1: in_order({0: 204, 1: 412}), 2: in_order({0: 0xFFCE, 1: 800})}
    async with plugged(tmp_path, units) as bus:
        async with running(driver(bus.pair.port, probe("a", 1), probe("b", 2)), notes):
            await until(lambda: len(notes.samples) >= 4)
        assert [question[0] for question in bus.questions][:4] == [1, 2, 1, 2]
    assert [(s.device, s.values) for s in notes.samples[:2]] == [
        ("a", (("temperature_c", 20.4), ("humidity_pct", 41.2))),
        ("b", (("temperature_c", -5.0), ("humidity_pct", 80.0))),
    ]
    assert notes.threads == {threading.get_ident()}
    assert not notes.refusals


@pytest.mark.parametrize(
    ("fault", "kind", "text"),
    [
        ("silent", "timeout", "found no answer; would be right: an answer; look at power"),
        ("crc", "crc", "found 01 04 04 00 cc 01 9c 3a 17 with CRC 3a 17; would be right: CRC 3a 42 over it"),
        ("torn", "torn", "found 4 bytes (01 04 04 00); would be right: 9 beginning 01 04 04"),
        ("exception", "exception 4", "found exception 4 (device failure) to 2 registers from 0 with function 4"),
    ],
)
async def test_a_broken_probe_is_told_once_by_name_and_stops_no_other(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, fault: Fault, kind: str, text: str
) -> None:
    notes = Notes()
    async with plugged(tmp_path, {1: broken(fault).answer, 2: in_order()}) as bus:
        ours = driver(bus.pair.port, probe("bad", 1), probe("good", 2))
        async with running(ours, notes):
            await until(lambda: len(notes.samples) >= 3)
            bus.units[1] = in_order()
            await until(lambda: ours.faults.answered["bad"])
            await until(lambda: "probe bad is back" in caplog.text)
    (refused,) = notes.refusals
    assert refused.reason.startswith(f"probe bad, unit 1: {text}")
    assert refused.where == f"{bus.pair.port} unit 1"
    assert set(ours.faults.counts) == {("bad", kind)}
    assert ours.faults.counts["bad", kind] >= 3
    logged = [r.getMessage() for r in caplog.records]
    assert logged[0] == f"Source bus: probe bad does not answer well ({kind})"
    assert logged[1].startswith("Source bus: probe bad is back after ")
    assert len(logged) == 2


async def test_registers_a_probe_does_not_have_are_refused_with_how_sheets_count(tmp_path: Path) -> None:
    notes = Notes()
    elsewhere = probe(figures=(("temperature", Figure(30001)),))
    async with plugged(tmp_path) as bus, running(driver(bus.pair.port, elsewhere), notes):
        await until(lambda: notes.refusals)
    assert "exception 2 (illegal data address) to 1 registers from 30001" in notes.refusals[0].reason
    assert "would be right: registers of its sheet, counted from 0 (30001" in notes.refusals[0].reason


async def test_a_number_that_is_none_is_refused_with_the_frame_it_came_in(tmp_path: Path) -> None:
    notes = Notes()
    async with plugged(tmp_path, {1: in_order({0: 0x7FC0, 1: 0})}) as bus:
        one = probe(figures=(("temperature", Figure(0, type="float32")),))
        ours = driver(bus.pair.port, one)
        async with running(ours, notes):
            await until(lambda: notes.refusals)
    assert notes.refusals[0].payload[:7] == bytes.fromhex("01 04 04 7fc0 0000")
    assert "found nan; would be right: a finite number" in notes.refusals[0].reason
    assert set(ours.faults.counts) == {("loft", "nonsense")}


async def test_after_a_missing_answer_the_probes_other_questions_wait(tmp_path: Path) -> None:
    # The answer to the first may come late, and an answer does not say to which question.
    notes = Notes()
    apart = probe(figures=(("temperature", Figure(0)), ("humidity_pct", Figure(9))))
    async with plugged(tmp_path, {2: in_order()}) as bus:
        async with running(driver(bus.pair.port, apart, probe("good", 2)), notes):
            await until(lambda: len(notes.samples) >= 2)
        assert [(q[0], q[3]) for q in bus.questions][:4] == [(1, 0), (2, 0), (1, 0), (2, 0)]


async def test_a_spike_an_echo_and_a_late_stranger_before_the_answer_do_no_harm(tmp_path: Path) -> None:
    notes = Notes()

    def noisy(question: bytes) -> bytes:
        late = SimulatedProbe({0: 1, 1: 1}).answer(b"\x05" + question[1:])
        return b"\x00" + question + late + SimulatedProbe(AIR).answer(question) + b"\xff"

    async with plugged(tmp_path, {1: noisy}) as bus, running(driver(bus.pair.port), notes):
        await until(lambda: len(notes.samples) >= 3)
    assert set(notes.temperatures) == {20.4}
    assert not notes.refusals


async def test_polls_keep_to_the_clocks_grid_and_a_pause_is_not_made_up_for(tmp_path: Path) -> None:
    clock, notes = HandClock(), Notes()
    async with plugged(tmp_path) as bus, running(driver(bus.pair.port, period_s=30.0, now=clock), notes):
        await until(lambda: len(clock.slept) == 1)
        for step_s in (30.0, 30.25, 29.75, 3600.0, 30.0):
            before = len(clock.slept)
            await clock.move(step_s)
            await until(lambda: len(clock.slept) > before)  # noqa: B023 - awaited in this turn
        assert len(notes.samples) == 6
    assert [s.heard_mono_s - 100.0 for s in notes.samples] == [0.0, 30.0, 60.25, 90.0, 3690.0, 3720.0]
    assert clock.slept == pytest.approx([30.0, 30.0, 29.75, 30.0, 30.0, 30.0])


async def test_an_unplugged_adapter_is_lost_at_once_and_found_again_by_its_name(tmp_path: Path) -> None:
    """Field pitfall 6: neither a dead reader nor a loop of errors; the supervisor opens the same name again."""
    heard: list[Heard] = []
    ours = driver(str(tmp_path / NAME), timeout_s=5.0)
    wire = Supervisor("bus", "modbus", NAME, ours, heard.append, real_now, pause=lambda _n, _r: 0.01)
    task = asyncio.create_task(wire.run())
    async with plugged(tmp_path):
        await until(lambda: heard)
    # Unplugged in the middle of a question or between two: in neither case is the timeout waited for.
    await until(lambda: wire.state().state == "lost", within_s=4.0)
    await until(lambda: wire.state().last_error.endswith("No such file or directory; is it plugged in?"))
    before = len(heard)
    async with plugged(tmp_path):
        await until(lambda: len(heard) > before)
        assert wire.state().reconnects == 1
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def test_a_port_that_goes_while_a_question_waits_is_lost(tmp_path: Path) -> None:
    pair = PtyPair(tmp_path, NAME)
    async with running(driver(pair.port, timeout_s=10.0), Notes()) as task:
        await until(pair.read)
        pair.close()
        with pytest.raises(LinkLost, match=f"{NAME}: reading failed; is it unplugged"):
            await asyncio.wait_for(task, 5)


HOLD = "import serial, sys; p = serial.Serial(sys.argv[1], exclusive=True); print('held', flush=True); sys.stdin.read()"


async def test_a_port_held_by_another_program_is_refused_by_its_name(tmp_path: Path) -> None:
    """Field pitfall 26: opened for us alone, and the other program is named."""
    pipe = asyncio.subprocess.PIPE
    async with plugged(tmp_path) as bus:
        other = await asyncio.create_subprocess_exec(sys.executable, "-c", HOLD, bus.pair.port, stdin=pipe, stdout=pipe)
        assert other.stdin is not None
        assert other.stdout is not None
        assert await other.stdout.readline() == b"held\n"
        try:
            with pytest.raises(LinkRefused, match=rf"held by .*\(pid {other.pid}\); would be right: one reader a port"):
                await driver(bus.pair.port).run(Notes())
        finally:
            other.stdin.close()
            await other.wait()
        async with running(driver(bus.pair.port), Notes()):
            with pytest.raises(LinkRefused, match="would be right: one reader a port"):
                await driver(bus.pair.port).run(Notes())


async def test_something_that_is_no_port_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("T=20.4\n")
    with pytest.raises(LinkRefused, match="would be right: a serial port"):
        await driver(str(tmp_path / "file")).run(Notes())


@pytest.mark.parametrize("units", [{}, {1: in_order()}], ids=["waiting for an answer", "answered"])
async def test_stopping_is_at_once_and_lets_the_port_go(tmp_path: Path, units: dict[int, object]) -> None:
    """Field pitfall 28: no thread blocks in a read, so a stop waits for no timeout, not even a long one."""
    threads = threading.active_count()
    async with plugged(tmp_path, units) as bus:  # type: ignore[arg-type]
        handles = len(os.listdir("/proc/self/fd"))  # noqa: PTH208 - the kernel's list, not a folder of ours
        ours = driver(bus.pair.port, timeout_s=60.0, period_s=100.0)
        for n in range(3):
            async with running(ours, Notes()) as task:
                await until(lambda: len(bus.questions) > n)  # noqa: B023 - awaited in this turn
                task.cancel()
                with pytest.raises(asyncio.CancelledError):
                    await asyncio.wait_for(asyncio.shield(task), 5)
        await until(lambda: not bus.pair.is_read)
        assert len(os.listdir("/proc/self/fd")) <= handles  # noqa: PTH208
    assert threading.active_count() <= threads


async def test_stopping_while_the_port_is_being_opened_leaves_nothing_open(tmp_path: Path) -> None:
    problems: list[object] = []
    asyncio.get_running_loop().set_exception_handler(lambda _loop, context: problems.append(context))
    async with plugged(tmp_path) as bus:
        for turns in range(4):
            task = asyncio.create_task(driver(bus.pair.port).run(Notes()))
            for _ in range(turns):
                await asyncio.sleep(0)
            task.cancel()
            with pytest.raises(asyncio.CancelledError):
                await task
            await asyncio.sleep(0)
        assert not bus.pair.is_read
    assert not problems


async def test_the_library_says_nothing_in_the_log_of_its_own(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG, logger="sensors")
    notes = Notes()
    async with plugged(tmp_path, {1: broken("silent").answer}) as bus, running(driver(bus.pair.port), notes):
        await until(lambda: len(bus.questions) >= 3)
    assert not [r for r in caplog.records if r.name.startswith("pymodbus")]


async def test_the_librarys_own_server_is_understood(tmp_path: Path) -> None:
    """Field pitfall 31: the contract against the library's own server, which knows nothing of our simulated probes."""
    notes = Notes()
    device = SimDevice(id=3, simdata=[SimData(address=0, values=[0xFFCE, 412], datatype=DataType.REGISTERS)])
    beyond = probe("beyond", 3, figures=(("temperature", Figure(700)),))
    async with joined(tmp_path) as (near, far):
        server = ModbusSerialServer(device, port=far, framer=FramerType.RTU, baudrate=9600)
        serving = asyncio.create_task(server.serve_forever())
        ours = driver(near, probe("loft", 3), beyond, timeout_s=5.0)
        try:
            async with running(ours, notes):
                await until(lambda: len(notes.samples) >= 3)
        finally:
            await server.shutdown()
            serving.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await serving
    assert {s.values for s in notes.samples} == {(("temperature_c", -5.0), ("humidity_pct", 41.2))}
    assert set(ours.faults.counts) == {("beyond", "exception 2")}


def test_a_failing_is_said_once_then_counted_and_again_only_after_an_hour() -> None:
    faults = driver("port").faults
    assert faults.failed("loft", "timeout", 0.0) == ""
    assert [faults.failed("loft", "timeout", t) for t in range(1, 40_000, 30)] == [None] * 1334  # a whole night
    assert faults.counts["loft", "timeout"] == 1335
    faults.answered_well("loft")
    assert faults.failed("loft", "timeout", 40_000.0) == "; 1334 more such since it was last said"
    faults.answered_well("loft")  # fails and answers by turns
    assert faults.failed("loft", "timeout", 40_030.0) is None
    assert faults.failed("loft", "crc", 40_060.0) == ""
    assert faults.failed("loft", "timeout", 40_090.0) is None
    assert faults.failed("other", "timeout", 40_090.0) == ""
    assert faults.failed("loft", "crc", 43_700.0) == ""
