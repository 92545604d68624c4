"""How long does this board take to settle in this air, how far does it still move, and when is it good to mill?"""

from __future__ import annotations

import math
from typing import Any

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, BadRequest, Mistake, Request
from server.book.board_request import (
    COUNTED_IN_HOURS_DAYS,
    MODEL_SOURCES,
    BoardRequest,
    after,
    cover_said,
    found_across,
    moving,
    piece_of,
    settling,
)
from server.book.emc import FLAGGED, fit_flags
from server.wood.diffusivity import diffusivity_m2_s
from server.wood.movement import change
from server.wood.outcome import SEASON_DAYS
from server.wood.settle import LONGEST_DAYS, Days, Settling, settle
from server.words import Sentence

_AT_PCT, _AT_C = 8.0, 20.0
_THICKEST_MM = 300.0
_AT_ONCE_DAYS = 1 / 24
_WORTH_MM = 1.0
"""Less of an end is not worth a sentence."""


class SettleRequest(BoardRequest):
    """A board and its air; with a width, how far it moves; with an aim, when it is good to mill."""

    width_mm: float | None = Field(None, ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")
    days: int = Field(0, ge=0, le=3650, description="how many whole days the series runs, 0 to 3,650")
    from_spread_pct: float = Field(
        0.0, ge=0, le=10,
        description="how unsure its moisture now is, 0 to 10 % MC: the spread that book meter gives with a reading; "
        "0 if not given, which takes it as exact",
    )  # fmt: skip
    aim_low_pct: float | None = Field(None, ge=0, le=30, description="the aim's driest, 0 to 30 % MC, with its dampest")
    aim_high_pct: float | None = Field(
        None, ge=0, le=30, description="the aim's dampest, 0 to 30 % MC, with its driest"
    )
    pile: int = Field(
        1, ge=1, le=1000, description="boards dead-stacked, one on another without stickers: 1 to 1,000 boards"
    )


class SettleQuestion:
    """Half way, nine tenths, settled; movement left; good to mill; the first days."""

    name = "settle"
    summary = "how far a board still moves in an air that stays, how long it takes and when it is good to mill"
    request: type[Request] = SettleRequest

    def answer(self, request: SettleRequest, /) -> Answer:
        """``half_days``, ``ninety_days``, ``settled_days``, and with an aim ``good_to_mill_days``, ``…_until_days`` and
        ``…_again_days``, each with ``_low`` and ``_high`` (the central 80 %; None past ten years, or where nothing
        moves); ``movement_left_mm`` (signed; None without a width), ``emc_pct``, ``ends_mm`` and ``edges_mm``,
        ``diffusivity_m2_s`` at 8 % and 20 °C, ``series``. Of a pile it is the board that settles last; the outermost
        has ``outer_…``."""
        _checked(request)
        piece, source = piece_of(request)
        rh = request.humidity_pct / 100
        found = settle(
            piece, request.from_pct, request.temperature_c, rh, days=request.days, aim_pct=_aim(request),
            pile=request.pile, start_half_pct=request.from_spread_pct,
        )  # fmt: skip
        left, of_movement = _left_mm(request, found.target_pct)
        d = float(diffusivity_m2_s(_AT_PCT, _AT_C, piece.specific_gravity, piece.volumetric_shrinkage))
        names = ("day", "mean_pct", "shell_pct", "core_pct")
        outer = found.outer or Settling(found.target_pct, *(Days(None, None, None),) * 3, ())
        figures: dict[str, Any] = {
            **_all_times(found),
            **{f"outer_{key}": value for key, value in _all_times(outer).items()},
            "movement_left_mm": left,
            "emc_pct": found.target_pct,
            "ends_mm": 1000 * found.ends_m,
            "edges_mm": 1000 * found.edges_m,
            "diffusivity_m2_s": d,
            "series": [dict(zip(names, row, strict=True)) for row in found.series],
        }
        flags = fit_flags(request.temperature_c, rh)
        said = (*_movement(request, left), *_pile(request), _wait(found), *_milling(request, found))
        said = (*said, *_ends(request, found), *cover_said(request.cover), *((FLAGGED,) if flags else ()))
        rests_on = (*settling(request), *(() if left is None else moving(request, request.species)))
        return Answer(figures, said, (*MODEL_SOURCES, f"{source}.", *of_movement), ESTIMATE_CAUTION, flags, rests_on)


def _checked(request: SettleRequest) -> None:
    """Raises BadRequest where fields that are each in range cannot be meant together."""
    low, high, in_all = request.aim_low_pct, request.aim_high_pct, request.pile * request.thickness_mm
    mistakes = []
    if (low is None) != (high is None):
        missing, end = ("aim_low_pct", "driest") if low is None else ("aim_high_pct", "dampest")
        mistakes.append(Mistake(missing, "nothing", f"the aim's {end} as well, 0 to 30 % MC"))
    if low is not None and high is not None and low > high:
        mistakes.append(Mistake("aim_low_pct", f"{low:g}", f"at most the dampest, {high:g} % MC"))
    if in_all > _THICKEST_MM:
        mistakes.append(Mistake("pile", f"{in_all:g} mm in all", f"{_THICKEST_MM:g} mm or less in all"))
    if mistakes:
        raise BadRequest(tuple(mistakes))


def _aim(request: SettleRequest) -> tuple[float, float] | None:
    if request.aim_low_pct is None or request.aim_high_pct is None:
        return None
    return request.aim_low_pct, request.aim_high_pct


def _all_times(found: Settling) -> dict[str, float | None]:
    times = {
        "half": found.half,
        "ninety": found.ninety,
        "settled": found.settled,
        "good_to_mill": found.good,
        "good_to_mill_until": found.good_until,
        "good_to_mill_again": found.good_again,
    }
    ends = (("", "days"), ("_low", "low"), ("_high", "high"))
    return {f"{name}_days{end}": getattr(one, field) for name, one in times.items() for end, field in ends}


def _left_mm(request: SettleRequest, target_pct: float) -> tuple[float | None, tuple[str, ...]]:
    """What is left to move, and where the figures for it come from."""
    if request.width_mm is None:
        return None, ()
    across = found_across(request, request.species, request.cut)
    left = float(change(across, request.width_mm, request.from_pct, target_pct))
    return left, (f"Movement: {across.source}.",)


def _movement(request: SettleRequest, left_mm: float | None) -> tuple[Sentence, ...]:
    if left_mm is None or request.width_mm is None:
        return ()
    values = {"left_mm": abs(left_mm), "width_mm": request.width_mm}
    return (Sentence("book-settle-shrinks" if left_mm < 0 else "book-settle-swells", values),)


def _pile(request: SettleRequest) -> tuple[Sentence, ...]:
    if request.pile == 1:
        return ()
    values: dict[str, float | int | str] = {"pile": request.pile, "thickness_mm": request.pile * request.thickness_mm}
    return (Sentence("book-settle-pile", values),)


def _wait(found: Settling) -> Sentence:
    settled, target = found.settled, {"emc_pct": found.target_pct}
    if settled.days == 0.0:
        late = _unsure(settled)
        return (
            Sentence("book-settle-there-unsure", {**target, **late}) if late else Sentence("book-settle-there", target)
        )
    if settled.days is None or settled.days > SEASON_DAYS:
        return Sentence("book-settle-not-this-season", target)
    return Sentence("book-settle-days", {**target, **_counted(settled)})


def _milling(request: SettleRequest, found: Settling) -> tuple[Sentence, ...]:
    aim = _aim(request)
    if aim is None:
        return ()
    good, until, again = found.good, found.good_until, found.good_again
    if good.days is None and not aim[0] <= found.target_pct <= aim[1]:
        values = {"emc_pct": found.target_pct, "low_pct": aim[0], "high_pct": aim[1]}
        return (Sentence("book-settle-mill-never", values),)
    if good.days is None or good.days > SEASON_DAYS:
        return (Sentence("book-settle-mill-not-this-season"),)
    if good.days == 0.0:
        late = _unsure(good)
        said = [Sentence("book-settle-mill-now-unsure", late) if late else Sentence("book-settle-mill-now")]
    else:
        said = [_when("book-settle-mill", good)]
    if until.days is not None and until.days <= SEASON_DAYS:
        said.append(_when("book-settle-mill-until", until))
        if again.days is not None:
            never = again.days > SEASON_DAYS
            said.append(Sentence("book-settle-mill-not-again") if never else _when("book-settle-mill-again", again))
    return tuple(said)


def _ends(request: SettleRequest, found: Settling) -> tuple[Sentence, ...]:
    ends, edges = 1000 * found.ends_m, 1000 * found.edges_m
    if ends < _WORTH_MM:
        return ()
    way = "dries" if found.target_pct < request.from_pct else "swells"
    if request.pile > 1:
        return (Sentence("book-settle-ends-pile", {"ends_mm": ends, "edges_mm": edges, "way": way}),)
    return (Sentence("book-settle-ends", {"ends_mm": ends, "way": way}),)


def _unsure(now: Days) -> dict[str, float | int | str]:
    """How late what seems to be so now may come, for all that is known of the moisture; nothing where it is sure."""
    high = math.inf if now.high is None else now.high
    return after(min(high, LONGEST_DAYS)) if high > _AT_ONCE_DAYS else {}


def _when(key: str, time: Days) -> Sentence:
    return Sentence(key, _counted(time))


def _counted(time: Days) -> dict[str, float | int | str]:
    """In hours where it is a matter of few days; ``spread`` is open where nobody can say how late, and an hour where a
    spread would be of minutes."""
    open_ended = time.low is None or time.high is None
    hours = (time.days if time.high is None else time.high) or 0.0
    unit, each = ("h", 24.0) if hours < COUNTED_IN_HOURS_DAYS else ("days", 1.0)
    count, high = (max(1.0, each * (value or 0.0)) for value in (time.days, time.high))
    low = each * (time.low or 0.0)
    spread = "open" if open_ended else "hour" if unit == "h" and high <= 1.0 else "closed"
    return {"count": count, "count_low": low, "count_high": high, "unit": unit, "spread": spread}
