"""The table of a bus in the configuration, and the driver made from it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from sensors import decoding
from sensors.driver import Driver, Now
from sensors.first_there import FirstThereFile, SameDevice
from sensors.modbus.registers import Figure, Probe, RegisterType, WordOrder
from sensors.modbus.rtu import Function, Parity
from sensors.ports import check_port_name
from sensors.source import must

_CLOSED = ConfigDict(extra="forbid", frozen=True)
Factor = Annotated[float, Field(allow_inf_nan=False)]


def _device(name: str) -> str:
    try:
        return decoding.device_name(name, "device")
    except decoding.Unreadable:
        raise ValueError("a name of 1 to 64 printable characters") from None


def _scales(scale: float) -> float:
    if scale == 0:
        raise ValueError("a factor other than 0, such as 0.1")
    return scale


def _twice(found: str, right: str) -> PydanticCustomError:
    """An error of a whole list that names the part of it that is meant."""
    return PydanticCustomError("value_error", "{error}", {"found": found, "error": right})


class FigureTable(BaseModel):
    """Where one figure of a probe stands: figure = register × scale + offset."""

    model_config = _CLOSED
    register_: Annotated[
        int, Field(alias="register", ge=0, le=65535, description="as on the wire: 0 where a sheet says 30001 or 40001")
    ]
    function: Annotated[Function, Field(description="input (function 4) or holding (function 3) registers")] = "input"
    scale: Annotated[Factor, AfterValidator(_scales), Field(description="what one step of the register is worth")] = 1.0
    offset: Annotated[Factor, Field(description="added after scaling")] = 0.0
    type: Annotated[RegisterType, Field(description="how the number is held; 32 bits take two registers")] = "int16"
    word_order: Annotated[WordOrder, Field(description="which register of two holds the high half: big, the first")] = (
        "big"
    )

    @model_validator(mode="after")
    def _ends_in_time(self) -> Self:
        if self.figure().span.stop > 65536:
            raise _twice(f"register {self.register_} with {self.type}", "65534 or less: 32 bits take two registers")
        return self

    def figure(self) -> Figure:
        """The same as the driver takes it."""
        return Figure(self.register_, self.function, self.scale, self.offset, self.type, self.word_order)


class ProbeTable(BaseModel):
    """One probe on the bus."""

    model_config = _CLOSED
    device: Annotated[str, AfterValidator(_device), Field(description="your name for it, as [[sensor]] device says it")]
    unit_id: Annotated[int, Field(ge=1, le=247, description="its address on the bus")]
    temperature: Annotated[FigureTable | None, Field(description="where its temperature stands")] = None
    humidity: Annotated[FigureTable | None, Field(description="where its relative humidity in % stands")] = None
    temperature_unit: Annotated[
        decoding.TemperatureUnit | None, Field(description="of this probe, if not that of the source")
    ] = None

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.temperature is None and self.humidity is None:
            raise _twice("neither temperature nor humidity", "one of them or both, as temperature = {register = 0}")
        return self

    def figures(self) -> Iterator[tuple[decoding.Field, Figure]]:
        """What it measures, and where that stands."""
        if self.temperature is not None:
            yield "temperature", self.temperature.figure()
        if self.humidity is not None:
            yield "humidity_pct", self.humidity.figure()


def _each_once(probes: tuple[ProbeTable, ...]) -> tuple[ProbeTable, ...]:
    if not probes:
        raise ValueError("at least one probe, with device, unit_id, temperature and humidity")
    names: set[str] = set()
    taken: dict[tuple[int, Function, int], str] = {}
    for probe in probes:
        if probe.device in names:
            raise _twice(f"device '{probe.device}' a second time", "a name of its own for each probe")
        names.add(probe.device)
        for field, figure in probe.figures():
            mine = f"{field.removesuffix('_pct')} of '{probe.device}'"
            for place in ((probe.unit_id, figure.function, register) for register in figure.span):
                if place in taken:
                    found = f"{place[1]} register {place[2]} of unit_id {place[0]} for {taken[place]} and for {mine}"
                    raise _twice(found, "a unit_id of its own for each probe, or other registers of the same unit")
                taken[place] = mine
    return probes


class ModbusSource(BaseModel):
    """Probes that answer Modbus RTU on an RS-485 bus behind a serial port."""

    model_config = _CLOSED
    id: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="your name for it, small letters")]
    kind: Literal["modbus"]
    port: Annotated[str, must(check_port_name), Field(description="a lasting name below /dev/serial")]
    baud: Annotated[int, Field(ge=50, le=4_000_000, description="symbols a second, as the probes' sheet says")] = 9600
    parity: Annotated[Parity, Field(description="as the probes' sheet says")] = "none"
    stop_bits: Annotated[Literal[1, 2], Field(description="as the probes' sheet says")] = 1
    period_s: Annotated[float, Field(ge=1, le=3600, description="seconds between two questions to a probe")] = 30.0
    timeout_s: Annotated[float, Field(ge=0.05, le=10, description="seconds to wait for an answer")] = 1.0
    temperature_unit: Annotated[decoding.TemperatureUnit, Field(description="what the probes' temperature is in")] = "C"
    probes: Annotated[
        tuple[ProbeTable, ...], AfterValidator(_each_once), Field(description="the probes on this bus, one table each")
    ]

    @field_validator("timeout_s")
    @classmethod
    def _within_a_period(cls, timeout_s: float, info: ValidationInfo) -> float:
        if timeout_s >= info.data.get("period_s", timeout_s + 1):
            raise ValueError("less than period_s")
        return timeout_s

    @property
    def devices(self) -> tuple[str, ...]:
        """The names heard on this source; no other can be."""
        return tuple(probe.device for probe in self.probes)

    def driver_probes(self) -> list[Probe]:
        """The probes as the driver takes them."""
        return [
            Probe(one.device, one.unit_id, tuple(one.figures()), one.temperature_unit or self.temperature_unit)
            for one in self.probes
        ]


def build_modbus(source: ModbusSource, now: Now, state_dir: Path) -> Driver:
    """The driver that asks as the table says."""
    from sensors.modbus.bus import ModbusBus  # noqa: PLC0415 - pymodbus takes 8 MB: only where there is a bus

    return ModbusBus(
        source.id,
        source.port,
        probes=source.driver_probes(),
        baud=source.baud,
        parity=source.parity,
        stop_bits=source.stop_bits,
        period_s=source.period_s,
        timeout_s=source.timeout_s,
        check=SameDevice(source.port, FirstThereFile(source.id, source.port, state_dir)),
        now=now,
    )
