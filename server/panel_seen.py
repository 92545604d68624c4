"""What rules see of the panels: made beside the loop with the verdicts of the lots that they are.

How much wider a panel is than when it was fitted is what the model holds of it now less what it held then, each doubt
by itself; what a meter taught in between is taken for movement. A panel that a bug of ours keeps from being looked at
is told without figures; the others go on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from server.advice.asking import Asked
from server.advice.base import Held, Inputs, LotView
from server.advice.panel.ahead import panel_across
from server.advice.panel.curing import Glue, drier_pct, glue_of
from server.advice.panel.flatten import Flatten
from server.advice.panel.glue_lines import rest_of
from server.advice.view import Seeing
from server.bins import BIN_MS
from server.lot_seen import GoodSince
from server.model.air import ShopAir
from server.rules.lot_view import Band
from server.rules.panel_view import Cure, Fit, Grown, PanelView
from server.shop.lot import Lot
from server.shop.lying import behind
from server.shop.panel import Fitting
from server.stores.port import StoreError
from server.wood.air import Floats
from server.wood.belief import boards_of, sigma_of
from server.wood.boards import film_through
from server.wood.curing import left_h
from server.wood.ensemble import END_OF_80, spread_of
from server.wood.lag import first_order
from server.wood.milling import Cut
from server.wood.movement import MOVEMENT_CV, Across, change
from server.wood.pieces import Pieces, doubted, going_of_each

HOUR_MS, DAY_MS = 3_600_000, 86_400_000
AHEAD_DAYS = (1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 14.0, 21.0, 30.0, 45.0, 60.0)
_DAY = 48
"""Half hours."""


@dataclass(frozen=True, slots=True)
class Panels:
    """What rules see of some panels, by id, and the bugs that kept some of them from being looked at."""

    panels: dict[str, PanelView]
    faults: dict[str, Exception]


def panels_seen(seeing: Seeing, lots: Sequence[Lot], asked: Mapping[str, Asked], flat: GoodSince) -> Panels:
    """Of those of the ``lots`` that are panels, and of which something was ``asked``. Reads the record. Raises
    StoreError."""
    found = Panels({}, {})
    for lot in lots:
        if lot.panel is None or lot.id not in asked:
            continue
        view = asked[lot.id].view
        fitted, crated = lot.panel.fitting is not None, lot.panel.stage == "crated"
        aim = seeing.aims[lot.id]
        one = PanelView(
            lot.id, lot.name, lot.zone, seeing.at_ms, lot.lying == "wrapped", fitted, crated,
            aim_pct=(aim.dry_limit_pct, aim.damp_limit_pct), worked_out=False,
        )  # fmt: skip
        try:
            found.panels[lot.id] = one if view is None or view.held is None else _seen(seeing, view, view.held, one)
        except StoreError:
            raise
        except Exception as fault:  # noqa: BLE001 - it is handed on with the panel
            found.panels[lot.id], found.faults[lot.id] = one, fault
    since = flat.told(seeing, {name: one.flat is True for name, one in found.panels.items()})
    for name, one in found.panels.items():
        since_ms, glued = since[name], seeing.shop.lots[name].panel
        if since_ms is not None and glued is not None:  # even it may have been before its glue had dried
            found.panels[name] = replace(one, flat_since_ms=max(since_ms, one.flat_since_ms or 0))
    return found


def _seen(seeing: Seeing, view: LotView, held: Held, one: PanelView) -> PanelView:
    glued, flat, rested_ms, cure = view.lot.panel, False, None, None
    if glued is not None and glued.stage == "glued":
        glue, line = glue_of(view), Flatten().answer(view, Inputs())
        flat = line is not None and line.word == "ready"
        if glue is not None:
            rested_ms = _rested_ms(view, glue)
            cure = _cure(view, held, glue, seeing.recent(held.wood.zone))
    fitting = None if glued is None or glued.stage not in {"fitted", "finished", "crated"} else glued.fitting
    fit = None if fitting is None or fitting.held != "free" else _fit(view, held, fitting)
    return replace(one, cure=cure, flat=flat, flat_since_ms=rested_ms if flat else None, fit=fit, worked_out=True)


def _rested_ms(view: LotView, glue: Glue) -> int:
    """When its lines had dried, as far as a time for that is known."""
    rest = rest_of(view, glue)
    needs_h = glue.clamp_h if rest is None else rest.needs_h[2]
    return view.at_ms - round((glue.since_h - needs_h) * HOUR_MS)


def _cure(view: LotView, held: Held, glue: Glue, recent: ShopAir) -> Cure:
    lowest, glued_ms = glue.limits.lowest_in_clamps, view.at_ms - round(glue.since_h * HOUR_MS)
    off_ms = glued_ms + round(glue.clamp_h * HOUR_MS)
    needs = left_h(glue.limits, "clamp", glue.clamped, glue.wood_c)
    from_ms = view.at_ms if glue.in_clamps else off_ms
    least, most = (from_ms + round(h * HOUR_MS) for h in needs or (0.0, 0.0))
    left = left_h(glue.limits, "cure", glue.cured, glue.wood_c)
    cured_ms = None if left is None else view.at_ms + round(left[1] * HOUR_MS)
    coldest = _coldest(held, recent, view.at_ms, cured_ms)
    return Cure(
        wood_c=glue.wood_c, lowest_c=glue.lowest_c, keep_c=lowest.high, doubtful=glue.doubtful,
        hard=lowest.hard and glue.in_clamps and not glue.late and not glue.clamped.sure, cold_h=glue.cold_h,
        coldest_c=None if coldest is None else coldest[0], coldest_ms=view.at_ms if coldest is None else coldest[1],
        off_ms=off_ms, ready_ms=None if needs is None else (least, most),
        drier_pct=Band(*drier_pct(held)),
        air_c=float(recent.temperature_c[-1, 0]), cured=glue.there, cured_ms=cured_ms,
    )  # fmt: skip


def _coldest(held: Held, recent: ShopAir, at_ms: int, cured_ms: int | None) -> tuple[float, int] | None:
    """How cold its wood gets, and when, in the day to come as the last one was: nobody foretells a room's temperature
    here."""
    known, c = recent.known[1:, 0], recent.temperature_c[1:, 0]
    if len(known) < _DAY or not known[-_DAY:].any():
        return None
    twice, lag_s = (
        np.concatenate([c[-_DAY:], c[-_DAY:]]),
        float(boards_of(held.wood.stock, held.wood.belief).heat_lag_s[0]),
    )
    wood = first_order(BIN_MS / 1000.0 * np.arange(2 * _DAY), twice, lag_s)[_DAY:]
    bins = _DAY if cured_ms is None else min(_DAY, max(1, -(-(cured_ms - at_ms) // BIN_MS)))
    at = int(wood[:bins].argmin())
    return float(wood[at]), at_ms + (at + 1) * BIN_MS


def _fit(view: LotView, held: Held, fitting: Fitting) -> Fit | None:
    across, looks = panel_across(view), view.looks
    room = fitting.clearance_mm
    free, share = fitting.free_mm, fitting.share
    travel = None if free is None else (free[0] / share, free[1] / share)
    if across is None or looks is None or (room is None and travel is None):
        return None
    then = looks.stood(fitting.t_ms)
    if then is None:
        return None
    stood = boards_of(then.stock, then.belief).mean_pct(then.belief.moisture.profile_pct) + then.belief.curve_pct[0]
    grown = _grown(view, held, across, stood, fitting.width_mm)
    return Fit(fitting.fit or "not-told", room, travel, fitting.width_mm, grown, share)


def _grown(view: LotView, held: Held, across: Across, stood: Floats, width_mm: float) -> tuple[Grown, ...]:
    """Up to now by what each member of the belief went through; from now on by what each doubt does to the way."""
    wood, lot = held.wood, view.lot
    now = boards_of(wood.stock, wood.belief).mean_pct(wood.belief.moisture.profile_pct) + wood.belief.curve_pct[0]
    gone = now - stood
    half = END_OF_80 * float(sigma_of(gone))
    films = (float(film_through(r)) for r in behind(lot.lying, lot.top_finish, lot.bottom_finish))
    cut = Cut(0.0, float(wood.stock.thickness_m[0]), *films)
    whole = Pieces(doubted(wood.stock, wood.belief, held.air), [cut], across.coefficient, width_mm / 1000)
    (going,) = going_of_each([whole], days=AHEAD_DAYS[-1], marks=AHEAD_DAYS)
    way = going.mean_pct[:, :, 0] - going.mean_pct[0, :, 0]
    spread = spread_of(way.T)
    found = []
    for day in (0.0, *AHEAD_DAYS):
        t = int(np.searchsorted(going.day, day - 1e-9))
        middle = float(gone[0] + spread.middle[t])
        down, up = (float(np.hypot(half, end[t] - spread.middle[t])) for end in (spread.low, spread.high))
        to = np.maximum(stood[0] + middle + np.array([0.0, -down, up]), 0.0)
        mm, least, most = change(across, width_mm, stood[0], to).tolist()
        own = END_OF_80 * MOVEMENT_CV * abs(mm)
        band = Band(mm, mm - float(np.hypot(mm - least, own)), mm + float(np.hypot(most - mm, own)))
        found.append(Grown(view.at_ms + round(day * DAY_MS), band))
    return tuple(found)
