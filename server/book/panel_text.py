"""What a person reads of a panel's year: millimetres first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from server.wood.restraint import BREAKS, CRUSHES, YIELDS
from server.words import Sentence, When

if TYPE_CHECKING:
    from server.book.panel import PanelRequest

CAUTION = Sentence("book-caution-panel")
_DAY_MS = 86_400_000
_STILL_MM, _CUP_MM, _STRETCH_PCT = 0.05, 0.3, 0.005
_MONTH_DAYS, _SAID_MONTHS = 30.4, 2.0


def said(request: PanelRequest, figures: Mapping[str, Any]) -> tuple[Sentence, ...]:
    """How far and when, what finish and thickness do, how long until then, the room it needs, and if it is held."""
    return *_moves(request, figures), _room(figures), *_cups(request, figures), *_held(figures)


def _moves(request: PanelRequest, figures: Mapping[str, Any]) -> tuple[Sentence, ...]:
    if figures["swing_mm"] < _STILL_MM:
        return (Sentence("book-panel-still", {"width_mm": figures["width_driest_mm"]}),)
    swing = {k: figures[k] for k in ("swing_mm", "swing_mm_low", "swing_mm_high")}
    bare = request.cover == "bare" and request.back_cover in {None, "bare"}
    keys = ("air_swing_mm", "lag_days") if bare else ("air_swing_mm", "bare_swing_mm", "lag_days")
    follows = Sentence("book-panel-follows-bare" if bare else "book-panel-follows", {k: figures[k] for k in keys})
    days = figures["in_step_days"]
    if days is None:
        return Sentence("book-panel-slow", {**swing, "width_mm": request.width_mm}), follows
    widths = {k: figures[k] for k in ("width_driest_mm", "width_dampest_mm")}
    dates = {"narrowest": _date(figures["narrowest_day"]), "widest": _date(figures["widest_day"])}
    late = days >= _SAID_MONTHS * _MONTH_DAYS
    gets_there = (Sentence("book-panel-in-step", {"months": days / _MONTH_DAYS}),) if late else ()
    return Sentence("book-panel", {**swing, **widths, **dates}), follows, *gets_there


def _room(figures: Mapping[str, Any]) -> Sentence:
    keys = ("groove_depth_mm", "groove_gap_today_mm", "slot_mm", "slot_from_middle_mm")
    return Sentence("book-panel-room", {k: figures[k] for k in keys})


def _cups(request: PanelRequest, figures: Mapping[str, Any]) -> tuple[Sentence, ...]:
    if abs(figures["cup_mm"]) < _CUP_MM:
        return ()
    face = "front" if figures["cup_mm"] > 0 else "back"
    values = {"cup_mm": abs(figures["cup_mm"]), "face": face, "width_mm": request.width_mm}
    return (Sentence("book-panel-cups", values),)


def _held(figures: Mapping[str, Any]) -> tuple[Sentence, ...]:
    values = {
        "stretch_pct": figures["held_stretch_pct"],
        "rank": figures["held_rank"],
        "yields_pct": 100 * YIELDS,
        "fails_pct": 100 * BREAKS,
    }
    squeeze = {"squeeze_pct": figures["held_squeeze_pct"], "set_pct": 100 * CRUSHES}
    kept = (Sentence("book-panel-held-set", squeeze),) if figures["held_keeps_set"] else ()
    stretched = (Sentence("book-panel-held", values),) if figures["held_stretch_pct"] >= _STRETCH_PCT else ()
    return *stretched, *kept


def _date(day: float) -> When:
    """A day of a year that is no leap year."""
    return When(round((day - 1.0) % 365.0) * _DAY_MS, 0, "UTC", "date")
