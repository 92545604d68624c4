"""Resaw this lot, or leave it thick?"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from pydantic import Field

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, PRACTICE, Held, Inputs, Limit, Line, LotView, NotToBeAsked
from server.advice.base import ends as with_ends
from server.advice.halves import Half, Halves, halves_of
from server.advice.received import FORK_SOURCE
from server.advice.time_words import Said, after, counted
from server.wood.ensemble import Spread
from server.wood.outcome import EVEN_WITHIN_PCT, SEASON_DAYS
from server.words import Sentence

CAUTION = Sentence("book-caution-resaw")
LEAST_THICK_MM = 38.0
"""From six quarters on it is asked unasked. Common practice, no source."""
LEAST_LEFT_MM = 0.3
FLAT_MM = 0.05
"""Less is below what a straightedge shows."""
SOONER_DAYS = 1.0
"""Less is not worth a kerf."""
_AT_ONCE_DAYS = 0.5
Advised = Literal["condition", "too-thin", "even", "sooner", "no-gain"]


class ResawInputs(Inputs):
    """Where it is sawn, how the halves lie afterwards, and what they must hold."""

    kerf_mm: float = Field(3.0, ge=0, le=20, description="what the blade takes, 0 to 20 mm; 3 if not given")
    top_half_mm: float | None = Field(
        None, ge=LEAST_LEFT_MM, le=300, description="how thick the top half comes off, 0.3 to 300 mm; else the middle"
    )
    lying: Literal["stickered", "wrapped", "one-face"] = Field(
        "stickered", description="how the halves lie: stickered, wrapped, or one-face (on the bench, the sawn face up)"
    )
    need_mm: float | None = Field(
        None, ge=LEAST_LEFT_MM, le=300, description="the flat thickness each half must hold, 0.3 to 300 mm"
    )


class Resaw:
    """What the halves do at once and as they settle, against leaving it whole, in the air its zone is to have."""

    name = "resaw"
    summary = "whether to resaw thick stock: what its halves do, how long they rest, and what is gained"
    decides = False
    inputs: type[Inputs] = ResawInputs

    def answer(self, view: LotView, given: ResawInputs, /) -> Line | None:
        """``advice``; ``halves``: of the top and the bottom one ``thickness_mm``, ``cup_at_once_mm``, ``peak_mm``,
        ``settled_mm`` (positive: the sawn face goes hollow), ``flat_mm`` (the thickest flat piece in it at its worst),
        each with its ends, and ``peak_day``; ``rest_days``, ``rest_stickers_days`` and ``rest_wrapped_days`` until
        shell and core of both stay within 1 %; ``good_to_mill_days`` and ``settled_days`` of ``whole`` and ``halves``.
        Thin stock is asked only where something is said."""
        lot, across = view.lot, view.across()
        if view.held is None or (lot.thickness_mm < LEAST_THICK_MM and not given.model_fields_set):
            return None
        top = _top_mm(lot.thickness_mm, given)
        found = halves_of(view, view.held, top, given.kerf_mm, given.lying)
        advice = _advised(view, view.held, given, found)
        figures: dict[str, Any] = {
            "advice": advice, "thickness_mm": lot.thickness_mm, "width_mm": lot.width_mm,
            "halves": [half.figures() for half in found.halves] if across is not None else [],
            **with_ends("rest_days", found.rest), **with_ends("rest_stickers_days", found.rest_stickers),
            **with_ends("rest_wrapped_days", found.rest_wrapped),
            **with_ends("whole_good_to_mill_days", view.held.outcome.good),
            **with_ends("whole_settled_days", view.held.outcome.settled),
            **with_ends("halves_good_to_mill_days", found.good), **with_ends("halves_settled_days", found.settled),
        }  # fmt: skip
        cups = _cups(view, found.halves) if across is not None else ()
        said = (_first(view, given, found, advice), *_ready(view.held, found), *cups, *_rests(found), *_fork(view))
        limit = Limit(Sentence("lot-resaw-limit"), PRACTICE, {"apart_pct": EVEN_WITHIN_PCT, "thick_mm": LEAST_THICK_MM})
        moves = () if across is None else (f"Movement: {across.source}.",)
        entries = tuple(lot.entry_of[kind] for kind in ("fork-tested",) if kind in lot.entry_of)
        return Line(
            self.name, None, Sentence("lot-resaw-asked"), said, figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, *moves, FORK_SOURCE, f"No resawing before it is straight: {PRACTICE}"),
            CAUTION, entries,
        )  # fmt: skip


def _top_mm(thick_mm: float, given: ResawInputs) -> float:
    top = 0.5 * (thick_mm - given.kerf_mm) if given.top_half_mm is None else given.top_half_mm
    if min(top, thick_mm - given.kerf_mm - top) < LEAST_LEFT_MM:
        right = f"two halves of {LEAST_LEFT_MM:g} mm or more out of its {thick_mm:g} mm"
        raise NotToBeAsked("kerf_mm", f"{given.kerf_mm:g} mm below {top:g} mm", right)
    return top


def _advised(view: LotView, held: Held, given: ResawInputs, found: Halves) -> Advised:
    if view.lot.prongs in ("pinch", "open"):
        return "condition"
    if given.need_mm is not None and _least_flat_mm(found) < given.need_mm:
        return "too-thin"
    whole, halves = float(held.outcome.good.middle[0]), float(found.good.middle[0])
    if whole == 0.0:
        return "even"
    return "sooner" if halves <= SEASON_DAYS and not whole - halves < SOONER_DAYS else "no-gain"


def _least_flat_mm(found: Halves) -> float:
    return min(float(half.flat.low[0]) for half in found.halves)


def _first(view: LotView, given: ResawInputs, found: Halves, advice: Advised) -> Sentence:
    if advice == "condition":
        return Sentence("lot-resaw-condition", {"prongs": str(view.lot.prongs)})
    if advice == "too-thin":
        return Sentence("lot-resaw-too-thin", {"need_mm": given.need_mm or 0.0, "flat_mm": _least_flat_mm(found)})
    return Sentence(f"lot-resaw-{advice}")


def _ready(held: Held, found: Halves) -> tuple[Sentence, ...]:
    """Days of both, unless it is good to mill as it is."""
    said = []
    for which, good in (("whole", held.outcome.good), ("halves", found.good)):
        if good.middle[0] <= SEASON_DAYS:
            if good.middle[0] > 0.0:
                said.append(Sentence("lot-resaw-good", {"which": which, **counted(good)}))
        else:
            said.append(Sentence("lot-resaw-late", {"which": which}))
    return tuple(said)


def _cups(view: LotView, halves: tuple[Half, Half]) -> tuple[Sentence, ...]:
    top, bottom = halves
    same = np.allclose([top.thickness_mm, *top.cups()], [bottom.thickness_mm, *bottom.cups()], atol=1e-3)
    named = [("each", top)] if same else [(half.which, half) for half in halves]
    return tuple(said for which, half in named for said in _half(view.lot.width_mm, which, half))


def _half(width_mm: float, which: str, half: Half) -> tuple[Sentence, ...]:
    peak, at_once = float(half.peak.middle[0]), float(half.at_once.middle[0])
    most = max(abs(float(end[0])) for end in (half.peak.low, half.peak.high))
    values: Said = {"half": which, "thickness_mm": half.thickness_mm, "width_mm": width_mm, "most_mm": most}
    if abs(peak) < FLAT_MM:
        return (Sentence("lot-resaw-flat", values),)
    flat: Said = {"flat_mm": float(half.flat.middle[0]), "flat_least_mm": float(half.flat.low[0])}
    bent: Said = {**values, **flat, "peak_mm": abs(peak), "face": _face(peak)}
    if abs(peak - at_once) < FLAT_MM:
        return (Sentence("lot-resaw-at-once", bent),)
    worst = Sentence("lot-resaw-half", {**bent, **after(half.peak_day)})
    if abs(at_once) < FLAT_MM:
        return (worst,)
    return worst, Sentence("book-resaw-first", {"at_once_mm": abs(at_once), "face": _face(at_once)})


def _face(towards_sawn_mm: float) -> str:
    return "sawn" if towards_sawn_mm > 0 else "outer"


def _rests(found: Halves) -> tuple[Sentence, ...]:
    return tuple(_rest(way, days) for way, days in (("stickers", found.rest_stickers), ("wrapped", found.rest_wrapped)))


def _rest(lying: str, days: Spread) -> Sentence:
    if not days.middle[0] <= SEASON_DAYS:
        return Sentence("book-resaw-rest-not-this-season", {"lying": lying})
    if days.middle[0] < _AT_ONCE_DAYS:
        return Sentence("book-resaw-rest-none", {"lying": lying})
    return Sentence("lot-resaw-rest", {"lying": lying, **counted(days)})


def _fork(view: LotView) -> tuple[Sentence, ...]:
    return (Sentence("lot-resaw-fork"),) if view.lot.prongs is None else ()
