"""The shapes of the snapshot document, as ``tests/contract`` binds them and ``/openapi.json`` tells them."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from server.reading import Asks, Lean, Word

ZoneState = Literal["fresh", "old", "silent", "waiting"]


class Document(BaseModel):
    """A part of the document."""

    model_config = ConfigDict(extra="forbid")


class Said(Document):
    """A sentence with the key and figures it was made from."""

    text: str
    key: str
    values: dict[str, float | int | str]


class ShopPart(Document):
    """The shop and its clock."""

    name: str
    timezone: str
    now_text: str
    clock_set: bool


class BandPart(Document):
    """The sentence on top."""

    word: Word
    lean: Lean
    title: Said
    why: Said
    far: Said
    zone: str | None
    alert: str | None


class AirPart(Document):
    """What the air is, and what it draws wood to. Air without any vapour has no dew point."""

    temperature_c: float
    humidity_pct: float
    dew_point_c: float | None
    vapour_pressure_pa: float
    emc_pct: float
    emc_low_pct: float
    emc_high_pct: float
    t_ms: int
    flags: list[str]


class AimPart(Document):
    """The band of moisture the work there must live in, and where its ends come from."""

    dry_limit_pct: float
    damp_limit_pct: float
    text: Said
    source: str


class ZonePart(Document):
    """One zone. ``back`` rows are (t_ms, EMC %), ``ahead`` rows (t_ms, EMC %, low, high); times in ms UTC."""

    id: str
    name: str
    state: ZoneState
    state_text: Said | None
    heard_text: Said | None
    heard_ms: int | None
    air: AirPart | None
    aim: AimPart
    yesterday_emc_pct: float | None
    closed_bin_end_ms: int | None
    back: list[tuple[int, float]]
    ahead: list[tuple[int, float, float, float]]
    chart_note: Said | None


class AlertPart(Document):
    """One alert as it stands. ``deed`` is what to do about it, ``deeds`` what may be told of it here; ``asks`` is what
    it asks of a person, and only ``now`` may ring; ``rings_from_ms`` is from when, ms UTC: the next hours of work where
    it can wait for them, None where it may at once. ``note`` says that it is stale or chattering, and ``why`` of one
    that is suppressed, for what reason."""

    id: str
    rule: str
    subject: str
    state: str
    word: Word
    lean: Lean
    raised_ms: int
    raised_text: Said
    changed_ms: int
    asks: Asks
    rings_from_ms: int | None
    title: Said
    why: Said
    deed: Said | None
    caution: Said | None
    note: Said | None
    stale: bool
    chattering: bool
    raises_in_a_day: int
    deeds: list[Literal["acknowledge", "shelve", "unshelve"]]
    shelved_until_ms: int | None


class ChangePart(Document):
    """A change of an alert, as it goes out: the state it came to, when, and on its return how long it had stood."""

    alert: str
    rule: str
    subject: str
    state: str
    word: Word
    at_ms: int
    raised_ms: int
    stood_s: int | None
    title: Said
    text: Said


class NoticePart(Document):
    """Something the shop should know about its own instrument."""

    key: str
    word: Word
    title: Said
    why: Said


class EmptyPart(Document):
    """What the wall says while there is nothing to show."""

    title: Said
    lines: list[Said]


class SnapshotDocument(Document):
    """The wall in one document."""

    version: str
    now_ms: int
    lang: str
    units: str
    shop: ShopPart
    band: BandPart
    zones: list[ZonePart]
    alerts: list[AlertPart]
    changes: list[ChangePart]
    notices: list[NoticePart]
    empty: EmptyPart | None
