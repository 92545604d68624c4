"""The table of an MQTT source, and how its driver is made."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from sensors import decoding, payloads
from sensors.client_id import client_id
from sensors.discovery import check_prefix
from sensors.driver import Driver, LinkRefused, Now
from sensors.hosts import RIGHT, is_host
from sensors.mqtt.announced import Announced
from sensors.mqtt.kept_filters import KeptFilters
from sensors.mqtt.subscription import MqttSubscription
from sensors.mqtt.tls import Tls
from sensors.mqtt.versions import Wanted
from sensors.places import check_place
from sensors.source import SourceTable, must, right, secret

PlaceText = Annotated[str, must(check_place)]


def _host(text: str) -> str:
    if not is_host(text):  # not repeated: an address with a password in it is the usual mistake
        raise PydanticCustomError("hidden", "{right}", {"found": "something that is no host name", "right": RIGHT})
    return text


def _any_topic(topics: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
    if not topics and info.data.get("discovery") is None:
        raise ValueError("at least one topic filter, such as shop/+/air")
    return topics


class MqttSource(SourceTable):
    """Devices that speak through a broker."""

    kind: Literal["mqtt"]
    host: Annotated[str, AfterValidator(_host), Field(description="name or address of the broker")] = "127.0.0.1"
    port: Annotated[int | None, Field(ge=1, le=65535, description="its port; 1883, or 8883 with tls")] = None
    protocol: Annotated[Wanted, Field(description="version of MQTT; auto tries 5, then 3.1.1")] = "auto"
    tls: Annotated[bool, Field(description="speak TLS; the broker's certificate is always verified")] = False
    ca_file: Annotated[
        Path | None, Field(description="PEM file of the authority that signed the broker's certificate")
    ] = None
    cert_file: Annotated[Path | None, Field(description="our certificate, if the broker wants one")] = None
    key_file: Annotated[
        Path | None, Field(validate_default=True, description="its key, PEM of mode 600 without a passphrase")
    ] = None
    discovery: Annotated[
        Annotated[str, must(check_prefix)] | None,
        Field(
            description="where devices announce themselves, such as homeassistant; they are then found by themselves"
        ),
    ] = None
    topics: Annotated[
        tuple[Annotated[str, must(payloads.check_pattern)], ...],
        AfterValidator(_any_topic),
        Field(validate_default=True, description="topic filters; what stands at + is the device's name"),
    ] = ()
    format: Annotated[Literal["json", "number"], Field(description="what a message holds")] = "json"
    field: Annotated[
        decoding.Field | None, Field(description="for number: what it is, if the topic's last level does not say so")
    ] = None
    paths: Annotated[
        dict[decoding.Field, PlaceText],
        Field(default_factory=dict, description="for nested json: where a field stands, as field = a.b or a template"),
    ]
    device_path: Annotated[PlaceText | None, Field(description="for json: where the device's name stands")] = None
    time_path: Annotated[PlaceText | None, Field(description="for json: where the device's own time stands")] = None
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
        secret(named)
        return named

    @field_validator("ca_file", "cert_file", "key_file")
    @classmethod
    def _tls_file_can_be_had(cls, named: Path | None, info: ValidationInfo) -> Path | None:
        key, beside = info.field_name, info.data
        if key == "key_file" and "cert_file" in beside and (named is None) != (beside["cert_file"] is None):
            raise ValueError("cert_file and key_file together")
        if named is None:
            return None
        if not beside.get("tls"):
            raise ValueError("tls = true beside it")
        if key == "key_file":
            secret(named)
            _readable(Tls(None, beside.get("cert_file"), named))
        elif key == "ca_file":
            _readable(Tls(named))
        return named

    def tls_files(self) -> Tls | None:
        """Whom to believe and who we are; None without TLS."""
        return Tls(self.ca_file, self.cert_file, self.key_file) if self.tls else None

    @property
    def carries_several(self) -> bool:
        """Whether several devices may be heard, told apart by name: by announcement, by what stands at a wildcard, or
        by a place in the message. A ``+`` at the end that names the quantity tells no device."""
        tails = self.format == "number" and self.field is None
        levels = [topic.removesuffix("/+") if tails else topic for topic in self.topics]
        return (
            self.discovery is not None or self.device_path is not None or any(set(one) & {"+", "#"} for one in levels)
        )

    @property
    def broker_port(self) -> int:
        """The port, by the registry's custom where none is given (IANA: mqtt 1883, secure-mqtt 8883)."""
        return self.port or (8883 if self.tls else 1883)

    def announced(self, state_dir: Path) -> Announced | None:
        """What devices announce, with what they had announced before; None without ``discovery``."""
        if self.discovery is None:
            return None
        kept = state_dir / f"announced-{self.id}.json"
        return Announced(self.discovery, kept, temperature_unit=self.temperature_unit)

    def password(self) -> str | None:
        """The password, from its file or the environment. Raises ValueError naming what is wrong, never the secret."""
        named = self.password_file or self.password_env
        return None if named is None else secret(named)

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


def _readable(tls: Tls) -> None:
    try:
        tls.context()
    except LinkRefused as err:
        raise ValueError(right(str(err))) from None


def build_mqtt(source: MqttSource, now: Now, state_dir: Path) -> Driver:
    """The driver that listens as the table says."""
    return MqttSubscription(
        source.id,
        source.host,
        source.broker_port,
        topics=source.topics,
        decode=source.payload_format(),
        client_id=client_id(source.id, state_dir),
        username=source.username,
        password=source.password(),
        keepalive_s=source.keepalive_s,
        unacknowledged_limit=source.unacknowledged_limit,
        tls=source.tls_files(),
        protocol=source.protocol,
        announced=source.announced(state_dir),
        kept=KeptFilters(state_dir / f"filters-{source.id}.json"),
        now=now,
    )
