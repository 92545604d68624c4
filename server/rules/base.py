"""What a rule sees and what it is."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from pydantic import BaseModel

from server.reading import Aim, Finding, OutlookPoint, Surroundings, ZoneAir
from server.reason import Reason
from server.rules.lot_view import LotView
from server.rules.panel_view import PanelView
from server.rules.spans import Span, span_with


@dataclass(frozen=True, slots=True)
class SensorView:
    """One sensor as a rule sees it. ``period_s`` is learnt (median of 20), None until known; ``heard_ms`` is the last
    good reading, None if there was none yet; ``silent_for_s`` is measured on the monotonic clock since then or since
    the start. ``stuck`` says that what it sends has not moved for too long, ``wet`` that it has stood at 100 % for so
    long that it is wet itself, or has failed. ``talking`` says that something came from it lately, believed or not;
    ``quiet_for_s`` is since that, or since the start. ``check_due_ms`` is when its last salt check grows too old; None
    if it never had one. ``over_salt``: it hangs in a jar and not in its zone. ``pause_s`` is the second
    longest of its last twenty pauses: what came twice is a habit. ``wire`` is the source it is heard on,
    ``wire_back_s`` since when that is back: 0 while an alert says that it is lost, None where none has since the
    start."""

    sensor: str
    zone: str
    heard_ms: int | None
    silent_for_s: float
    period_s: float | None
    stuck: bool = False
    wet: bool = False
    check_due_ms: int | None = None
    talking: bool = False
    quiet_for_s: float = 0.0
    over_salt: bool = False
    pause_s: float | None = None
    wire: str = ""
    wire_back_s: float | None = None


@dataclass(frozen=True, slots=True)
class ZoneView:
    """One zone as a rule sees it. ``air`` is None while no good sensor has been heard lately; ``last_6_h`` are (t_ms,
    emc_pct) of its air, oldest first; ``outlook`` is empty until there is one."""

    zone: str
    aim: Aim
    air: ZoneAir | None
    last_6_h: tuple[tuple[int, float], ...] = ()
    outlook: tuple[OutlookPoint, ...] = ()


@dataclass(frozen=True, slots=True)
class NeighbourView:
    """Two sensors of one zone over weeks: ``sensor`` less ``mate`` in EMC at one temperature (% MC) and in vapour
    pressure (``apart_pa``), median of the last seven days. ``trend_emc_pct_per_month`` is a straight line through the
    days of the last month, ``days`` how many those are; None for fewer than 14. In a heated room 1 % RH a month makes
    0.15, and with a month of days the trend of two right sensors stays within 0.08."""

    zone: str
    sensor: str
    mate: str
    apart_emc_pct: float
    trend_emc_pct_per_month: float | None
    days: int
    apart_pa: float = 0.0


@dataclass(frozen=True, slots=True)
class RoomView:
    """A zone as a room, by its settings and its closed half hours; ``at_ms`` is the end of the newest, with whose
    successor it is made anew. Humidities in % RH over water; what is not known, or not there, is None.

    ``outdoor_c`` is outdoors, ``incoming_pct`` what air from there draws wood to (% MC) once it is as warm as the room.
    ``metal_c`` and ``metal_rh_pct`` are of bare iron there at its own, late temperature. ``surface_c`` and
    ``surface_rh_pct`` are the means of ``surface_days`` days at its coldest inner surface; mould grows there from
    ``mould_from_pct`` on (None where it is too cold for any), seen after ``mould_weeks`` of such air. ``blows`` are
    the spans in which the extractor blows outdoors by its hours, from and to in ms. ``follows_per_h`` is the share of
    its way to outdoors that its humidity ratio went in the last hour, ``usual_per_h`` what nine in ten hours of its
    nights stay below.
    """

    zone: str
    at_ms: int
    outdoor_c: float | None = None
    incoming_pct: float | None = None
    metal_c: float | None = None
    metal_rh_pct: float | None = None
    surface_c: float | None = None
    surface_rh_pct: float | None = None
    surface_days: float = 0.0
    mould_from_pct: float | None = None
    mould_weeks: float | None = None
    blows: tuple[tuple[int, int], ...] = ()
    follows_per_h: float | None = None
    usual_per_h: float | None = None


@dataclass(frozen=True, slots=True)
class ShelfView:
    """Where glue and finishes stand: a zone or a sensor, ``subject`` is its id. ``temperature_c`` and ``per_h`` (K an
    hour, a straight line) are those of its half hours up to ``at_ms``; ``per_h`` is None for too few of them."""

    subject: str
    zone: str
    at_ms: int
    temperature_c: float
    per_h: float | None = None


@dataclass(frozen=True, slots=True)
class SeenRooms:
    """All rooms and shelves at one moment; zones that are ``outdoors`` are no room, and held against no aim."""

    rooms: tuple[RoomView, ...] = ()
    shelves: tuple[ShelfView, ...] = ()
    outdoors: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Seen:
    """All that is hung beside the loop of lots: ``lots``, None until they are first worked out, and the ``panels``
    among them; ``work``, the hours of the days around now in which somebody works."""

    lots: tuple[LotView, ...] | None = None
    work: tuple[Span, ...] = ()
    panels: tuple[PanelView, ...] = ()


@dataclass(frozen=True, slots=True)
class ShopFacts:
    """What the shop says of itself. ``off_until_ms``: of each zone that is switched off for the season, noon of the
    last day; ``away``: the times in which nobody is there that have not ended; ``open_lots``: how many lots of a zone
    are not wrapped. ``known`` is False until the shop's journal was taken up after a start: then the last two are
    empty for want of it."""

    off_until_ms: Mapping[str, int] = field(default_factory=dict)
    away: tuple[Span, ...] = ()
    open_lots: Mapping[str, int] = field(default_factory=dict)
    known: bool = True


@dataclass(frozen=True, slots=True)
class RuleView:
    """Everything a rule may look at. ``zones`` are those held against an aim. ``lots`` is None until they are first
    worked out, which goes on beside the loop; ``panels`` are those of them that were glued; ``work`` are the hours of
    the days around now in which somebody works, none where the shop tells none. ``standing`` are (rule, subject) of
    the alerts whose condition was present at the turn before, so that one thing is not told twice, ``kept_back`` of
    those that were suppressed, with the reason."""

    now_ms: int
    zones: Sequence[ZoneView] = ()
    sensors: Sequence[SensorView] = ()
    surroundings: Surroundings = field(default_factory=Surroundings)
    clock_is_set: bool = True
    neighbours: Sequence[NeighbourView] = ()
    rooms: Sequence[RoomView] = ()
    shelves: Sequence[ShelfView] = ()
    standing: Collection[tuple[str, str]] = frozenset()
    kept_back: Mapping[tuple[str, str], Reason] = field(default_factory=dict)
    not_watched: dict[str, str] = field(default_factory=dict)
    lots: tuple[LotView, ...] | None = None
    work: tuple[Span, ...] = ()
    panels: tuple[PanelView, ...] = ()
    shop: ShopFacts = field(default_factory=ShopFacts)

    @property
    def away(self) -> tuple[Span, ...]:
        """The times in which nobody is there, as told."""
        return self.shop.away

    @property
    def nobody_until_ms(self) -> int | None:
        """Until when nobody is there who could do anything, by what was told of being away; None while somebody is."""
        now = span_with(self.away, self.now_ms)
        return None if now is None else now[1]


class Rule(Protocol):
    """A rule: a name, a schema of its own parameters (handed to the configuration by the app), and a pure function."""

    name: str
    parameters: BaseModel

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding for every subject it watches, whether or not anything is wrong with it."""
