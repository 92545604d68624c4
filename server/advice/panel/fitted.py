"""Has this panel the room it needs where it was fitted, through the year; and what does holding it fast do to it?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, PRACTICE, Inputs, Limit, Line, LotView
from server.advice.panel.ahead import ahead_of, panel_across
from server.advice.panel.living import Living, LivingInputs, living
from server.advice.time_words import Said
from server.book.gap import CLEARANCE_MM
from server.reading import Word
from server.shop.gluing import SCREW_MM
from server.shop.panel import Fitting
from server.wood import restraint
from server.wood.belief import boards_of, sigma_of
from server.wood.ensemble import END_OF_80
from server.wood.movement import MOVEMENT_CV, RING_ANGLE_DEG, Across, change
from server.wood.panel_ahead import Ahead
from server.words import Sentence


@dataclass(frozen=True, slots=True)
class Used:
    """By how much it is wider than when it was fitted, mm, now and at its widest and narrowest in the year ahead, each
    with its ends; and its mean moisture then, % MC."""

    now: tuple[float, float, float]
    widest: tuple[float, float, float]
    narrowest: tuple[float, float, float]
    then_pct: float


def used_of(view: LotView, fitting: Fitting, across: Across, ahead: Ahead) -> Used:
    """Since it was fitted. What it held then is worked out again from the record; fitted within this half hour it is
    what it holds now."""
    assert view.held is not None  # noqa: S101 - looked at before
    wood = view.held.wood
    before = None if view.looks is None else view.looks.stood(fitting.t_ms)
    now_pct = boards_of(wood.stock, wood.belief).mean_pct(wood.belief.held_pct()[0])
    then_pct = (
        now_pct if before is None else boards_of(before.stock, before.belief).mean_pct(before.belief.held_pct()[0])
    )
    then, now = float(then_pct[0]), float(now_pct[0])
    moved = float(change(across, fitting.width_mm, then, now))
    # What both moments share (the curve, the rate) falls out of the difference where no reading came between.
    unsure = END_OF_80 * float(sigma_of(now_pct - then_pct)) * across.coefficient * fitting.width_mm
    half = float(np.hypot(unsure, END_OF_80 * MOVEMENT_CV * moved))
    found = [(moved, moved - half, moved + half)]
    for one, _ in (ahead.widest(), ahead.narrowest()):
        middle, low, high = (moved + float(end[0]) for end in (one.middle, one.low, one.high))
        found.append(
            (middle, middle - float(np.hypot(middle - low, half)), middle + float(np.hypot(high - middle, half)))
        )
    return Used(found[0], found[1], found[2], then)


class FittedQuestion:
    """Free or held fast, clearance and slots."""

    name = "fitted"
    summary = "how much of the clearance a fitted panel has used and will use, its slots, or the strain of holding it"
    decides = True
    inputs: type[Inputs] = LivingInputs

    def answer(self, view: LotView, given: LivingInputs, /) -> Line | None:
        """``used_mm`` since it was fitted, ``most_used_mm`` and ``most_shrunk_mm`` in the year ahead, each with its
        ends; ``clearance_mm``; ``slot_mm``, ``slot_needed_mm`` where one edge is fixed, ``slot_from_middle_mm``
        where its middle is, what is left and what it needs from now on, on the outer and inner side of each screw
        (``slot_outside_left_mm``, …); ``held_…`` of one held fast."""
        lot = view.lot
        across = panel_across(view)
        if (
            lot.panel is None
            or lot.panel.fitting is None
            or view.held is None
            or across is None
            or view.species is None
        ):
            return None
        fitting, place = lot.panel.fitting, living(view, given)
        used = used_of(view, fitting, across, ahead_of(view, view.held.wood, place, across))
        figures: dict[str, Any] = {
            **_three("used_mm", used.now), **_three("most_used_mm", used.widest),
            **_three("most_shrunk_mm", used.narrowest), "fitted_pct": used.then_pct,
            "clearance_mm": fitting.clearance_mm, "held": fitting.held, "air_from": place.basis,
        }  # fmt: skip
        sources: tuple[str, ...] = (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}.", place.source)
        if fitting.held == "restrained":
            word, title, said, limit, more, source = _held(view, used, across, place)
            figures |= more
            sources = (*sources, source)
        else:
            word, title, said, limit, more = _free(view, fitting, used)
            figures |= more
        return Line(
            self.name, word, Sentence("panel-fit-asked"), said, figures, limit, sources,
            Sentence("panel-caution-fit"), (fitting.entry,), title,
        )  # fmt: skip


Found = tuple[Word | None, Sentence | None, tuple[Sentence, ...], Limit | None, dict[str, Any]]


def _free(view: LotView, fitting: Fitting, used: Used) -> Found:
    room, name = fitting.clearance_mm, view.lot.name
    now, most, far = used.now[0], used.widest[0], used.widest[2]
    figures, short, by_slots = _slots(view, fitting, used)
    swells: Said = {"most_mm": max(0.0, most), "far_mm": max(0.0, far)}
    if short is not None:
        limit = Limit(
            Sentence("panel-fit-slot-limit", {"slot_mm": fitting.slot_mm or 0.0}), PRACTICE,
            {"slot_mm": fitting.slot_mm or 0.0},
        )  # fmt: skip
        return "look", short, by_slots, limit, figures
    if room is None:
        unknown = (Sentence("panel-fit-unknown", {"name": name, **swells}),)
        return None, None, by_slots or unknown, None, figures
    limit = Limit(Sentence("panel-fit-limit", {"clearance_mm": room}), "The clearance as told.", {"clearance_mm": room})
    plane = max(0.0, far - room) + CLEARANCE_MM
    figures["plane_mm"] = plane if far > room else 0.0
    uses: Said = {"name": name, "now_mm": max(0.0, now), "room_mm": room}
    if now >= room:
        return (
            "act",
            Sentence("panel-fit-plane-title"),
            (Sentence("panel-fit-used", {**uses, "plane_mm": plane}),),
            limit,
            figures,
        )
    if far > room:
        binds = Sentence("panel-fit-binds", {**uses, **swells, "plane_mm": plane})
        return "look", Sentence("panel-fit-binds-title"), (binds,), limit, figures
    return None, None, (Sentence("panel-fit-enough", {**uses, **swells}), *by_slots), limit, figures


def _slots(view: LotView, fitting: Fitting, used: Used) -> tuple[dict[str, Any], Sentence | None, tuple[Sentence, ...]]:
    """Its figures, a title where the slots do not do, and what is said. What is left on each side of a screw counts: a
    slot that is long enough in all may be used up on one side."""
    screw, share = fitting.screw_mm or SCREW_MM, fitting.share
    outward, inward, now = max(0.0, used.widest[2]), max(0.0, -used.narrowest[1]), used.now[0]
    travel = outward + inward
    needed, middle = travel + screw, 0.5 * travel + screw
    figures: dict[str, Any] = {
        "slot_mm": fitting.slot_mm, "slot_needed_mm": needed, "slot_from_middle_mm": middle}  # fmt: skip
    if (free := fitting.free_mm) is None:
        return figures, None, ()
    left = free[0] - share * now, free[1] + share * now
    needs = share * outward - share * now, share * inward + share * now
    spare = 0.5 * (sum(free) - sum(needs))
    figures |= {
        "slot_outside_left_mm": left[0], "slot_inside_left_mm": left[1],
        "slot_outside_needed_mm": needs[0], "slot_inside_needed_mm": needs[1],
    }  # fmt: skip
    fixed = fitting.fixed or "not-told"
    slot: Said = {"name": view.lot.name, "slot_mm": fitting.slot_mm or 0.0, "needed_mm": needed, "middle_mm": middle}
    if spare < 0.0:
        return figures, Sentence("panel-fit-slot-title"), (Sentence("panel-fit-slot", {**slot, "fixed": fixed}),)
    short = "outer" if needs[0] > left[0] else "inner" if needs[1] > left[1] else ""
    if short:
        side = int(short == "inner")
        anew: Said = {
            "name": view.lot.name, "side": short, "left_mm": max(0.0, left[side]), "needs_mm": needs[side],
            "outer_mm": needs[0] + spare, "inner_mm": needs[1] + spare,
            "told": "no" if fitting.slot_outside_mm is None else "yes",
        }  # fmt: skip
        return figures, Sentence("panel-fit-centre-title"), (Sentence("panel-fit-centre", anew),)
    where = "any" if fitting.fixed is not None or (fitting.slot_mm or 0.0) >= needed else "middle"
    enough: Said = {name: slot[name] for name in ("name", "slot_mm", "needed_mm")}
    return figures, None, (Sentence("panel-fit-slot-enough", {**enough, "where": where}),)


def _held(
    view: LotView, used: Used, across: Across, place: Living
) -> tuple[Word | None, Sentence | None, tuple[Sentence, ...], Limit | None, dict[str, Any], str]:
    assert view.species is not None  # noqa: S101 - looked at before
    low, high = used.then_pct, used.then_pct
    per_pct = across.coefficient * view.lot.width_mm
    if per_pct > 0:
        low, high = (max(0.0, used.then_pct + moved / per_pct) for moved in (used.narrowest[0], used.widest[0]))
    strained = restraint.held(
        view.species, across, RING_ANGLE_DEG[view.lot.received.cut], used.then_pct,
        low_pct=min(low, used.then_pct), high_pct=max(high, used.then_pct),
    )  # fmt: skip
    of_width = 100.0 / view.lot.width_mm
    figures = {
        "held_stretch_pct": 100 * strained.stretched, "held_squeeze_pct": 100 * strained.squeezed,
        "held_stretch_pct_low": max(0.0, -used.narrowest[2]) * of_width,
        "held_stretch_pct_high": max(0.0, -used.narrowest[1]) * of_width,
        "held_squeeze_pct_low": max(0.0, used.widest[1]) * of_width,
        "held_squeeze_pct_high": max(0.0, used.widest[2]) * of_width,
        "held_rank": strained.rank, "held_keeps_set": strained.keeps_set, "held_tension_index": strained.tension_index,
        "driest_pct": low, "dampest_pct": high, "dry_limit_pct": place.low_pct,
    }  # fmt: skip
    values: Said = {
        "name": view.lot.name, "rank": strained.rank, "stretch_pct": 100 * strained.stretched,
        "set": "yes" if strained.keeps_set else "no",
    }  # fmt: skip
    yields = {"yields_pct": 100 * restraint.YIELDS, "fails_pct": 100 * restraint.BREAKS}
    limit = Limit(Sentence("panel-fit-held-limit", yields), restraint.SOURCE, yields)
    word: Word | None = {"within": None, "yields": "look", "fails": "act"}[strained.rank]
    title = None if word is None else Sentence("panel-fit-free-title", {"rank": strained.rank})
    source = f"Held: {restraint.SOURCE}. {strained.strength_source}".strip()
    return word, title, (Sentence("panel-fit-held", values),), limit, figures, source


def _three(key: str, ends: tuple[float, float, float]) -> dict[str, float]:
    return {key: ends[0], f"{key}_low": ends[1], f"{key}_high": ends[2]}
