"""Which USB device is behind a serial port, as Linux tells under ``/sys``. A port name by path stands for a socket, not
for what is plugged into it."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

SYSFS = Path("/sys")
_LONGEST = 64


@dataclass(frozen=True, slots=True)
class UsbDevice:
    """``vendor`` and ``product`` are the four hexadecimal digits of the USB descriptors, ``serial`` the device's own
    number, "" where it has none; ``label`` is what it calls itself, for people only."""

    vendor: str
    product: str
    serial: str
    label: str = ""

    def is_like(self, other: UsbDevice) -> bool:
        """Whether nothing tells the two apart."""
        return (self.vendor, self.product, self.serial) == (other.vendor, other.product, other.serial)

    def __str__(self) -> str:
        number = f"serial number {self.serial}" if self.serial else "no serial number"
        return f"{self.label or 'a USB device'} ({self.vendor}:{self.product}, {number})"


def usb_device(port: str, sysfs: Path = SYSFS) -> UsbDevice | None:
    """The device behind ``port``; None if the port is missing, is no USB device, or the system does not tell."""
    try:
        number = Path(port).stat().st_rdev
        folder = _device_folder(sysfs / "dev" / "char" / f"{os.major(number)}:{os.minor(number)}")
        return None if folder is None else _read(folder)
    except OSError:  # unplugged while we looked
        return None


def alike(device: UsbDevice, sysfs: Path = SYSFS) -> int:
    """How many devices with a serial port are plugged in that nothing tells from ``device``, itself included."""
    folders = {_device_folder(tty) for tty in (sysfs / "class" / "tty").glob("*")} - {None}
    found = 0
    for folder in folders:
        try:
            found += folder is not None and _read(folder).is_like(device)
        except OSError:
            continue
    return found


def _device_folder(tty: Path) -> Path | None:
    """The nearest folder above the port's that describes a USB device; the next one further up is its hub."""
    try:
        port = tty.resolve(strict=True)
    except OSError:
        return None
    return next((folder for folder in port.parents if (folder / "idVendor").is_file()), None)


def _read(folder: Path) -> UsbDevice:
    label = " ".join(filter(None, (_attribute(folder, "manufacturer"), _attribute(folder, "product"))))
    vendor, product = (_attribute(folder, name) for name in ("idVendor", "idProduct"))
    return UsbDevice(vendor, product, _attribute(folder, "serial"), label)


def _attribute(folder: Path, name: str) -> str:
    """What the device says of itself, as far as it can be printed; "" if it says nothing."""
    try:
        text = (folder / name).read_text(encoding="utf-8", errors="replace").strip()
    except FileNotFoundError:
        return ""
    return "".join(c for c in text if c.isprintable())[:_LONGEST]
