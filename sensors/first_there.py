"""What was first found at the end of a serial wire, kept over restarts, so that another device does not take its place
unseen: sensors that changed sockets would put the store room's air under the workshop's name."""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from sensors.driver import LinkLost, LinkRefused
from sensors.sample import Heard, RawSample, RefusedPayload
from sensors.state_file import set_aside, write_whole
from sensors.usb import SYSFS, UsbDevice, alike, usb_device

logger = logging.getLogger(__name__)

LOOK_AGAIN_S = 1.0
"""How often a wire that names another device looks whether a person has confirmed it."""
WRITE_AGAIN_S = 60.0
"""How often the newest other name is written down, so that names that change with every line wear no card out."""

_writing = threading.Lock()
"""The driver's thread, the event loop and a person's confirmation change the same file."""


class FirstThere(BaseModel):
    """``device`` and ``name`` are what was there first, ``other_device`` and ``other_name`` what was found instead and
    waits for a person. Holds for one ``port``: who writes another into the configuration has confirmed it thereby."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    port: str
    device: UsbDevice | None = None
    other_device: UsbDevice | None = None
    name: str = ""
    other_name: str = ""


class FirstThereFile:
    """The small file of one source in the state folder. Unreadable, it is kept aside, and what is there now counts as
    first; where it cannot be written, that is logged, and what was to be written holds for this run."""

    def __init__(self, source_id: str, port: str, state_dir: Path) -> None:
        self._port = port
        self._path = _path(source_id, state_dir)
        self._unwritten: FirstThere | None = None

    def read(self) -> FirstThere:
        """What is kept for this port."""
        with _writing:
            return self._read()

    def change(self, **fields: object) -> FirstThere:
        """Set some fields, on disk before this returns; what is kept now."""
        with _writing:
            kept = self._read().model_copy(update=fields)
            try:
                write_whole(self._path, kept.model_dump_json(indent=1).encode())
                self._unwritten = None
            except OSError as err:
                self._unwritten = kept
                logger.warning("%s cannot be written (%s): a device that is swapped may go unseen", self._path, err)
            return kept

    @property
    def is_written(self) -> bool:
        """Whether the last change reached the disk."""
        return self._unwritten is None

    def _read(self) -> FirstThere:
        kept = self._unwritten or _kept(self._path)
        return kept if kept is not None and kept.port == self._port else FirstThere(port=self._port)


def _path(source_id: str, state_dir: Path) -> Path:
    return state_dir / "first-there" / f"{source_id}.json"


def _kept(path: Path) -> FirstThere | None:
    try:
        content = path.read_bytes()
        try:
            return FirstThere.model_validate_json(content)
        except ValidationError:
            set_aside(path, "the device that is plugged in now counts as the right one")
    except FileNotFoundError:
        pass
    except OSError as err:
        logger.warning("%s cannot be read (%s): a device that is swapped may go unseen", path, err)
    return None


class SameDevice:
    """Asked before a port is opened, from the driver's thread: raises LinkRefused when another USB device is there than
    the first one, and LinkLost when the system does not tell."""

    def __init__(self, port: str, file: FirstThereFile, sysfs: Path = SYSFS) -> None:
        self._port, self._file, self._sysfs = port, file, sysfs

    def __call__(self) -> None:
        """Look, and remember what is found. A port that is missing is left to whoever opens it."""
        if not Path(self._port).exists():
            return
        kept, found = self._file.read(), usb_device(self._port, self._sysfs)
        if found is None:
            if kept.device is not None:
                raise LinkLost(f"{self._port}: found no USB device behind it; would be right: {kept.device}")
            return
        self._refuse_twins(found)
        if kept.device is None:
            self._file.change(device=found)
        elif not found.is_like(kept.device):
            if found != kept.other_device:
                self._file.change(other_device=found)
            right = f"the device that was here first, {kept.device}, or a person who confirms the new one"
            raise LinkRefused(f"{self._port}: found another device, {found}; would be right: {right}")
        elif kept.other_device is not None:
            self._file.change(other_device=None)

    def _refuse_twins(self, found: UsbDevice) -> None:
        """Two that are alike share one name by id, which then stands for whichever was plugged in last."""
        if "by-id" in Path(self._port).parts and (count := alike(found, self._sysfs)) > 1:
            right = "a name below /dev/serial/by-path for each, which stands for its socket"
            raise LinkRefused(f"{self._port}: found {count} devices alike, {found}; would be right: {right}")


class OneName:
    """For a wire whose one sensor takes whatever is heard: called with that, gives it back, or as refused where a line
    names another device than the first that was named. Lines without a name pass, and so do names in ``placed``, which
    have sensors of their own."""

    def __init__(self, file: FirstThereFile, placed: Iterable[str] = ()) -> None:
        self._file = file
        self._placed = frozenset(placed) | {""}
        self._kept = file.read()
        self._looked_s: float | None = None
        self._wrote_s: float | None = None

    def __call__(self, item: Heard) -> Heard:
        """See the class. Called on the event loop; reads a small file once a second at most."""
        if not isinstance(item, RawSample) or item.device in self._placed or item.device == self._kept.name:
            return item
        self._look(item.heard_mono_s)
        if not self._kept.name:
            self._kept = self._file.change(name=item.device, other_name="")
        if item.device == self._kept.name:
            return item
        self._write_down(item)
        reason = (
            f"found a line of {item.device!r}, where {self._kept.name!r} was heard first; would be right: that one, "
            f"a person who confirms the new one, or a sensor with device = {item.device!r} in the configuration"
        )
        said = f"{item.device}: {', '.join(f'{quantity} {value:g}' for quantity, value in item.values)}"
        return RefusedPayload(item.source, item.device, said.encode(), reason, item.heard_ms, item.acknowledge)

    def _look(self, now_s: float) -> None:
        if self._looked_s is None or now_s - self._looked_s >= LOOK_AGAIN_S:
            self._looked_s = now_s
            self._kept = self._file.read()

    def _write_down(self, item: RawSample) -> None:
        due = self._wrote_s is None or item.heard_mono_s - self._wrote_s >= WRITE_AGAIN_S
        if item.device != self._kept.other_name and (due or not self._kept.other_name):
            self._wrote_s = item.heard_mono_s
            self._kept = self._file.change(other_name=item.device)


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a person is asked: is ``found`` right where ``expected`` was?"""

    expected: str
    found: str


def waiting(source_id: str, state_dir: Path) -> Waiting | None:
    """What waits for a person at this source, None if nothing does."""
    kept = _kept(_path(source_id, state_dir))
    if kept is not None and kept.other_device is not None:
        return Waiting(str(kept.device), str(kept.other_device))
    if kept is not None and kept.other_name:
        return Waiting(repr(kept.name), repr(kept.other_name))
    return None


def confirm(source_id: str, state_dir: Path) -> Waiting:
    """A person has looked: what was found is right from now on. The driver takes it at its next try, within half a
    minute. Returns what was asked. Raises ValueError if nothing waits, OSError if it cannot be written down."""
    asked = waiting(source_id, state_dir)
    kept = _kept(_path(source_id, state_dir))
    if asked is None or kept is None:
        raise ValueError(f"{source_id}: found nothing to confirm; would be right: a source with another device on it")
    file = FirstThereFile(source_id, kept.port, state_dir)
    if kept.other_device is not None:
        # Another adapter may bring another sensor: whatever it calls itself first is taken.
        file.change(device=kept.other_device, other_device=None, name="", other_name="")
    else:
        file.change(name=kept.other_name, other_name="")
    if not file.is_written:
        raise OSError(f"{source_id}: found no way to write in {state_dir}; would be right: room on the disk")
    return asked
