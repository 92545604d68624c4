"""The values a screen is drawn from: frozen, comparable, so that nothing is redrawn that did not change."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BandView:
    """The sentence on top: a verdict's word and lean, what to do, why, and both in 30 letters for the far view."""

    word: str
    lean: str
    title: str
    why: str
    far: str
    word_text: str


@dataclass(frozen=True, slots=True)
class FigureView:
    value: str
    label: str


@dataclass(frozen=True, slots=True)
class AirView:
    """The chosen zone's air. ``number`` is the EMC in %, or the word in its place when ``live`` is False."""

    zone: str
    heading: str
    number: str
    live: bool
    heard: str
    age: str
    aim_text: str
    dry_limit_pct: float | None
    damp_limit_pct: float | None
    yesterday_pct: float | None
    yesterday: str
    unit: str = ""
    spread: str = ""
    emc_pct: float | None = None
    figures: tuple[FigureView, ...] = ()


@dataclass(frozen=True, slots=True)
class DayMark:
    """One local day as far as the chart shows it."""

    from_ms: int
    to_ms: int
    label: str


@dataclass(frozen=True, slots=True)
class ChartView:
    """``back`` are (t_ms, emc_pct), ``ahead`` (t_ms, emc_pct, low, high); both oldest first and inside the range."""

    zone: str
    heading: str
    now_ms: int
    from_ms: int
    to_ms: int
    back: tuple[tuple[int, float], ...]
    ahead: tuple[tuple[int, float, float, float], ...]
    emc_pct: float | None
    dry_limit_pct: float | None
    damp_limit_pct: float | None
    days: tuple[DayMark, ...]
    note: str
    aim_label: str
    now_label: str


@dataclass(frozen=True, slots=True)
class ZoneCard:
    """``live`` says whether ``figure`` is a number; ``age`` is shown only when the air is not fresh."""

    id: str
    name: str
    figure: str
    live: bool
    line: str
    age: str
    chosen: bool
    silent: bool


@dataclass(frozen=True, slots=True)
class LookItem:
    """One alert or notice, and what its sheet says. ``deeds`` are what a person may do about it."""

    id: str
    kind: str
    word: str
    lean: str
    title: str
    since: str = ""
    why: str = ""
    caution: str = ""
    source: str = ""
    state: str = ""
    state_text: str = ""
    deeds: tuple[str, ...] = ()

    @property
    def line(self) -> str:
        """Since when, and how it stands; a shelved one only says until when."""
        return self.state_text if self.state == "shelved" else " · ".join(t for t in (self.since, self.state_text) if t)


@dataclass(frozen=True, slots=True)
class EmptyView:
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wall:
    """Everything. ``version`` is None before the first snapshot; ``away_since`` is set while the server is away."""

    version: str | None
    band: BandView
    clock: str = ""
    clock_note: str = ""
    away_since: str = ""
    away_reason: str = ""
    air: AirView | None = None
    chart: ChartView | None = None
    zones: tuple[ZoneCard, ...] = ()
    look: tuple[LookItem, ...] = ()
    empty: EmptyView | None = None
