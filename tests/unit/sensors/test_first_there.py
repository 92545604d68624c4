"""Another device in the place of the first is not used until a person has confirmed it. The devices are fictional; the
port is a real pseudo-terminal, the system's tree of devices a copy of its shape in a folder."""

import errno
import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from sensors.catalog import SOURCE_KINDS
from sensors.driver import LinkLost, LinkRefused
from sensors.first_there import FirstThereFile, OneName, SameDevice, Waiting, confirm, waiting
from sensors.line_formats import pairs
from sensors.sample import RawSample, RefusedPayload
from sensors.serial_lines import SerialLines
from sensors.simulated import PtyPair
from sensors.state_file import write_whole
from sensors.usb import UsbDevice, alike, usb_device
from tests.unit.sensors.helpers import Notes, real_now, running, until

PROBE = {"idVendor": "f1c7", "idProduct": "0001", "serial": "A-17", "manufacturer": "Fictional", "product": "Probe"}
OTHER = {**PROBE, "serial": "B-42"}


class Sockets:
    """A tree like ``/sys``: sockets with USB devices in them, each with one serial port."""

    def __init__(self, root: Path) -> None:
        self.root = root
        for folder in ("dev/char", "class/tty"):
            (root / folder).mkdir(parents=True)

    def plug(self, socket: str, port: str, attributes: dict[str, str]) -> None:
        """The device in ``socket`` is behind ``port``, which exists."""
        hub = self.root / "devices" / "usb1"
        tty = hub / socket / f"{socket}:1.0" / "tty" / f"ttyUSB{socket[-1]}"
        tty.mkdir(parents=True, exist_ok=True)
        for folder, said in ((hub, {"idVendor": "0000", "idProduct": "0002"}), (hub / socket, attributes)):
            for name, value in said.items():
                (folder / name).write_text(f"{value}\n")
        number = Path(port).stat().st_rdev
        for link in (f"dev/char/{os.major(number)}:{os.minor(number)}", f"class/tty/{tty.name}"):
            (self.root / link).unlink(missing_ok=True)
            (self.root / link).symlink_to(tty)

    def pull(self, port: str) -> None:
        number = Path(port).stat().st_rdev
        (self.root / f"dev/char/{os.major(number)}:{os.minor(number)}").unlink()


@pytest.fixture
def sockets(tmp_path: Path) -> Sockets:
    return Sockets(tmp_path / "sys")


@pytest.fixture
def wire(tmp_path: Path) -> Iterator[PtyPair]:
    pair = PtyPair(tmp_path / "by-path", "socket-1")
    yield pair
    pair.close()


def same_device(wire: PtyPair, tmp_path: Path) -> SameDevice:
    return SameDevice(wire.port, FirstThereFile("bench", wire.port, tmp_path), tmp_path / "sys")


def test_the_system_tells_which_device_a_port_is(wire: PtyPair, sockets: Sockets) -> None:
    assert usb_device(wire.port, sockets.root) is None
    sockets.plug("1-1", wire.port, PROBE)
    device = usb_device(wire.port, sockets.root)
    assert device == UsbDevice("f1c7", "0001", "A-17", "Fictional Probe")
    assert str(device) == "Fictional Probe (f1c7:0001, serial number A-17)"
    assert usb_device("/no/such/port", sockets.root) is None


def test_what_a_device_says_of_itself_is_bounded_and_printable(wire: PtyPair, sockets: Sockets) -> None:
    sockets.plug("1-1", wire.port, {"idVendor": "f1c7", "idProduct": "0001", "product": "x\x1b[2J" + "y" * 999})
    device = usb_device(wire.port, sockets.root)
    assert device == UsbDevice("f1c7", "0001", "", "x[2J" + "y" * 60)
    assert str(device).endswith("(f1c7:0001, no serial number)")


def test_a_pseudo_terminal_is_no_usb_device(wire: PtyPair) -> None:
    assert usb_device(wire.port) is None


def test_another_device_in_the_socket_is_refused_until_a_person_confirms_it(
    wire: PtyPair, sockets: Sockets, tmp_path: Path
) -> None:
    """Field pitfall 27: a name by path stands for a socket, not for what is in it."""
    check = same_device(wire, tmp_path)
    sockets.plug("1-1", wire.port, PROBE)
    check()
    check()
    assert waiting("bench", tmp_path) is None
    sockets.plug("1-1", wire.port, OTHER)
    said = (
        rf"^{re.escape(wire.port)}: found another device, Fictional Probe \(f1c7:0001, serial number B-42\); would be "
        r"right: the device that was here first, Fictional Probe \(f1c7:0001, serial number A-17\), or a person who"
    )
    for _ in range(2):
        with pytest.raises(LinkRefused, match=said):
            same_device(wire, tmp_path)()  # also after a restart
    asked = Waiting(
        "Fictional Probe (f1c7:0001, serial number A-17)", "Fictional Probe (f1c7:0001, serial number B-42)"
    )
    assert waiting("bench", tmp_path) == asked
    assert confirm("bench", tmp_path) == asked
    check()
    assert waiting("bench", tmp_path) is None
    sockets.plug("1-1", wire.port, PROBE)
    with pytest.raises(LinkRefused, match="serial number A-17"):
        check()


def test_the_first_device_back_in_its_socket_needs_nobody(wire: PtyPair, sockets: Sockets, tmp_path: Path) -> None:
    check = same_device(wire, tmp_path)
    sockets.plug("1-1", wire.port, PROBE)
    check()
    sockets.plug("1-1", wire.port, OTHER)
    with pytest.raises(LinkRefused):
        check()
    sockets.plug("1-1", wire.port, PROBE)
    check()
    assert waiting("bench", tmp_path) is None
    with pytest.raises(ValueError, match="bench: found nothing to confirm; would be right: a source with another"):
        confirm("bench", tmp_path)


def test_only_what_was_shown_is_confirmed(wire: PtyPair, sockets: Sockets, tmp_path: Path) -> None:
    check = same_device(wire, tmp_path)
    for attributes in (PROBE, OTHER):
        sockets.plug("1-1", wire.port, attributes)
        try:
            check()
        except LinkRefused:
            confirm("bench", tmp_path)
    sockets.plug("1-1", wire.port, {**PROBE, "serial": "C-99"})
    with pytest.raises(LinkRefused, match=r"C-99.* B-42"):
        check()


def test_a_device_of_which_nothing_can_be_told_is_waited_for(wire: PtyPair, sockets: Sockets, tmp_path: Path) -> None:
    check = same_device(wire, tmp_path)
    check()  # no USB device, and none known: nothing to compare
    sockets.plug("1-1", wire.port, PROBE)
    check()
    sockets.pull(wire.port)
    with pytest.raises(LinkLost, match=r"found no USB device behind it; would be right: Fictional Probe"):
        check()
    wire.close()
    check()  # a port that is not there is left to whoever opens it


def test_two_alike_share_a_name_by_id_which_is_refused(sockets: Sockets, tmp_path: Path) -> None:
    """Field pitfall 27: identical adapters share one name by id, which stands for the last one plugged in."""
    twin = {**PROBE, "serial": ""}
    by_id, by_path = PtyPair(tmp_path / "by-id", "usb-probe"), PtyPair(tmp_path / "by-path", "socket-2")
    sockets.plug("1-1", by_id.port, twin)
    same_device(by_id, tmp_path)()
    sockets.plug("1-2", by_path.port, twin)
    assert alike(UsbDevice("f1c7", "0001", ""), sockets.root) == 2
    with pytest.raises(LinkRefused, match=r"found 2 devices alike, .*would be right: a name below /dev/serial/by-path"):
        same_device(by_id, tmp_path)()
    same_device(by_path, tmp_path)()
    by_id.close()
    by_path.close()


def test_another_port_in_the_configuration_begins_anew(wire: PtyPair, sockets: Sockets, tmp_path: Path) -> None:
    sockets.plug("1-1", wire.port, PROBE)
    same_device(wire, tmp_path)()
    moved = PtyPair(tmp_path / "by-path", "socket-2")
    sockets.plug("1-2", moved.port, OTHER)
    same_device(moved, tmp_path)()
    assert waiting("bench", tmp_path) is None
    (file,) = (tmp_path / "first-there").iterdir()
    assert OTHER["serial"] in file.read_text()
    assert PROBE["serial"] not in file.read_text()
    moved.close()


@pytest.mark.parametrize("content", [b"", b"\0" * 300, b'{"port": 7}', b"[" * 5000, b"\xff\xfe"])
def test_an_unreadable_file_is_kept_aside_and_what_is_there_counts(
    content: bytes, wire: PtyPair, sockets: Sockets, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Field pitfall 33: after a power cut a file may be empty or full of zeros."""
    sockets.plug("1-1", wire.port, PROBE)
    same_device(wire, tmp_path)()
    (file,) = (tmp_path / "first-there").iterdir()
    file.write_bytes(content)
    same_device(wire, tmp_path)()
    assert file.with_suffix(".unreadable").read_bytes() == content
    assert FirstThereFile("bench", wire.port, tmp_path).read().device == usb_device(wire.port, sockets.root)
    assert "was unreadable and is kept as" in caplog.text
    assert not file.with_suffix(".new").exists()


def test_where_nothing_can_be_written_the_sensor_goes_on(
    wire: PtyPair, sockets: Sockets, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Field pitfall 33: a state folder that is broken takes no reading away."""
    (tmp_path / "state").write_text("a file where the folder should be")
    sockets.plug("1-1", wire.port, PROBE)
    SameDevice(wire.port, FirstThereFile("bench", wire.port, tmp_path / "state"), sockets.root)()
    assert "a device that is swapped may go unseen" in caplog.text


async def test_the_driver_does_not_open_the_port_of_another_device(
    wire: PtyPair, sockets: Sockets, tmp_path: Path
) -> None:
    """Field pitfall 27: refused before it is opened, and read once a person has confirmed."""
    lines = SerialLines(
        "bench", wire.port, line_format=pairs(), settle_s=0.0, now=real_now, check=same_device(wire, tmp_path)
    )
    sockets.plug("1-1", wire.port, PROBE)
    async with running(lines, Notes()):
        pass
    sockets.plug("1-1", wire.port, OTHER)
    refused = Notes()
    with pytest.raises(LinkRefused, match="B-42"):
        await lines.run(refused)
    assert refused.events == []
    confirm("bench", tmp_path)
    notes = Notes()
    async with running(lines, notes):
        await until(lambda: wire.write_line(b"\nT=20.4\n") and notes.samples)


def test_a_built_driver_checks_and_remembers(wire: PtyPair, tmp_path: Path) -> None:
    kind = SOURCE_KINDS["serial"]
    assert kind.one_device
    driver = kind.build(
        kind.schema.model_validate({"id": "bench", "kind": "serial", "port": wire.port}), real_now, tmp_path
    )
    assert isinstance(driver._check, SameDevice)


def heard(device: str, at_s: float = 0.0) -> RawSample:
    return RawSample("bench", device, (("temperature_c", 20.4), ("humidity_pct", 41.0)), 7, at_s)


def test_a_line_that_names_another_device_moves_no_sensor(tmp_path: Path) -> None:
    """Field pitfall 27: a device that can name itself is asked. Lines without a name, and names with a sensor of their
    own, pass."""
    file = FirstThereFile("bench", "port", tmp_path)
    admit = OneName(file, ["", "attic"])
    for device in ("", "loft", "loft", "", "attic"):
        assert admit(heard(device)) == heard(device)
    again = OneName(file, ["", "attic"])  # after a restart
    refused = again(heard("cellar"))
    assert isinstance(refused, RefusedPayload)
    assert refused.reason == (
        "found a line of 'cellar', where 'loft' was heard first; would be right: that one, a person who confirms the "
        "new one, or a sensor with device = 'cellar' in the configuration"
    )
    assert (refused.where, refused.payload) == ("cellar", b"cellar: temperature_c 20.4, humidity_pct 41")
    assert again(heard("loft")) == heard("loft")
    assert waiting("bench", tmp_path) == Waiting("'loft'", "'cellar'")
    assert again(refused) is refused


def test_a_confirmed_name_is_taken_while_the_wire_runs(tmp_path: Path) -> None:
    admit = OneName(FirstThereFile("bench", "port", tmp_path))
    admit(heard("loft"))
    assert isinstance(admit(heard("cellar", 10.0)), RefusedPayload)
    confirm("bench", tmp_path)
    assert isinstance(admit(heard("cellar", 12.0)), RawSample)
    assert isinstance(admit(heard("loft", 13.0)), RefusedPayload)


def test_another_adapter_may_bring_another_name(wire: PtyPair, sockets: Sockets, tmp_path: Path) -> None:
    """One swap is asked once, not once for the adapter and once for the sensor behind it."""
    file = FirstThereFile("bench", wire.port, tmp_path)
    sockets.plug("1-1", wire.port, PROBE)
    same_device(wire, tmp_path)()
    OneName(file)(heard("loft"))
    sockets.plug("1-1", wire.port, OTHER)
    with pytest.raises(LinkRefused):
        same_device(wire, tmp_path)()
    confirm("bench", tmp_path)
    assert isinstance(OneName(file)(heard("cellar")), RawSample)


def test_names_that_change_with_every_line_wear_no_card_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    writes: list[Path] = []

    def counted(path: Path, content: bytes) -> None:
        writes.append(path)
        write_whole(path, content)

    monkeypatch.setattr("sensors.first_there.write_whole", counted)
    admit = OneName(FirstThereFile("bench", "port", tmp_path))
    items = [admit(heard(f"name-{n}", n * 0.01)) for n in range(12_000)]  # two minutes
    assert len(writes) == 3  # the first name, the first other one, the newest other one a minute later
    assert [item for item in items if isinstance(item, RawSample)] == [heard("name-0")]


def test_where_nothing_can_be_written_a_name_holds_for_this_run(tmp_path: Path) -> None:
    (tmp_path / "first-there").write_text("a file where the folder should be")
    admit = OneName(FirstThereFile("bench", "port", tmp_path))
    items = [admit(heard(device, at_s)) for device, at_s in (("loft", 0), ("attic", 5), ("cellar", 70), ("loft", 75))]
    assert [isinstance(item, RawSample) for item in items] == [True, False, False, True]


def test_a_confirmation_that_cannot_be_written_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    admit = OneName(FirstThereFile("bench", "port", tmp_path))
    admit(heard("loft"))
    admit(heard("cellar"))

    def full(_path: Path, _content: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as disk:
        disk.setattr("sensors.first_there.write_whole", full)
        with pytest.raises(OSError, match=r"bench: found no way to write in .*; would be right: room on the disk"):
            confirm("bench", tmp_path)
    assert waiting("bench", tmp_path) == Waiting("'loft'", "'cellar'")
