"""Every kind of source: what may be configured, and how a driver is made from it.

A new kind is one model, one build function and one line in :data:`SOURCE_KINDS`.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from sensors import decoding, line_formats, payloads
from sensors.client_id import client_id
from sensors.driver import Driver, Now
from sensors.mqtt import MqttSubscription
from sensors.ports import check_port_name
from sensors.serial_lines import SerialLines

Keys = Annotated[
    dict[str, decoding.Field],
    Field(default_factory=dict, description="names of your own for the fields, as name = field"),
]


def _right(reason: str) -> str:
    """The configuration's report says itself what was found; the rest is ours to say."""
    return reason.rpartition("would be right: ")[2]


def _must(check: Callable[[str], str | None]) -> AfterValidator:
    def validate(value: str) -> str:
        if reason := check(value):
            raise ValueError(_right(reason))
        return value

    return AfterValidator(validate)


def _readable_order(order: tuple[line_formats.Column, ...]) -> tuple[line_formats.Column, ...]:
    try:
        line_formats.numbers(order=order)
    except ValueError as err:
        raise ValueError(_right(str(err))) from None
    return order


def _any_topic(topics: tuple[str, ...]) -> tuple[str, ...]:
    if not topics:
        raise ValueError("at least one topic filter, such as shop/+/air")
    return topics


class _Source(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)
    id: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="your name for it, small letters")]
    keys: Keys
    temperature_unit: Annotated[
        decoding.TemperatureUnit, Field(description="unit of a temperature that does not say its own")
    ] = "C"


class SerialSource(_Source):
    """A device that writes lines to a serial port."""

    kind: Literal["serial"]
    port: Annotated[str, _must(check_port_name), Field(description="a lasting name below /dev/serial")]
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
    settle_s: Annotated[float, Field(ge=0, le=60, description="seconds the device may need after opening")] = 2.0

    def line_format(self) -> line_formats.LineFormat:
        """The configured reading of a line."""
        if self.format == "numbers":
            return line_formats.numbers(order=self.order, separator=self.separator)
        if self.format == "json":
            return line_formats.json_lines(
                keys=self.keys, temperature_unit=self.temperature_unit, time_key=self.time_key
            )
        return line_formats.pairs(keys=self.keys, temperature_unit=self.temperature_unit)


class MqttSource(_Source):
    """Devices that speak through a broker."""

    kind: Literal["mqtt"]
    host: Annotated[str, Field(min_length=1, description="name or address of the broker")] = "127.0.0.1"
    port: Annotated[int, Field(ge=1, le=65535, description="its port")] = 1883
    topics: Annotated[
        tuple[Annotated[str, _must(payloads.check_pattern)], ...],
        AfterValidator(_any_topic),
        Field(description="topic filters; what stands at + is the device's name"),
    ]
    format: Annotated[Literal["json", "number"], Field(description="what a message holds")] = "json"
    field: Annotated[
        decoding.Field | None, Field(description="for number: what it is, if the topic's last level does not say so")
    ] = None
    paths: Annotated[
        dict[decoding.Field, str],
        Field(default_factory=dict, description="for nested json: where a field stands, as field = a.b"),
    ]
    device_path: Annotated[str | None, Field(description="for json: where the device's name stands")] = None
    time_path: Annotated[str | None, Field(description="for json: where the device's own time stands")] = None
    username: Annotated[str | None, Field(description="user name, if the broker wants one")] = None
    password_file: Annotated[Path | None, Field(description="file of mode 600 that holds the password")] = None
    password_env: Annotated[str | None, Field(description="environment variable that holds the password")] = None
    keepalive_s: Annotated[int, Field(ge=5, le=600, description="seconds of silence before asking the broker")] = 25
    unacknowledged_limit: Annotated[int, Field(ge=2, le=20_000, description="messages taken ahead of the store")] = 2000

    @field_validator("password_file", "password_env")
    @classmethod
    def _secret_can_be_had(cls, named: Path | str | None, info: ValidationInfo) -> Path | str | None:
        if named is None:
            return None
        if info.data.get("username") is None:
            raise ValueError("a username beside it")
        if info.field_name == "password_env" and info.data.get("password_file") is not None:
            raise ValueError("either password_file or password_env")
        _secret(named)
        return named

    def password(self) -> str | None:
        """The password, from its file or the environment. Raises ValueError naming what is wrong, never the secret."""
        named = self.password_file or self.password_env
        return None if named is None else _secret(named)

    def payload_format(self) -> payloads.PayloadFormat:
        """The configured reading of a message."""
        if self.format == "number":
            return payloads.number_payload(
                patterns=self.topics, field=self.field, keys=self.keys, temperature_unit=self.temperature_unit
            )
        return payloads.json_payload(
            patterns=self.topics,
            keys=self.keys,
            paths=self.paths,
            device_path=self.device_path,
            time_path=self.time_path,
            temperature_unit=self.temperature_unit,
        )


def _secret(named: Path | str) -> str:
    """What a file or an environment variable holds."""
    if isinstance(named, str):
        if named not in os.environ:
            raise ValueError("an environment variable that is set")
        return os.environ[named]
    try:
        mode = stat.S_IMODE(named.stat().st_mode)
        if mode & 0o077:
            raise ValueError(f"a file that only its owner may read: chmod 600 {named} (it has mode {mode:o})")
        return named.read_text(encoding="utf-8").rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as err:
        why = err.strerror if isinstance(err, OSError) else "not text"
        raise ValueError(f"a text file of mode 600 that we may read ({why})") from None


def _build_serial(source: SerialSource, now: Now, _state_dir: Path) -> Driver:
    return SerialLines(
        source.id,
        source.port,
        baud=source.baud,
        line_format=source.line_format(),
        settle_s=source.settle_s,
        now=now,
    )


def _build_mqtt(source: MqttSource, now: Now, state_dir: Path) -> Driver:
    return MqttSubscription(
        source.id,
        source.host,
        source.port,
        topics=source.topics,
        decode=source.payload_format(),
        client_id=client_id(source.id, state_dir),
        username=source.username,
        password=source.password(),
        keepalive_s=source.keepalive_s,
        unacknowledged_limit=source.unacknowledged_limit,
        now=now,
    )


@dataclass(frozen=True, slots=True)
class SourceKind:
    """``schema`` checks the table of the configuration; ``build(source, now, state_dir)`` makes the driver;
    ``where(source)`` says in a few words which wire it is."""

    schema: type[BaseModel]
    build: Callable[[Any, Now, Path], Driver]
    where: Callable[[Any], str]


SOURCE_KINDS: Mapping[str, SourceKind] = {
    "serial": SourceKind(SerialSource, _build_serial, lambda source: str(source.port)),
    "mqtt": SourceKind(MqttSource, _build_mqtt, lambda source: f"{source.host}:{source.port}"),
}
