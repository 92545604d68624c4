"""The serial driver over real pseudo-terminals and the real library."""

import asyncio
import os
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from sensors.driver import LinkLost, LinkRefused
from sensors.line_formats import pairs
from sensors.ports import check_port_name
from sensors.serial_lines import WAITING_LINES, SerialLines
from sensors.simulated import PtyPair
from tests.unit.sensors.helpers import Notes, real_now, running, until


@pytest.fixture
def wire(tmp_path: Path) -> Iterator[PtyPair]:
    pair = PtyPair(tmp_path / "by-id", "usb-fictional-bench")
    yield pair
    pair.close()


def driver(wire: PtyPair, settle_s: float = 0.0) -> SerialLines:
    return SerialLines("bench", wire.port, line_format=pairs(), settle_s=settle_s, now=real_now)


async def lead_in(wire: PtyPair, notes: Notes) -> None:
    """The rest of a line that was under way when the port was opened."""
    wire.write_line(b"H=41.2\n")
    await until(lambda: notes.raw, what="the lead-in")


async def test_whole_lines_become_samples_and_the_first_partial_one_is_dropped(wire: PtyPair) -> None:
    notes = Notes()
    async with running(driver(wire), notes):
        await lead_in(wire, notes)
        wire.write_line(b"T=20.4 RH=41.2\r\nT=20.5 ")
        await until(lambda: notes.samples)
        wire.write_line(b"RH=41.3\n")
        await until(lambda: len(notes.samples) == 2)
    assert [sample.values for sample in notes.samples] == [
        (("temperature_c", 20.4), ("humidity_pct", 41.2)),
        (("temperature_c", 20.5), ("humidity_pct", 41.3)),
    ]
    assert not notes.refusals
    assert notes.threads == {threading.get_ident()}


async def test_boot_text_is_heard_but_not_read_while_the_board_settles(wire: PtyPair) -> None:
    notes = Notes()
    async with running(driver(wire, settle_s=0.3), notes):
        wire.write_line(b"boot\nT=99\n")
        await until(lambda: b"T=99\n" in notes.raw)
        await until(lambda: wire.write_line(b"T=20.4\n") and notes.samples)
    assert set(notes.temperatures) == {20.4}


async def test_an_unreadable_line_is_kept_with_its_reason_and_blocks_nothing(wire: PtyPair) -> None:
    notes = Notes()
    async with running(driver(wire), notes):
        await lead_in(wire, notes)
        wire.write_line(b"T=warm\n" + b"x" * 600 + b"\nT=20.4\n")
        await until(lambda: notes.samples)
    bad, long = notes.refusals
    assert (bad.payload, bad.where) == (b"T=warm", wire.port)
    assert bad.reason == "T: found 'warm'; would be right: a number such as 20.4"
    assert (long.payload, long.reason[:31]) == (b"x" * 512, "found no newline in 512 bytes; ")


async def test_an_unplugged_adapter_is_lost_and_found_again_by_its_name(wire: PtyPair, tmp_path: Path) -> None:
    notes, lines = Notes(), driver(wire)
    async with running(lines, notes) as task:
        await lead_in(wire, notes)
        wire.write_line(b"T=20.4\n")
        await until(lambda: notes.samples)
        wire.close()
        with pytest.raises(LinkLost, match=r"usb-fictional-bench: reading failed .*unplugged"):
            await task
    with pytest.raises(LinkLost, match="usb-fictional-bench: No such file or directory; is it plugged in"):
        await lines.run(notes)
    again = PtyPair(tmp_path / "by-id", "usb-fictional-bench")
    async with running(lines, notes):
        again.write_line(b"\nT=20.5\n")
        await until(lambda: len(notes.samples) == 2)
    again.close()


HOLD = "import serial, sys; p = serial.Serial(sys.argv[1], exclusive=True); print('held', flush=True); sys.stdin.read()"


async def test_a_port_held_by_another_program_is_refused_by_its_name(wire: PtyPair) -> None:
    pipe = asyncio.subprocess.PIPE
    other = await asyncio.create_subprocess_exec(sys.executable, "-c", HOLD, wire.port, stdin=pipe, stdout=pipe)
    assert other.stdout is not None
    assert await other.stdout.readline() == b"held\n"
    try:
        with pytest.raises(LinkRefused, match=rf"held by .*\(pid {other.pid}\); would be right: one reader a port"):
            await driver(wire).run(Notes())
    finally:
        assert other.stdin is not None
        other.stdin.close()
        await other.wait()


@pytest.fixture
def locked_port(wire: PtyPair) -> Iterator[str]:
    """A port that the user we are may not open; root becomes nobody for as long."""
    port = os.path.realpath(wire.port)
    Path(port).chmod(0)
    was = os.geteuid()
    if was == 0:
        os.seteuid(65534)
    yield port
    os.seteuid(was)


async def test_a_missing_permission_is_refused(locked_port: str) -> None:
    with pytest.raises(LinkRefused, match="Permission denied; would be right: a user in the group"):
        await SerialLines("bench", locked_port, line_format=pairs(), now=real_now).run(Notes())


async def test_something_that_is_no_port_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("T=20.4\n")
    lines = SerialLines("bench", str(tmp_path / "file"), line_format=pairs(), now=real_now)
    with pytest.raises(LinkRefused, match="would be right: a serial port"):
        await lines.run(Notes())


async def test_stopping_lets_the_port_and_the_thread_go(wire: PtyPair) -> None:
    lines = driver(wire)
    handles = len(os.listdir("/proc/self/fd"))  # noqa: PTH208 - the kernel's list, not a folder of ours
    for _ in range(3):
        async with running(lines, Notes()) as task:
            task.cancel()
            with pytest.raises(asyncio.CancelledError):
                async with asyncio.timeout(20):
                    await task
    await until(lambda: not any(thread.name == "serial bench" for thread in threading.enumerate()))
    assert len(os.listdir("/proc/self/fd")) == handles  # noqa: PTH208
    assert not wire.is_read


async def test_a_loop_that_lags_loses_the_oldest_lines_and_counts_them(wire: PtyPair) -> None:
    notes = Notes()
    total = WAITING_LINES + 400  # of 400 bytes each: the kernel's own buffer holds far fewer than 400 lines
    async with running(driver(wire), notes):
        await lead_in(wire, notes)
        sent = 0
        # The loop is held on purpose, so that nothing is drained while the thread goes on reading.
        deadline = time.monotonic() + 10
        while sent < total and time.monotonic() < deadline:
            sent += wire.write_line(f"T={sent} note={'x' * 400}\n".encode())
        assert sent == total
        # The kernel may have taken only a part of the last line, whose rest nothing would push.
        await until(lambda: wire.flush() and notes.temperatures[-1:] == [total - 1.0])
    assert len(notes.samples) + notes.lost == total
    assert notes.temperatures == [float(n) for n in range(notes.lost, total)]
    assert notes.lost > 0


async def test_a_bug_in_what_listens_is_raised_and_not_swallowed(wire: PtyPair) -> None:
    class Broken(Notes):
        def heard(self, item: object) -> None:
            raise ZeroDivisionError

    notes = Broken()
    async with running(driver(wire), notes) as task:
        await lead_in(wire, notes)
        wire.write_line(b"T=20.4\n")
        with pytest.raises(ZeroDivisionError):
            await task


@pytest.mark.parametrize("port", ["/dev/ttyUSB0", "/dev/ttyACM12", "ttyUSB3", "COM3", r"\\.\COM10", ""])
def test_numbered_names_are_refused_with_the_lasting_ones(port: str, tmp_path: Path) -> None:
    """Field pitfall 27: numbers are given in the order of plugging in."""
    (tmp_path / "by-id").mkdir()
    (tmp_path / "by-id" / "usb-fictional-bench").touch()
    reason = check_port_name(port, tmp_path)
    assert reason is not None
    assert reason.startswith("found ")
    assert f"there now: {tmp_path}/by-id/usb-fictional-bench" in reason
    assert "none, nothing is plugged in" in str(check_port_name(port, tmp_path / "empty"))


@pytest.mark.parametrize("port", ["/dev/serial/by-id/usb-x", "/dev/serial/by-path/pci-1", "/dev/ttyS0", "/dev/pts/4"])
def test_lasting_names_are_taken(port: str) -> None:
    assert check_port_name(port) is None


async def test_a_pair_drops_and_counts_what_nobody_reads(wire: PtyPair) -> None:
    assert not wire.is_read
    assert not wire.write_line(b"T=1\n")
    assert wire.dropped == 1
    notes = Notes()
    async with running(driver(wire), notes):
        await until(lambda: wire.is_read)
        await lead_in(wire, notes)
        assert b"T=1" not in notes.raw
