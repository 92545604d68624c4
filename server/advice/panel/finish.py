"""Finish this panel on one side or on both, and may it be finished now?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import Field

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    PRACTICE,
    Decision,
    Inputs,
    Limit,
    Line,
    LotView,
    NotToBeAsked,
    ends,
    held_now,
)
from server.advice.panel.ahead import ahead_of, films, panel_across
from server.advice.panel.flatten import sinks
from server.advice.panel.living import LivingInputs, living
from server.advice.time_words import Said
from server.book.mill import face
from server.reading import Word
from server.wood import covers
from server.wood.outcome import EVEN_WITHIN_PCT
from server.wood.panel_ahead import Ahead
from server.words import Sentence

USUAL = "urethane-varnish-3"
FLAT_PER_M = 2.0
"""So many mm over a metre of width a panel in a piece may be hollow. Common practice, no source."""


class FinishInputs(LivingInputs):
    """The finish that is planned."""

    cover: str = Field(
        USUAL, max_length=60, description="the finish: a key of the covers table; three coats of varnish"
    )
    tolerance_mm: float | None = Field(
        None,
        gt=0,
        le=50,
        description="how hollow it may be over its width, above 0 to 50 mm; 2 mm a metre if not given",
    )


class Finish:
    """What one finished face does through the year ahead: it takes and gives less than the other."""

    name = "finish"
    summary = "the cup that a finish on one face brings through the year, on both, and how far a finish calms it"
    decides = True
    inputs: type[Inputs] = FinishInputs

    def decisions(self, views: Sequence[LotView]) -> list[Decision | None]:
        """What its answers to these would decide: only of those that are to be finished is the year looked at."""
        found: list[Decision | None] = []
        for view in views:
            panel = view.lot.panel
            due = panel is not None and (panel.stage == "flattened" or view.lot.top_finish != view.lot.bottom_finish)
            line = self.answer(view, FinishInputs()) if due else None
            decided = line is not None and line.word is not None and line.title is not None
            found.append((line.word, line.title, line.said[0]) if decided else None)  # type: ignore[union-attr,arg-type]
        return found

    def answer(self, view: LotView, given: FinishInputs, /) -> Line | None:
        """``one_cup_mm``, ``both_cup_mm``, ``bare_cup_mm``: the worst departure from flat in the year ahead (positive:
        the top is hollow), each with its ends; ``…_swing_mm`` of its width; ``as_it_is_cup_mm`` with what is on it
        now."""
        lot, across = view.lot, panel_across(view)
        if lot.panel is None or view.held is None or across is None:
            return None
        key = lot.top_finish if lot.top_finish != "bare" and given.cover == USUAL else given.cover
        try:
            cover = covers.find(key)
        except covers.UnknownCover as unknown:
            raise NotToBeAsked("cover", repr(key), f"one of {', '.join(unknown.near)}") from None
        place = living(view, given)
        each = {
            "bare": films("bare", "bare"), "one": films(key, "bare"), "both": films(key, key),
            "as_it_is": films(lot.top_finish, lot.bottom_finish),
        }  # fmt: skip
        ahead = ahead_of(view, view.held.wood, place, across, *each.values())
        cups = {way: ahead.worst_cup(i)[0] for i, way in enumerate(each)}
        limit_mm = given.tolerance_mm or FLAT_PER_M * lot.width_mm / 1000.0
        figures: dict[str, Any] = {
            name: value for way, cup in cups.items() for name, value in ends(f"{way}_cup_mm", cup).items()
        }
        figures |= {f"{way}_swing_mm": _swing(ahead, i) for i, way in enumerate(each)}
        figures |= {"cover": key, "tolerance_mm": limit_mm, "width_mm": lot.width_mm, "air_from": place.basis}
        figures |= held_now(view, view.held)
        one, both = (float(cups[way].middle[0]) for way in ("one", "both"))
        values: Said = {
            "one_mm": abs(one), "far_mm": max(abs(float(cups["one"].low[0])), abs(float(cups["one"].high[0]))),
            "both_mm": abs(both), "face": face(one), "width_mm": lot.width_mm,
        }  # fmt: skip
        swings: Said = {"bare_mm": figures["bare_swing_mm"], "both_mm": figures["both_swing_mm"]}
        said = [Sentence("panel-finish-cups", values), Sentence("panel-finish-swings", swings)]
        word, title, first = _decided(view, figures, limit_mm)
        limit = Limit(Sentence("panel-finish-limit", {"flat_mm": limit_mm, "width_mm": lot.width_mm}), PRACTICE, {
            "tolerance_mm": limit_mm})  # fmt: skip
        source = f"Finish: {cover.source}."
        return Line(
            self.name, word, Sentence("panel-finish-asked"), (*first, *said), figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}.", source, place.source),
            Sentence("panel-caution-finish"), (lot.panel.entry,), title,
        )  # fmt: skip


def _swing(ahead: Ahead, way: int) -> float:
    moved = ahead.moved(way).middle
    return float(moved.max() - moved.min())


def _decided(
    view: LotView, figures: dict[str, Any], limit_mm: float
) -> tuple[Word | None, Sentence | None, tuple[Sentence, ...]]:
    lot, stage = view.lot, view.lot.panel.stage if view.lot.panel is not None else ""
    name: Said = {"name": lot.name}
    if lot.top_finish != lot.bottom_finish:
        cup = max(abs(figures["as_it_is_cup_mm_low"]), abs(figures["as_it_is_cup_mm_high"]))
        if cup > limit_mm:
            return "look", Sentence("panel-finish-other-title"), (
                Sentence("panel-finish-other", {**name, "cup_mm": cup}),)  # fmt: skip
    if stage != "flattened":
        return None, None, ()
    if not view.aim.dry_limit_pct <= figures["mean_pct"] <= view.aim.damp_limit_pct:
        aim: Said = {
            "mean_pct": figures["mean_pct"],
            "low_pct": view.aim.dry_limit_pct,
            "high_pct": view.aim.damp_limit_pct,
        }
        return "look", Sentence("panel-finish-aim-title"), (Sentence("panel-finish-aim", {**name, **aim}),)
    if abs(figures["shell_pct"] - figures["core_pct"]) > EVEN_WITHIN_PCT:
        return "wait", Sentence("panel-finish-uneven-title"), (Sentence("panel-finish-uneven", name),)
    if sinks(view):
        return None, None, (Sentence("panel-finish-sinks", name),)
    return "ready", Sentence("panel-finish-ready-title"), (Sentence("panel-finish-ready", name),)
