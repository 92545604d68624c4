"""When the glue lines of a panel no longer stand out: by its maker's sheet, else by the water its glue brought."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, Held, LotView
from server.advice.panel.curing import Glue
from server.wood import glue_line
from server.wood.air import Floats, saturation_pressure_pa
from server.wood.belief import boards_of, sigma_of
from server.wood.diffusivity import FIBRE_SATURATION_PCT, specific_gravity_at
from server.wood.emc import emc_slope_pct, humidity_for_emc
from server.wood.ensemble import END_OF_80
from server.wood.glue_line import GlueLine
from server.wood.maker_sheet import SHEET
from server.wood.movement import RING_ANGLE_DEG, across_width
from server.wood.species import NotPublished

HOUR_S = 3600.0
ROOM_C = 20.0
"""What a published time of rest that names no temperature is taken to be for."""
ONE_FACE = 0.2
"""A face that passes less than this part of the other is as good as shut."""
Three = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Rest:
    """Hours from gluing until it may be flattened: the middle and its ends; by how much a line stands out now, mm,
    likewise, and the water in a line, g/m² (None where a sheet or a bare figure says how long); and its source."""

    needs_h: Three
    stands_out_mm: Three | None
    water_g_m2: Three | None
    source: str

    def days(self, clamp_h: float) -> Three:
        """From the opening of the clamps."""
        middle, low, high = (max(0.0, h - clamp_h) / 24.0 for h in self.needs_h)
        return middle, low, high

    def left_days(self, since_h: float) -> Three:
        """From now on."""
        middle, low, high = (max(0.0, h - since_h) / 24.0 for h in self.needs_h)
        return middle, low, high


def rest_of(view: LotView, glue: Glue) -> Rest | None:
    """None for an adhesive that brings no water of its own, or of which nobody says how long: that rests until it is
    cured. A sheet's days stand; a published number of days is the longest it takes at room temperature, less where the
    wood's own figures give less, longer in the cold."""
    row, water = glue.limits.limits["rest"], glue.limits.water_kg_m2
    if row.low is None or row.high is None:
        return None
    source = f"{row.provenance}: {row.source}"
    line = None if water is None or view.held is None else _line(view, view.held, glue, water[0])
    if row.source == SHEET or water is None or view.held is None or line is None:
        low, high = (glue.clamp_h + 24.0 * days for days in (row.low, row.high))
        return Rest((0.5 * (low + high), low, high), None, None, source)
    return _by_water(view.held, glue, line, (row.low, row.high), source)


def _by_water(held: Held, glue: Glue, line: GlueLine, published: tuple[float, float], source: str) -> Rest:
    """Water and rate each at both ends of theirs, added up by squares."""
    water = glue.limits.water_kg_m2
    assert water is not None  # noqa: S101 - looked at before
    sigma = END_OF_80 * float(sigma_of(held.wood.belief.ln_rate[0]))
    longest_m2 = float(_diffusivity(held, np.array([ROOM_C]))[0]) * HOUR_S * (24.0 * published[1] + glue.clamp_h)
    now_m2, hour_of = _gone(held, glue)
    needed = float(min(line.tau_until(), longest_m2))
    middle = hour_of(needed)
    out = float(line.stands_out_mm(max(now_m2, 1e-12)))
    down, up, less, more = 0.0, 0.0, 0.0, 0.0
    for doubts in (
        [(replace(line, water_kg_m2=end), 1.0) for end in water[1:]],
        [(line, float(np.exp(side * sigma))) for side in (-1.0, 1.0)],
    ):
        hours = [hour_of(min(one.tau_until(), longest_m2) / rate) for one, rate in doubts]
        mm = [float(one.stands_out_mm(max(now_m2 * rate, 1e-12))) for one, rate in doubts]
        down, up = np.hypot(down, max(0.0, middle - min(hours))), np.hypot(up, max(0.0, max(hours) - middle))
        less, more = np.hypot(less, max(0.0, out - min(mm))), np.hypot(more, max(0.0, max(mm) - out))
    high = min(middle + float(up), max(middle, hour_of(longest_m2)))
    grams = tuple(1000.0 * one for one in water)
    return Rest(
        (middle, max(0.0, middle - float(down)), high), (out, max(0.0, out - float(less)), out + float(more)),
        (grams[0], grams[1], grams[2]), f"{source}. {glue_line.SOURCE} {DIFFUSION_SOURCE}",
    )  # fmt: skip


def _line(view: LotView, held: Held, glue: Glue, water_kg_m2: float) -> GlueLine | None:
    """The widest strip, and the board that moves most in its thickness; None where nothing is published."""
    panel, wood = view.lot.panel, held.wood
    if panel is None or view.species is None:
        return None
    try:
        each = [across_width(view.species, 90.0 - RING_ANGLE_DEG[board.cut]).coefficient for board in panel.boards]
    except NotPublished:
        return None
    boards, thick = boards_of(wood.stock, wood.belief), float(wood.stock.thickness_m[0])
    top, bottom = float(wood.stock.top_film[0]), float(wood.stock.bottom_film[0])
    one = min(top, bottom) < ONE_FACE * max(top, bottom)
    film, c, mc = (max(top, bottom) if one else 0.5 * (top + bottom)), glue.wood_c, _mean(held)
    slope_pct = float(emc_slope_pct(c, humidity_for_emc(c, mc)))
    dry = 1000.0 * float(specific_gravity_at(mc, boards.specific_gravity[0], boards.volumetric_shrinkage[0]))
    return GlueLine(
        water_kg_m2, max(board.width_mm for board in panel.boards) / 1000.0, thick, 1 if one else 2,
        film * float(saturation_pressure_pa(c)) / slope_pct, dry, float(_diffusivity(held, np.array([c]))[0]),
        max(each),
    )  # fmt: skip


def _gone(held: Held, glue: Glue) -> tuple[float, Callable[[float], float]]:
    """∫ D dt so far, m², and when that comes to a value, hours from gluing: by the temperatures its wood had, and from
    now on by that of now."""
    times, warm = glue.warmth
    d = _diffusivity(held, warm)
    tau = np.concatenate([[0.0], np.cumsum(0.5 * (d[1:] + d[:-1]) * np.diff(times))])
    since_s, now = glue.since_h * HOUR_S, float(_diffusivity(held, np.array([glue.wood_c]))[0])
    tau_now = float(tau[-1]) + now * max(0.0, since_s - float(times[-1]))

    def hour_of(wanted_m2: float) -> float:
        if wanted_m2 > tau_now:
            return (since_s + (wanted_m2 - tau_now) / now) / HOUR_S
        if wanted_m2 > tau[-1]:
            return (float(times[-1]) + (wanted_m2 - float(tau[-1])) / now) / HOUR_S
        return float(np.interp(wanted_m2, tau, times)) / HOUR_S

    return tau_now, hour_of


def _mean(held: Held) -> float:
    return float(np.clip(held.mean_pct, 1.0, FIBRE_SATURATION_PCT - 1.0))


def _diffusivity(held: Held, wood_c: Floats) -> Floats:
    """Of its middle at its mean, at each temperature."""
    boards = boards_of(held.wood.stock, held.wood.belief).take([0])
    return np.asarray(boards.diffusivity.at(np.full((1, wood_c.size), _mean(held)).T, wood_c[:, None]))[:, 0]
