"""What goes wrong on a serial wire, over real pseudo-terminals: each is refused, waited for or bounded, and none of it
stops the source."""

import asyncio
import contextlib
import logging
import os
import subprocess
import sys
import threading
import tty
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
import serial

from sensors import serial_lines
from sensors.checksums import checked
from sensors.driver import LinkRefused
from sensors.line_formats import LINE_LIMIT, LineFormat, json_lines, numbers, pairs
from sensors.sample import RawSample
from sensors.serial_lines import LINES_A_TURN, WAITING_LINES, SerialLines
from sensors.serial_port import opened
from sensors.simulated import PtyPair
from sensors.supervise import Supervisor
from tests.unit.sensors.helpers import Notes, real_now, running, until


@pytest.fixture
def wire(tmp_path: Path) -> Iterator[PtyPair]:
    pair = PtyPair(tmp_path / "by-id", "usb-fictional-bench")
    yield pair
    pair.close()


def driver(port: str, line_format: LineFormat | None = None, settle_s: float = 0.0) -> SerialLines:
    return SerialLines("bench", port, line_format=line_format or pairs(), settle_s=settle_s, now=real_now)


async def send(wire: PtyPair, content: bytes) -> None:
    """All of it, however slowly it is read: each part is taken whole or not at all."""
    for start in range(0, len(content), 1024):
        part = content[start : start + 1024]
        await until(lambda part=part: wire.write_line(part), what="room for it")  # type: ignore[misc]


COLUMNS = numbers(order=["temperature_c", "humidity_pct"])


@pytest.mark.parametrize(
    ("line_format", "line", "reason"),
    [
        (pairs(), b"RH=4T=20.4 RH=41.2", "found 'RH=4T=20.4'; would be right: pairs"),
        (COLUMNS, b"20.4,4120.5,41.3", "found 3 columns"),
        (json_lines(), b'{"t": 20.4, "h": 4', "would be right: one JSON value"),
        (checked(pairs(), "xor-hex"), b"T=20.4 RH=41.", "found no checksum"),
        (pairs(), b"boot: sensor v1.2 ready", "found 'boot:'; would be right: pairs"),
        (COLUMNS, b"rst:0x1 (POWERON)", "found 1 columns"),
        (json_lines(), b"ready", "would be right: one JSON value"),
        (pairs(), b"T=\xff\xfe\x80", "found bytes ff fe 80 at 2; would be right: UTF-8 text"),
        (pairs(), b"T=20.4\x00 RH=41.2", "found '20.4.x00'"),
        (pairs(), b"T=NaN RH=41.2", "T: found 'NaN'; would be right: a number"),
        (COLUMNS, b"Infinity,41.2", "temperature_c: found 'Infinity'; would be right: a number"),
        (json_lines(), b'{"t": NaN, "h": 41.2}', "found NaN; would be right: a finite number"),
        (json_lines(), b'{"t": 20.4, "h": Infinity}', "found Infinity; would be right: a finite number"),
        (json_lines(), b'{"t": 1e999}', "t: found inf; would be right: a finite number"),
        (pairs(), b"temperature_c=68F RH=41.2", "found unit F; would be right: C, as the key says"),
        (pairs(), b"T=20.4 RH=41.2C", "RH: found unit C; would be right: % or none"),
        (pairs(), b"T=20.4 t=30.4", "found temperature_c twice, as T and t; would be right: once"),
        (json_lines(), b'{"t": 20.4, "id": "loft", "ID": "attic"}', "found id twice, as id and ID; would be right"),
    ],
)
async def test_a_line_that_is_none_is_refused_and_the_next_is_read(
    line_format: LineFormat, line: bytes, reason: str, wire: PtyPair
) -> None:
    """Field pitfall 5: only whole lines that match the format are readings."""
    notes = Notes()
    async with running(driver(wire.port, line_format), notes):
        wire.write_line(b"\n" + line + b"\n")
        await until(lambda: notes.refusals, what="the refusal")
        wire.write_line(b'T=20.4 RH=41.2\n20.4,41.2\n{"t": 20.4, "h": 41.2}\nT=20.4 RH=41.2*6F\n')
        await until(lambda: notes.samples, what="the next line")
    refused = notes.refusals[0]
    assert (refused.source, refused.where, refused.payload) == ("bench", wire.port, line)
    assert reason.replace(".x00", "\\x00") in refused.reason
    assert notes.samples[0].values == (("temperature_c", 20.4), ("humidity_pct", 41.2))


@pytest.mark.parametrize(
    ("line", "values"),
    [
        (b"T=1e308 RH=41.2", (("temperature_c", 1e308), ("humidity_pct", 41.2))),
        (b"T=20.4 RH=101%", (("temperature_c", 20.4), ("humidity_pct", 101.0))),
        (b"T=-45 RH=0", (("temperature_c", -45.0), ("humidity_pct", 0.0))),
    ],
)
async def test_what_is_a_number_is_handed_on_for_screening_to_judge(
    line: bytes, values: tuple[tuple[str, float], ...], wire: PtyPair
) -> None:
    notes = Notes()
    async with running(driver(wire.port), notes):
        wire.write_line(b"\n" + line + b"\n")
        await until(lambda: notes.samples)
    assert notes.samples[0].values == values


async def test_a_megabyte_without_a_newline_is_one_refusal(wire: PtyPair) -> None:
    """Field pitfall 5: a wrong baud rate, or noise. It is told once, and the first whole line after it is read."""
    notes = Notes()
    async with running(driver(wire.port), notes):
        await send(wire, b"\n" + b"U" * 1_000_000 + b"\n")
        await send(wire, b"T=20.4\n")
        await until(lambda: notes.samples)
    (refused,) = notes.refusals
    assert refused.payload == b"U" * LINE_LIMIT
    assert "found no newline in 512 bytes; would be right: shorter lines; on a serial port" in refused.reason
    assert notes.lost == 0


async def test_bytes_without_any_newline_are_told_even_if_the_board_was_settling(wire: PtyPair) -> None:
    """Field pitfall 5: at a wrong baud rate no line may ever end, and silence would tell nobody why."""
    notes = Notes()
    async with running(driver(wire.port, settle_s=0.2), notes):
        await until(lambda: wire.write_line(b"\xe6" * 700) and notes.refusals, what="one refusal")
        wire.write_line(b"\xe6" * 2000)
        await until(lambda: notes.raw.endswith(b"\xe6" * 240))
    assert len(notes.refusals) == 1
    assert not notes.samples


def test_nothing_is_lost_that_is_sent_the_moment_the_port_opens(tmp_path: Path) -> None:
    """Field pitfall 5: thrown away by the opening, it would take a piece out of the middle. Tried often, since each try
    meets the moment by chance."""

    def read_to_the_end(port: str, got: list[bytes]) -> None:
        with opened(port, 9600) as handle:
            for _ in range(40):
                got.append(handle.read(max(1, handle.in_waiting)))
                if got[-1].endswith(b"END\n"):
                    return

    for n in range(40):
        pair, got = PtyPair(tmp_path / "by-id", f"usb-{n}"), []  # type: ignore[var-annotated]
        reader = threading.Thread(target=read_to_the_end, args=(pair.port, got))
        reader.start()
        while not pair.is_read:
            pass
        for line in (b"first\n", b"second\n", b"END\n"):
            assert pair.write_line(line)
        reader.join()
        pair.close()
        assert b"".join(got) == b"first\nsecond\nEND\n"


@pytest.fixture
def open_port(wire: PtyPair) -> Path:
    """The port itself, which every user may open."""
    port = Path(wire.port).resolve()
    port.chmod(0o666)
    return port


def gets_in(port: Path) -> bool:
    """Whether a program of an ordinary user can open it."""
    user = 65534 if os.geteuid() == 0 else None
    return subprocess.run(["/bin/sh", "-c", f": < {port}"], user=user, capture_output=True, cwd="/").returncode == 0


HOLD_OPEN = "import os, sys; os.open(sys.argv[1], os.O_RDWR); print('held', flush=True); sys.stdin.read()"


async def test_a_program_that_locks_nothing_is_named_too(wire: PtyPair, open_port: Path) -> None:
    """Field pitfall 26: who reads without a lock would get half of each line, and we the other half."""
    pipe = asyncio.subprocess.PIPE
    other = await asyncio.create_subprocess_exec(sys.executable, "-c", HOLD_OPEN, wire.port, stdin=pipe, stdout=pipe)
    assert other.stdout is not None
    assert other.stdin is not None
    assert await other.stdout.readline() == b"held\n"
    notes = Notes()
    try:
        with pytest.raises(
            LinkRefused, match=rf"also read by .*\(pid {other.pid}\); would be right: one reader a port"
        ):
            await driver(wire.port).run(notes)
    finally:
        other.stdin.close()
        await other.wait()
    async with running(driver(wire.port), notes):
        wire.write_line(b"\nT=20.4\n")
        await until(lambda: notes.samples)


async def test_nobody_else_gets_in_while_we_read_and_anybody_afterwards(wire: PtyPair, open_port: Path) -> None:
    """Field pitfall 26: the kernel refuses whoever comes later, unless it is root; the mark goes when we go."""
    async with running(driver(wire.port), Notes()):
        assert not await asyncio.to_thread(gets_in, open_port)
    assert await asyncio.to_thread(gets_in, open_port)


async def test_our_own_second_reader_is_refused_by_name(wire: PtyPair) -> None:
    """Field pitfall 26: two sources of one configuration on one port."""
    async with running(driver(wire.port), Notes()):
        with pytest.raises(LinkRefused, match=rf"held by .*\(pid {os.getpid()}\)"):
            await driver(wire.port).run(Notes())


async def test_unplugged_and_returned_is_one_line_down_and_one_up(
    wire: PtyPair, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Field pitfall 6: no loop of errors, however often it is tried meanwhile; readings resume."""
    items: list[object] = []
    tries = 0

    def pause(_failures: int, _refused: bool) -> float:
        nonlocal tries
        tries += 1
        return 0.01

    lines = driver(wire.port)
    wire_state = Supervisor("bench", "serial", wire.port, lines, items.append, real_now, pause=pause)
    caplog.set_level(logging.INFO)
    task = asyncio.create_task(wire_state.run())
    await until(lambda: wire.write_line(b"\nT=20.4\n") and items)
    wire.close()
    await until(lambda: tries >= 6, what="several tries")
    assert wire_state.state().state == "lost"
    assert "is it plugged in?" in wire_state.state().last_error
    again = PtyPair(tmp_path / "by-id", "usb-fictional-bench")
    before = len(items)
    await until(lambda: again.write_line(b"\nT=20.5\n") and len(items) > before, what="readings again")
    assert (wire_state.state().state, wire_state.state().reconnects) == ("listening", 1)
    task.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await task
    again.close()
    said = [record.getMessage() for record in caplog.records if record.levelno >= logging.INFO]
    assert [text.split(":")[0] for text in said] == ["Source bench is lost", "Source bench is back"]
    assert all(isinstance(item, RawSample) for item in items)


async def test_half_a_line_from_before_is_not_joined_to_one_from_after(wire: PtyPair, tmp_path: Path) -> None:
    """Field pitfall 6: what was under way when the plug was pulled is gone."""
    notes, lines = Notes(), driver(wire.port)
    async with running(lines, notes) as task:
        wire.write_line(b"\nT=20.4\nT=2")
        await until(lambda: notes.raw.endswith(b"T=2"))
        wire.close()
        with contextlib.suppress(Exception):
            await task
    again = PtyPair(tmp_path / "by-id", "usb-fictional-bench")
    async with running(lines, notes):
        again.write_line(b"0.4 RH=41.2\nT=20.5\n")
        await until(lambda: len(notes.samples) == 2)
    again.close()
    assert notes.temperatures == [20.4, 20.5]
    assert not notes.refusals


async def test_a_stop_ends_although_the_port_never_lets_go(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Field pitfall 28: five seconds for the whole shop, also where the kernel's driver holds our read for ever."""
    free, reading = threading.Event(), threading.Event()

    def read(_size: int) -> bytes:
        reading.set()
        free.wait()
        return b""

    @contextlib.contextmanager
    def never_returns(_name: str, _baud: int) -> Iterator[SimpleNamespace]:
        yield SimpleNamespace(in_waiting=0, read=read)

    monkeypatch.setattr(serial_lines, "opened", never_returns)
    assert serial_lines.LET_GO_S < 5
    monkeypatch.setattr(serial_lines, "LET_GO_S", 0.05)
    async with running(driver("/fictional/port"), Notes()) as task:
        await until(reading.is_set)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await asyncio.wait_for(asyncio.shield(task), 20)
    free.set()
    await until(lambda: not any(thread.name == "serial bench" for thread in threading.enumerate()))
    assert "Source bench: /fictional/port does not let go of its reader; left behind" in caplog.text


async def test_what_waits_already_when_the_port_opens_is_read_after_connected(monkeypatch: pytest.MonkeyPatch) -> None:
    chunks = [b"7\nT=20.4\n", b"T=20.5\n"]

    @contextlib.contextmanager
    def full(_name: str, _baud: int) -> Iterator[SimpleNamespace]:
        yield SimpleNamespace(in_waiting=0, read=lambda _size: chunks.pop(0) if chunks else b"")

    monkeypatch.setattr(serial_lines, "opened", full)
    notes = Notes()
    async with running(driver("/fictional/port"), notes):
        await until(lambda: len(notes.samples) == 2)
    assert notes.events[0] == "connected"
    assert notes.temperatures == [20.4, 20.5]


async def test_what_was_read_before_a_stop_is_heard(wire: PtyPair) -> None:
    """Field pitfall 28: stopping gives up nothing that has come whole, though decoding has its turns."""
    notes = Notes()
    async with running(driver(wire.port), notes) as task:
        await send(wire, b"\n" + b"".join(b"T=%d\n" % n for n in range(700)))
        await until(lambda: notes.raw.endswith(b"T=699\n"), what="the last line, read but not yet decoded")
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
    assert notes.temperatures == [float(n) for n in range(700)]


async def test_a_bug_in_what_listens_does_not_keep_a_stop_from_ending(
    wire: PtyPair, caplog: pytest.LogCaptureFixture
) -> None:
    class Breaks(Notes):
        broken = False

        def heard(self, item: object) -> None:
            if self.broken:
                raise ZeroDivisionError
            super().heard(item)  # type: ignore[arg-type]

    notes = Breaks()
    async with running(driver(wire.port), notes) as task:
        await send(wire, b"\n" + b"".join(b"T=%d\n" % n for n in range(700)))
        await until(lambda: notes.samples)
        notes.broken = True
        task.cancel()
        with pytest.raises((asyncio.CancelledError, ZeroDivisionError)):
            await task


FLOOD = """
import os, sys
sent, master = 0, int(sys.argv[1])
os.write(1, b"ready\\n")
while True:
    block = b"".join(b"T=20.4 RH=41.2 n=%d\\n" % n for n in range(sent, sent + 500))
    while block:
        block = block[os.write(master, block):]
    sent += 500
"""


@contextlib.contextmanager
def flooding(folder: Path) -> Iterator[str]:
    """A port on which another process writes lines as fast as the kernel takes them."""
    master, slave = os.openpty()
    tty.setraw(slave)
    link = folder / "usb-flood"
    link.symlink_to(os.ttyname(slave))
    os.close(slave)
    command = [sys.executable, "-c", FLOOD, str(master)]
    with subprocess.Popen(command, pass_fds=[master], stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        yield str(link)
        process.kill()
    os.close(master)


async def test_a_flood_is_bounded_and_counted_and_starves_no_other_wire(wire: PtyPair, tmp_path: Path) -> None:
    """Nothing grows: what is neither heard nor counted as dropped is what may wait. Other wires lose nothing."""
    numbered: list[tuple[int, int]] = []

    def numbering(line: bytes) -> object:
        said = pairs()(line)
        numbered.append((int(line.rpartition(b"=")[2]), flood.lost))
        return said

    flood, other = Notes(), Notes()
    with flooding(tmp_path) as port:
        async with running(driver(wire.port), other), running(driver(port, numbering), flood):  # type: ignore[arg-type]
            wire.write_line(b"\n")
            for n in range(40):
                assert wire.write_line(b"T=%d\n" % n)
                await until(lambda n=n: len(other.samples) > n, what="the other wire")  # type: ignore[misc]
            await until(lambda: flood.lost > 20 * WAITING_LINES, within_s=60, what="many lines dropped")
            assert wire.write_line(b"T=40\n")
            await until(lambda: len(other.samples) == 41)
            before = len(flood.samples)
    # All that waited was heard at the end: no more than is held, and the turn that was due.
    assert len(flood.samples) - before <= WAITING_LINES + LINES_A_TURN
    assert (other.lost, other.temperatures) == (0, [float(n) for n in range(41)])
    assert not flood.refusals
    # Every line is heard or counted: a line's number is how many were heard or dropped before it, from the first on.
    first = numbered[0][0]
    assert all(n - first == heard + lost - numbered[0][1] for heard, (n, lost) in enumerate(numbered))


@pytest.mark.parametrize("noise", [b"\xff" * 4096, b"\n" * 4096, b"T=20.4" * 683, b"\0\n" * 2048], ids=range(4))
async def test_noise_of_every_kind_leaves_the_wire_alive(noise: bytes, wire: PtyPair) -> None:
    notes = Notes()
    async with running(driver(wire.port), notes):
        await send(wire, noise * 20)
        await send(wire, b"\nT=20.4\n")
        await until(lambda: notes.samples)
    assert notes.temperatures == [20.4]


def test_a_pair_tells_that_its_reader_threw_away_what_waited(tmp_path: Path) -> None:
    """Libraries empty a port after opening it: what was sent in between is lost, so who sends must know."""
    with contextlib.closing(PtyPair(tmp_path, "usb-fictional")) as pair:
        pair.watch(on=True)
        assert not pair.was_emptied()
        with serial.Serial(pair.port) as port:
            assert pair.was_emptied()
            assert not pair.was_emptied()
            port.write(b"said")
            assert not pair.was_emptied()
            pair.watch(on=False)
            port.write(b"on")
            assert pair.read() == b"on"
