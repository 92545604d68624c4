"""What a configuration is: written by people, read once at start, never rewritten by the program.

:mod:`server.config_file` reads one. The kinds of source and the parameters of rules are not known here: the app hands
their schemas over.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Annotated, Any, Literal
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import BaseModel, Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from server.config_zone import Id, Table, Zone
from server.sensor_types import GENERIC, UnknownType, sensor_type, sentinel_of
from server.working_hours import Hours, Weekday

LEAST_RAW_DAYS = 31
"""The outlook and the rules look back over raw readings of some days; a month is safe."""


class Shop(Table):
    """The shop as a whole."""

    name: str = Field("Workshop", min_length=1, max_length=40)
    timezone: str = Field("Europe/London", description="an IANA name such as Europe/Oslo")
    language: Literal["en", "de"] = "en"
    units: Literal["metric", "imperial"] = "metric"
    hours: dict[Weekday, Hours] = Field(default_factory=dict, description='such as {mon = "07:30-17:00"}; else closed')

    @field_validator("timezone")
    @classmethod
    def _known_zone(cls, value: str) -> str:
        try:
            ZoneInfo(value)
        except (ZoneInfoNotFoundError, ValueError) as e:
            raise ValueError("an IANA time zone name such as Europe/Oslo or America/New_York") from e
        return value


class Api(Table):
    """The door for the wall and the page. It opens on loopback only."""

    port: int = Field(8736, ge=0, le=65535)


class BrokerTable(Table):
    """A private broker for shops that have none."""

    enabled: bool = False
    port: int = Field(18836, ge=1, le=65535)


class Destination(Table):
    """Where pieces will live: a region of the published table, or two numbers."""

    id: Id
    name: str = Field(min_length=1, max_length=24)
    region: str | None = None
    dry_limit_pct: float | None = Field(None, ge=2, le=25)
    damp_limit_pct: float | None = Field(None, ge=2, le=25)


class Sensor(Table):
    """One measuring device heard on a source, and the zone it hangs in."""

    id: Id
    source: Id
    device: str = ""
    zone: Id
    accuracy_c: float = Field(0.3, ge=0, le=5, description="the maker's stated limit, ± °C")
    accuracy_humidity_pct: float = Field(2.0, ge=0, le=20, description="the maker's stated limit, ± % RH")
    type: str = Field(GENERIC, description="the chip, as in sensor_types.csv")
    temperature_min_c: float | None = Field(None, ge=-100, le=200, description="instead of the type's and the shop's")
    temperature_max_c: float | None = Field(None, ge=-100, le=200)
    humidity_min_pct: float | None = Field(None, ge=0, le=100)
    humidity_max_pct: float | None = Field(None, ge=0, le=120)
    sentinels: tuple[str, ...] | None = Field(None, description='instead of the type\'s, such as ["-45/*", "0/0"]')
    stuck_after_h: float | None = Field(None, gt=0, description="instead of the shop's")
    offset_c: float = Field(0.0, ge=-10, le=10, description="added to its temperature; its humidity follows")
    offset_humidity_pct: float = Field(0.0, ge=-20, le=20, description="added to its humidity")
    humidity_over: Literal["water", "ice"] = "water"
    shelf: bool = Field(False, description="it stands on the shelf with glue and finishes")

    @model_validator(mode="before")
    @classmethod
    def _as_its_type(cls, given: Any) -> Any:
        """What the file leaves out and the type's maker states."""
        if not isinstance(given, dict) or not isinstance(name := given.get("type", GENERIC), str) or name == GENERIC:
            return given
        try:
            known = sensor_type(name)
        except UnknownType:
            return given  # said at its own key
        stated = {"accuracy_c": known.accuracy_c, "accuracy_humidity_pct": known.accuracy_humidity_pct}
        return {**{key: value for key, value in stated.items() if value is not None}, **given}

    @property
    def identity(self) -> dict[str, object]:
        """Which device it is and what is added to what it says: where that changed, what was found of it before says
        nothing any more."""
        keys = ("source", "device", "type", "offset_c", "offset_humidity_pct", "humidity_over")
        return {key: getattr(self, key) for key in keys}

    @field_validator("type")
    @classmethod
    def _known_type(cls, value: str) -> str:
        sensor_type(value)
        return value

    @field_validator("sentinels")
    @classmethod
    def _readable(cls, value: tuple[str, ...] | None) -> tuple[str, ...] | None:
        for text in value or ():
            sentinel_of(text)
        return value


class RemoteTable(Table):
    """An InfluxDB-compatible server that gets a copy of the record. Secrets stand elsewhere: in a file of mode 600 or
    in an environment variable."""

    id: Id
    url: str = Field(max_length=300)
    bucket: str = Field(min_length=1, max_length=100)
    org: str = Field("", max_length=100)
    token_file: Path | None = None
    token_env: str | None = Field(None, pattern=r"^[A-Za-z_][A-Za-z0-9_]*$")
    ca_file: Path | None = Field(None, description="certificate of a private authority")
    source: str = Field(
        "", max_length=40, description="tells this shop's points from another's; the shop's name if empty"
    )
    quantities: tuple[str, ...] = Field((), description="only these, such as emc_pct; all if empty")
    timeout_s: float = Field(10.0, ge=0.5, le=120)
    batch_rows: int = Field(5000, ge=1, le=20000)

    @field_validator("url")
    @classmethod
    def _plain_address(cls, value: str) -> str:
        right = "http:// or https://, a host, if need be a port and a path; the token goes into a file"
        try:
            parts = urlsplit(value)
            parts.port  # noqa: B018 - looked at because it raises
        except ValueError as e:
            raise ValueError(right) from e
        if "@" in parts.netloc:
            found = "a name or password in it"
            raise PydanticCustomError("hidden", "{right}", {"found": found, "right": right})
        if parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.fragment:
            raise ValueError(right)
        return value.rstrip("/")

    @field_validator("token_env")
    @classmethod
    def _one_token(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value is not None and info.data.get("token_file") is not None:
            raise ValueError("either token_file or token_env")
        return value


class StoreTable(Table):
    """The record: its daily copy, and how long raw readings are kept (hours and days stay for ever)."""

    daily_backup: bool = True
    backup_folder: str | None = Field(None, min_length=1, description="best on a second medium; state/backups if none")
    backup_hour: int = Field(3, ge=0, le=23, description="of the shop's day")
    backup_keep: int = Field(7, ge=1, le=1000)
    keep_raw_days: int | None = Field(None, ge=LEAST_RAW_DAYS, description="for ever where nothing is said")
    keep_raw_days_of: dict[str, Annotated[int, Field(ge=LEAST_RAW_DAYS)]] = Field(default_factory=dict)

    def raw_days(self, series: str) -> int | None:
        """How many days raw readings of a series are kept, None for ever: by the first pattern that fits."""
        for pattern, days in self.keep_raw_days_of.items():
            if fnmatchcase(series, pattern):
                return days
        return self.keep_raw_days


class ScreeningTable(Table):
    """What is believed. Defaults are the design's; change them for a kiln or a cold store."""

    temperature_min_c: float = -40.0
    temperature_max_c: float = 85.0
    humidity_max_pct: float = Field(105.0, ge=100, le=120)
    temperature_rate_c_per_min: float = Field(3.0, gt=0)
    humidity_rate_pct_per_min: float = Field(10.0, gt=0)
    rate_floor_s: float = Field(60.0, gt=0, description="readings closer together are judged as if this far apart")
    stuck_after_h: float = Field(24.0, gt=0)
    stuck_floor_h: float = Field(1.0, gt=0, description="a sensor's own rhythm is never trusted below this")
    wet_after_h: float = Field(6.0, gt=0, description="at 100 % for so long is a wet or failed sensor, not wet air")
    heating_recovery_s: float = Field(120.0, ge=0, description="after its heater, until it is believed again")


class SaltCheckTable(Table):
    """When a sensor over a salt has settled, and what is made of it. Common practice, no source."""

    least_h: float = Field(6.0, gt=0, le=240, description="so long over the salt at least")
    window_h: float = Field(3.0, gt=0, le=24, description="the last hours, over which it must stand still")
    slope_pct_per_h: float = Field(0.1, gt=0, description="moving more slowly than this, % RH an hour")
    scatter_pct: float = Field(0.3, gt=0, description="scattering less than this about its line, % RH")
    temperature_spread_c: float = Field(1.0, gt=0, description="within so many K")
    back_after_min: float = Field(60.0, ge=0, description="from the end until it counts in its zone again")
    pair_within_days: float = Field(14.0, gt=0, description="two checks so near in time are laid together")
    pair_apart_pct: float = Field(20.0, gt=5, description="if their salts are so far apart, % RH")
    most_pct: float = Field(10.0, gt=0, le=30, description="a sensor further off is replaced, not corrected")
    due_days: float = Field(365.0, gt=0, description="then it is due again")


class OwnSpecies(Table, strict=True):
    """A species of the shop's own, in the keys of server/wood/species.csv; what is not known is left out."""

    key: str = Field(pattern=r"^[a-z][a-z0-9_]{0,39}$", description="small letters, digits, underscores")
    common_name: str = Field(min_length=1, max_length=60)
    botanical_name: str = Field("", max_length=80)
    specific_gravity: float | None = Field(None, description="basic: oven-dry mass over green volume")
    shrinkage_radial_pct: float | None = Field(None, description="green to oven-dry, % of the green dimension")
    shrinkage_tangential_pct: float | None = None
    shrinkage_volumetric_pct: float | None = None
    cr_fraction_per_pct_mc: float | None = None
    ct_fraction_per_pct_mc: float | None = None
    coefficient_from: str = Field("", description="the published species whose coefficients stand in")
    side_hardness_n: float | None = None
    decay_class: str = ""
    source: str = Field("", max_length=200, description="how you know")


TABLES = (
    "shop", "api", "broker", "store", "screening", "salt_check", "rules",
    "destination", "zone", "source", "sensor", "remote", "species",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Config:
    """A configuration without mistakes."""

    shop: Shop = field(default_factory=Shop)
    api: Api = field(default_factory=Api)
    broker: BrokerTable = field(default_factory=BrokerTable)
    destinations: tuple[Destination, ...] = ()
    zones: tuple[Zone, ...] = ()
    sources: tuple[BaseModel, ...] = ()
    sensors: tuple[Sensor, ...] = ()
    remotes: tuple[RemoteTable, ...] = ()
    species: tuple[OwnSpecies, ...] = ()
    store: StoreTable = field(default_factory=StoreTable)
    screening: ScreeningTable = field(default_factory=ScreeningTable)
    salt_check: SaltCheckTable = field(default_factory=SaltCheckTable)
    rules: Mapping[str, BaseModel] = field(default_factory=dict)
    path: Path | None = None
    """The file it stands in, if it does."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing to mend. ``line`` is None where the key is missing altogether."""

    file: str
    line: int | None
    key: str
    found: str
    would_be_right: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.key}: found {self.found}; would be right: {self.would_be_right}"


class ConfigError(Exception):
    """The configuration cannot be used. ``mistakes`` holds all of them; the text is one line each."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(m) for m in self.mistakes))
