"""Are wood, glue and room warm enough? Wood brought in from the cold is behind its air, and so is a bottle of glue."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from server.advice.base import PRACTICE, Limit, Line
from server.advice.glue_up.base import Answered, Board, GlueView, RoomAir, Values, names
from server.advice.time_words import counted
from server.reading import Word
from server.wood import adhesive
from server.wood.belief import middle_boards
from server.wood.ensemble import FILM_FACTOR, Spread
from server.wood.lag import first_order
from server.words import Sentence
from server.words.of_adhesive import CAUTION

ALIKE_K = 1.0
SENSOR_K = 0.5
"""Half of the 80 % of a room's sensor. Common practice, no source."""
BEHIND = 0.5
"""By what part of its way behind the air a body may stand nearer or farther than reckoned: its lag is known to
:data:`FILM_FACTOR`. Common practice, no source."""
BOTTLE_LAG_S = 2 * 3600.0
"""A litre of water-based glue in still air: 1 kg of 3.5 kJ/(kg K) behind 0.06 m² and 8 W/(m² K). Worked out, not
measured."""
HALF_HOUR_S = 1800.0
_LAG = "Wood behind its air: heat of its mass behind a still indoor film, ISO 6946 (0.13 m² K/W, recalled)."
What = Literal["wood", "glue", "air"]


@dataclass(frozen=True, slots=True)
class Warmth:
    """A temperature, °C, with its ends."""

    middle: float
    low: float
    high: float

    @classmethod
    def of(cls, body_c: float, air_c: float) -> Warmth:
        """Of a body that is behind its air."""
        half = float(np.hypot(SENSOR_K, BEHIND * (air_c - body_c)))
        return cls(body_c, body_c - half, body_c + half)

    def figures(self, key: str) -> dict[str, float]:
        return {key: self.middle, f"{key}_low": self.low, f"{key}_high": self.high}


@dataclass(frozen=True, slots=True)
class Lowest:
    """The lowest temperature an adhesive takes: ``broken`` below the one end, sure from the other on."""

    row: adhesive.Limit

    @property
    def broken_c(self) -> float | None:
        return self.row.low

    @property
    def sure_c(self) -> float | None:
        """Both ends of a figure from memory that lie a degree apart are one."""
        low, high = self.row.low, self.row.high
        if low is None or high is None:
            return low
        return low if not self.row.hard and high - low <= ALIKE_K else high


class Warm:
    """The model's wood temperature, the glue's behind its shelf's air and the room's air, each against the lowest that
    the adhesive takes. The sheet comes first; a figure of its family that is recalled forbids nothing."""

    name = "warm-enough"
    summary = "whether wood, glue and room are warm enough for this adhesive now"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``wood_c`` of the coldest board (its ``lot``), ``glue_c`` and ``air_c``, each with its ends (None where no
        air was heard), and ``boards``: each one's ``wood_c``."""
        found, coldest = warmths(view), coldest_board(view)
        lowest = Lowest(view.family.limits["lowest-temperature"])
        word, title, said = _said(view, found, lowest)
        figures: dict[str, Any] = {"lot": coldest.id}
        for what in ("wood", "glue", "air"):
            one = found.get(what)
            named = (f"{what}_c", f"{what}_c_low", f"{what}_c_high")
            figures |= dict.fromkeys(named) if one is None else one.figures(f"{what}_c")
        figures["boards"] = [{"lot": b.id, **wood_warmth(view, b).figures("wood_c")} for b in view.boards]
        row = lowest.row
        limits = {} if lowest.broken_c is None or lowest.sure_c is None else {
            "lowest_c": lowest.broken_c, "sure_c": lowest.sure_c}  # fmt: skip
        kind = (
            "gels"
            if limits and view.family.gels
            else "none"
            if not limits
            else "one"
            if lowest.broken_c == lowest.sure_c
            else "two"
        )
        limit = Limit(
            Sentence("glue-warm-limit", {
                "family": view.family.name, "kind": kind, **(limits or {"lowest_c": 0.0, "sure_c": 0.0})
            }),
            f"{row.source} ({row.provenance})", limits,
        )  # fmt: skip
        bottle = f"Glue behind its shelf's air by {BOTTLE_LAG_S / 3600:g} h: {PRACTICE}"
        return Line(
            self.name, word, Sentence("glue-warm-asked"), said, figures, limit, (_LAG, bottle), CAUTION, title=title
        )  # fmt: skip


def wood_warmth(view: GlueView, board: Board) -> Warmth:
    """A board's, which is behind the air of where it lies."""
    return Warmth.of(board.temperature_c, view.air_of(board.held.wood.zone).temperature_c)


def coldest_board(view: GlueView) -> Board:
    return min(view.boards, key=lambda board: board.temperature_c)


def warmths(view: GlueView) -> dict[What, Warmth]:
    """Of the coldest board, the glue and the room; without what nobody has heard, and glue from a hot pot."""
    found: dict[What, Warmth] = {"wood": wood_warmth(view, coldest_board(view))}
    if view.shelf.heard and not view.family.gels:
        found["glue"] = Warmth.of(behind_c(view.shelf, BOTTLE_LAG_S), view.shelf.temperature_c)
    if view.room.heard:
        air = view.room.temperature_c
        found["air"] = Warmth(air, air - SENSOR_K, air + SENSOR_K)
    return found


def behind_c(room: RoomAir, lag_s: float) -> float:
    """What a body has come to that stood in a zone for a week and follows its air with a lag."""
    c = room.recent.temperature_c[:, 0]
    return float(first_order(HALF_HOUR_S * np.arange(c.size), c, lag_s)[-1])


def warm_days(view: GlueView) -> Spread:
    """Until wood and glue have come to what the adhesive surely takes, brought into the room's air; 0 where they are or
    no figure is known, nan where that air is too cold itself."""
    return warm_in(view, view.room)


def warm_in(view: GlueView, room: RoomAir) -> Spread:
    """The same in another zone."""
    needed = Lowest(view.family.limits["lowest-temperature"]).sure_c
    if needed is None:
        return _days(0.0, 0.0, 0.0)
    bodies = [(board.temperature_c, float(middle_boards(board.held.wood.stock, board.held.wood.belief).heat_lag_s[0]))
              for board in view.boards]  # fmt: skip
    if view.shelf.heard and not view.family.gels:
        bodies.append((behind_c(view.shelf, BOTTLE_LAG_S), BOTTLE_LAG_S))
    cold = [(c, lag) for c, lag in bodies if c < needed]
    air = room.temperature_c
    if not cold:
        return _days(0.0, 0.0, 0.0)
    if air <= needed:
        return _days(np.nan, np.nan, np.nan)
    days = max(lag * float(np.log((air - c) / (air - needed))) for c, lag in cold) / 86_400.0
    return _days(days, days / FILM_FACTOR, days * FILM_FACTOR)


def _days(middle: float, low: float, high: float) -> Spread:
    return Spread(*(np.array([day]) for day in (middle, low, high)))


def _said(view: GlueView, found: dict[What, Warmth], lowest: Lowest) -> Answered:
    now = tuple(
        Sentence("glue-warm-now", {"what": what, "name": coldest_board(view).name, "temperature_c": one.middle,
                                   "low_c": one.low, "high_c": one.high})
        for what, one in found.items()
    )  # fmt: skip
    broken_c, sure_c = lowest.broken_c, lowest.sure_c
    if broken_c is None or sure_c is None:
        return "look", Sentence("glue-sheet-title"), (Sentence("glue-warm-unknown", {"family": view.family.name}), *now)
    if "air" not in found:
        values = {"zone": view.name(view.room.zone)}
        return "look", Sentence("glue-unheard-title"), (Sentence("glue-unheard", values), *now)
    cold = [what for what, one in found.items() if round(one.middle, 1) < broken_c]
    # A limit from memory is not known to the half degree of a sensor: only how far a body may be behind counts.
    margin = 0.0 if lowest.row.hard else SENSOR_K
    unsure = [what for what, one in found.items() if one.low + margin < sure_c]
    if not unsure:
        return "ready", None, (Sentence("glue-warm-yes"), *now)
    if not cold:
        make = "make" if any(round(found[what].middle, 1) < sure_c for what in unsure) else "sure"
        unsure_of: Values = {"why": make, "lowest_c": broken_c, "sure_c": sure_c}
        return "look", Sentence("glue-warm-unsure-title"), (Sentence("glue-warm-unsure", unsure_of), *now)
    # No wood gets warm enough in a room that is not: that comes first.
    first: What = "air" if found["air"].middle < sure_c else "wood" if "wood" in cold else "glue"
    word: Word = "act" if lowest.row.hard else "look"
    deed = _deed(view, first, broken_c, sure_c)
    return word, Sentence("glue-warm-title", {"what": first}), (*deed, *now)


def _deed(view: GlueView, first: What, broken_c: float, sure_c: float) -> tuple[Sentence, ...]:
    zone = view.name(view.room.zone)
    if first == "air":
        heat: Values = {"zone": zone, "names": names(view.boards), "temperature_c": sure_c}
        return Sentence("glue-warm-heat", heat), Sentence("caution-heater")
    which = [board for board in view.boards if board.temperature_c < broken_c] if first == "wood" else view.boards
    values: Values = {"what": first, "zone": zone, "names": names(list(which)), "temperature_c": sure_c}
    days = warm_days(view)
    when = (Sentence("glue-when-warm", counted(days)),) if np.isfinite(days.middle[0]) else ()
    return Sentence("glue-warm-bring", values), *when
