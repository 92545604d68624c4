"""Does the glue of this panel get what it needs, in the clamps and until it is cured?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from server.advice.base import EMC_SOURCE, PRACTICE, Decision, Held, Inputs, Limit, Line, LotView, decision_of
from server.advice.panel.warmth import wood_warmth
from server.advice.time_words import Said
from server.reading import Word
from server.shop.panel import Panel
from server.wood.adhesive import Family, by_sheet, family
from server.wood.air import Floats
from server.wood.belief import boards_of, sigma_of
from server.wood.curing import Come, come, left_h
from server.wood.ensemble import END_OF_80
from server.words import Sentence
from server.words.of_adhesive import CAUTION

HOUR_MS, DAY_S = 3_600_000, 86_400.0
TOO_DRY_PCT = 2.0
"""Air that draws a panel's faces so far below its mean opens its ends while the glue is soft. Common practice, no
source."""


UNSURE_K = 1.0
COLD_PART = 0.5
"""A joint that was too cold for that part of its time in the clamps, and came to nothing there, cannot be trusted:
water-borne glue has given its water to the wood by then and closed to no film. Common practice, no source."""


NO_WARMTH = np.zeros(1), np.zeros(1)


@dataclass(frozen=True, slots=True)
class Glue:
    """A panel's adhesive as it stands: its limits; how warm the wood is; how far it came in the clamps (up to now, or
    to their opening) and of its cure; hours since it was glued, in clamps as told, and ``cold_h`` of these in which
    its wood was colder than the lowest temperature; ``warmth``, what its wood had since, s from gluing and °C."""

    limits: Family
    wood_c: float
    clamped: Come
    cured: Come
    since_h: float
    clamp_h: float
    cold_h: float = 0.0
    warmth: tuple[Floats, Floats] = NO_WARMTH

    @property
    def lowest_c(self) -> float | None:
        """Below which it is too cold in its clamps: a limit from memory is not known to the degree."""
        row = self.limits.lowest_in_clamps
        return None if row.low is None else row.low - (0.0 if row.hard else UNSURE_K)

    @property
    def late(self) -> bool:
        """Whether it was cold in its clamps for as long as it would have needed them at its lowest temperature, or
        where nobody says how long that is, as they were told."""
        lowest = self.limits.lowest_in_clamps.low
        if lowest is None or self.cold_h <= 0.0 or self.clamped.sure:
            return False
        return self.cold_h >= (self.limits.needs("clamp", lowest).high_h or self.clamp_h)

    @property
    def doubtful(self) -> bool:
        """Whether it was clamped cold, so that no joint of it can be trusted, and warmth now mends nothing."""
        return not self.in_clamps and not self.clamped.sure and self.cold_h >= COLD_PART * self.clamp_h

    @property
    def in_clamps(self) -> bool:
        """As it was told."""
        return self.since_h < self.clamp_h

    @property
    def there(self) -> bool:
        """Whether it is cured: by its figures, or where there are none, a day after the clamps (common practice)."""
        if self.cured.why == "not-found":
            return self.since_h >= self.clamp_h + 24.0
        return self.cured.sure or (self.cured.why in {"longer", "sheet-silent"} and self.cured.most >= 2.0)


def limits_of(panel: Panel) -> Family:
    """The family's, with the maker's sheet in their place where it says something."""
    known = by_sheet() if panel.adhesive is None else family(panel.adhesive)
    return known if panel.sheet is None else known.by(panel.sheet)


def glue_of(view: LotView) -> Glue | None:
    """None of what is no panel in the shop, or is not followed."""
    panel, held = view.lot.panel, view.held
    if panel is None or held is None or view.looks is None:
        return None
    limits, since_h = limits_of(panel), max(0.0, (view.at_ms - panel.glued_ms) / HOUR_MS)
    wood_c = float(held.wood.belief.moisture.temperature_c[0])
    air = view.looks.recorded(panel.glued_ms)
    if air is None:
        nothing = Come(0.0, 0.0, "", 0.0)
        return Glue(limits, wood_c, nothing, nothing, since_h, panel.clamp_h)
    times, warm = wood_warmth(view.lot, held.wood, air)
    times = np.maximum(times - max(0, panel.glued_ms - air.from_ms) / 1000.0, 0.0)  # within its first half hour
    first = int(np.flatnonzero(times <= 0.0)[-1])
    times, warm = times[first:], warm[first:]
    end = min(float(times[-1]), 3600.0 * panel.clamp_h)
    inside = np.append(times[times < end], end)
    in_clamps_c = np.interp(inside, times, warm)
    clamped = come(limits, "clamp", inside, in_clamps_c) if end > 0 else Come(0, 0, "", 0)
    cured = come(limits, "cure", times, warm) if times.size > 1 else Come(0, 0, "", 0)
    found = Glue(limits, wood_c, clamped, cured, since_h, panel.clamp_h, warmth=(times, warm))
    cold = 0.5 * (in_clamps_c[1:] + in_clamps_c[:-1]) < (-np.inf if found.lowest_c is None else found.lowest_c)
    return replace(found, cold_h=float(np.diff(inside)[cold].sum()) / 3600.0)


def drier_pct(held: Held) -> tuple[float, float, float]:
    """How far the air of the day to come draws its faces below its mean, % MC, with the central 80 %: glue is soft for
    hours, and not for as long as a board takes to answer."""
    wood, (air, _) = held.wood, held.air.sides()
    first_s = float(air.edges_s[0])
    emc = air.averaged(np.array([first_s, first_s + DAY_S])).emc_pct().mean(axis=0)
    means = boards_of(wood.stock, wood.belief).mean_pct(wood.belief.moisture.profile_pct)
    half, drier = END_OF_80 * float(sigma_of(means)), float(means[0] - emc[0])
    down, up = (float(np.hypot(half, emc[i] - emc[0])) for i in (-1, min(1, len(emc) - 1)))
    return drier, drier - down, drier + up


class Curing:
    """By the wood's modelled temperature, not the air's; the maker's sheet first."""

    name = "curing"
    summary = "whether a glued panel is warm enough, not too dry, and long enough in its clamps and until it is cured"
    decides = True
    inputs = Inputs

    def decisions(self, views: Sequence[LotView]) -> list[Decision | None]:
        """What its answers to these would decide: of what was flattened the record need not be read."""
        return [decision_of(self.answer(view, Inputs())) if _glued(view) else None for view in views]

    def answer(self, view: LotView, _: Inputs, /) -> Line | None:
        """``wood_c``; ``clamp_done`` and ``cure_done``, which part of its time it had (1 is all), at the least and the
        most (``_low``, ``_high``); ``clamp_left_h``, ``cure_left_h`` with their ends if the wood stays as warm, None
        where no time is known; ``too_cold_h``, and ``clamped_cold_h`` of it in the clamps; ``faces_drier_pct``, how far
        its air draws its faces below its mean in the day to come, with its ends."""
        panel, held, glue = view.lot.panel, view.held, glue_of(view)
        if panel is None or held is None or glue is None:
            return None
        drier, drier_low, drier_high = drier_pct(held)
        dry = drier > TOO_DRY_PCT and view.lot.lying != "wrapped"
        word, title, first = (
            _decided(view, glue, dry=dry) if panel.stage == "glued" else (None, None, _state(view, glue))
        )
        lowest = glue.limits.lowest_in_clamps
        figures = {
            "wood_c": glue.wood_c, "since_h": glue.since_h, "clamp_h": glue.clamp_h, **_done("clamp", glue.clamped),
            **_done("cure", glue.cured), **_left("clamp", glue, glue.clamped), **_left("cure", glue, glue.cured),
            "too_cold_h": glue.cured.too_cold_h, "clamped_cold_h": glue.cold_h,
            "faces_drier_pct": drier, "faces_drier_pct_low": drier_low,
            "faces_drier_pct_high": drier_high, "cured": glue.there,
        }  # fmt: skip
        cures = panel.stage == "glued" and not glue.there
        said = [first]
        if cures:
            said += [Sentence("panel-cure-warmth", {"wood_c": glue.wood_c}), *_missing(glue)]
        if dry and cures and (title is None or title.key != "panel-cure-dry-title"):
            said.append(Sentence("panel-cure-dry", {"drier_pct": drier}))
        known = "gels" if glue.limits.gels else "no" if lowest.low is None else "yes"
        least: Said = {"known": known, "lowest_c": lowest.low or 0.0}
        limit = Limit(
            Sentence("panel-cure-limit", least), f"{lowest.provenance}: {lowest.source}",
            {} if lowest.low is None else {"lowest_c": lowest.low},
        )  # fmt: skip
        times = [glue.limits.limits[name] for name in ("clamp", "cure")]
        sources = (EMC_SOURCE, *dict.fromkeys(f"{one.provenance}: {one.source}" for one in times), PRACTICE)
        return Line(
            self.name, word, Sentence("panel-cure-asked"), tuple(said), figures, limit, sources, CAUTION,
            (panel.entry,), title,
        )  # fmt: skip


def _glued(view: LotView) -> bool:
    return view.lot.panel is not None and view.lot.panel.stage == "glued"


Decided = tuple[Word | None, Sentence | None, Sentence]


def _decided(view: LotView, glue: Glue, *, dry: bool) -> Decided:
    name: Said = {"name": view.lot.name}
    if glue.doubtful or glue.there:
        word: Word | None = "look" if glue.doubtful else None
        return word, Sentence("panel-cure-doubt-title") if glue.doubtful else None, _state(view, glue)
    if (cold := _cold(glue, name)) is not None:
        return cold
    left = left_h(glue.limits, "clamp", glue.clamped, glue.wood_c)
    if glue.in_clamps and left is not None and glue.since_h + left[1] > glue.clamp_h + 0.25:
        more: Said = {**name, "left_h": left[1], "told_h": glue.clamp_h}
        return "look", Sentence("panel-cure-longer-title"), Sentence("panel-cure-longer", more)
    if not glue.in_clamps and glue.clamped.why != "not-found" and glue.clamped.most < 1.0:
        soon: Said = {**name, "done": round(100 * glue.clamped.most), "told_h": glue.clamp_h}
        return "look", Sentence("panel-cure-soon-title"), Sentence("panel-cure-soon", soon)
    if dry and view.held is not None:
        drier: Said = {"drier_pct": drier_pct(view.held)[0]}
        return "look", Sentence("panel-cure-dry-title"), Sentence("panel-cure-dry", drier)
    title = Sentence("panel-cure-clamps-title" if glue.in_clamps else "panel-cure-wait-title")
    return "wait", title, _state(view, glue)


def _cold(glue: Glue, name: Said) -> Decided | None:
    """``act`` only for wood below a lowest temperature that a sheet or a source sets, and before its time in the clamps
    is over: glue that has not set there is still to be saved by warmth."""
    lowest = glue.limits.lowest_in_clamps
    if lowest.low is None or glue.lowest_c is None or glue.wood_c >= glue.lowest_c:
        return None
    values: Said = {**name, "wood_c": glue.wood_c, "lowest_c": lowest.low}
    if glue.clamped.sure or not glue.in_clamps:
        had = glue.clamped.most >= 1.0 or glue.clamped.why == "not-found"
        cool = Sentence("panel-cure-cool", values)
        return ("wait", Sentence("panel-cure-wait-title"), cool) if had else None
    word: Word = "act" if lowest.hard and not glue.late else "look"
    late: Said = {"late": "yes" if glue.late else "no", "cold_h": glue.cold_h}
    return word, Sentence("panel-cure-cold-title"), Sentence("panel-cure-cold", {**values, **late})


def _state(view: LotView, glue: Glue) -> Sentence:
    name: Said = {"name": view.lot.name}
    if glue.doubtful:
        lowest = glue.limits.lowest_in_clamps.low or 0.0
        cold: Said = {"cold_h": glue.cold_h, "told_h": glue.clamp_h, "lowest_c": lowest}
        done = view.lot.panel is not None and view.lot.panel.stage != "glued"
        return Sentence("panel-cure-doubt", {**name, **cold, "flattened": "yes" if done else "no"})
    if glue.there:
        return Sentence("panel-cure-there", name)
    if glue.in_clamps:
        return Sentence("panel-cure-clamps", {**name, "left_h": glue.clamp_h - glue.since_h})
    left = left_h(glue.limits, "cure", glue.cured, glue.wood_c)
    if left is None:
        return Sentence("panel-cure-unknown", name)
    return Sentence("panel-cure-wait", {**name, "left_h": left[1]})


def _missing(glue: Glue) -> list[Sentence]:
    why = glue.cured.why or glue.clamped.why
    return [Sentence("panel-cure-missing", {"why": why})] if why else []


def _done(key: str, so_far: Come) -> dict[str, float]:
    middle = 0.5 * (so_far.least + so_far.most)
    return {f"{key}_done": middle, f"{key}_done_low": so_far.least, f"{key}_done_high": so_far.most}


def _left(key: str, glue: Glue, so_far: Come) -> dict[str, float | None]:
    left = left_h(glue.limits, "clamp" if key == "clamp" else "cure", so_far, glue.wood_c)
    low, high = (None, None) if left is None else left
    middle = None if left is None else 0.5 * (left[0] + left[1])
    return {f"{key}_left_h": middle, f"{key}_left_h_low": low, f"{key}_left_h_high": high}
