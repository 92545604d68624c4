"""Every kind of source: what may be configured, and how a driver is made from it.

A new kind is one model, one build function and one line in :data:`SOURCE_KINDS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, Field

from sensors import checksums, line_formats
from sensors.driver import Driver, Now
from sensors.first_there import FirstThereFile, SameDevice
from sensors.modbus.source import ModbusSource, build_modbus
from sensors.mqtt.source import MqttSource, build_mqtt
from sensors.ports import check_port_name
from sensors.serial_lines import SerialLines
from sensors.source import SourceTable, must, right


def _readable_order(order: tuple[line_formats.Column, ...]) -> tuple[line_formats.Column, ...]:
    try:
        line_formats.numbers(order=order)
    except ValueError as err:
        raise ValueError(right(str(err))) from None
    return order


class SerialSource(SourceTable):
    """A device that writes lines to a serial port."""

    kind: Literal["serial"]
    port: Annotated[str, must(check_port_name), Field(description="a lasting name below /dev/serial")]
    baud: Annotated[int, Field(ge=50, le=4_000_000, description="symbols a second, as the device's sheet says")] = 9600
    format: Annotated[Literal["key=value", "numbers", "json"], Field(description="how a line is written")] = "key=value"
    order: Annotated[
        tuple[line_formats.Column, ...],
        AfterValidator(_readable_order),
        Field(description="for numbers: what each column is"),
    ] = (
        "temperature_c",
        "humidity_pct",
    )
    separator: Annotated[str, Field(min_length=1, max_length=3, description="for numbers: what parts them")] = ","
    time_key: Annotated[str | None, Field(description="for json: where the device's own time stands")] = None
    checksum: Annotated[
        checksums.Checksum, Field(description="what stands behind the * at the end of a line, if the device sends it")
    ] = "none"
    settle_s: Annotated[float, Field(ge=0, le=60, description="seconds the device may need after opening")] = 2.0

    def line_format(self) -> line_formats.LineFormat:
        """The configured reading of a line, its checksum first."""
        return checksums.checked(self._content_format(), self.checksum)

    def _content_format(self) -> line_formats.LineFormat:
        if self.format == "numbers":
            return line_formats.numbers(order=self.order, separator=self.separator)
        if self.format == "json":
            return line_formats.json_lines(
                keys=self.keys, temperature_unit=self.temperature_unit, time_key=self.time_key
            )
        return line_formats.pairs(keys=self.keys, temperature_unit=self.temperature_unit)


def _build_serial(source: SerialSource, now: Now, state_dir: Path) -> Driver:
    first_there = FirstThereFile(source.id, source.port, state_dir)
    return SerialLines(
        source.id,
        source.port,
        baud=source.baud,
        line_format=source.line_format(),
        settle_s=source.settle_s,
        now=now,
        check=SameDevice(source.port, first_there),
    )


@dataclass(frozen=True, slots=True)
class SourceKind:
    """``schema`` checks the table of the configuration; ``build(source, now, state_dir)`` makes the driver;
    ``where(source)`` says in a few words which wire it is. ``one_device``: where a sensor takes whatever is heard, at
    its end is one device, so what names another one is refused."""

    schema: type[BaseModel]
    build: Callable[[Any, Now, Path], Driver]
    where: Callable[[Any], str]
    one_device: bool = False


SOURCE_KINDS: Mapping[str, SourceKind] = {
    "serial": SourceKind(SerialSource, _build_serial, lambda source: str(source.port), one_device=True),
    "modbus": SourceKind(ModbusSource, build_modbus, lambda source: str(source.port)),
    "mqtt": SourceKind(MqttSource, build_mqtt, lambda source: f"{source.host}:{source.broker_port}", one_device=True),
}
