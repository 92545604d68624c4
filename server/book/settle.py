"""How long does this board take to settle in this air, and how far does it still move?"""

from __future__ import annotations

from typing import Any

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, Request
from server.book.board_request import MODEL_SOURCE, BoardRequest, cover_said, found_across, moving, piece_of, settling
from server.book.emc import FLAGGED, fit_flags
from server.wood.diffusivity import diffusivity_m2_s
from server.wood.movement import change
from server.wood.settle import Days, Settling, settle
from server.words import Sentence

SEASON_DAYS = 60.0
"""Past it a count of days says too little: the air will have changed."""
_AT_PCT, _AT_C = 8.0, 20.0


class SettleRequest(BoardRequest):
    """A board and its air; with a width, how far it moves."""

    width_mm: float | None = Field(None, ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")
    days: int = Field(0, ge=0, le=3650, description="how many days the series runs, 0 to 3,650")


class SettleQuestion:
    """Half way, nine tenths, settled; movement left; the first days."""

    name = "settle"
    summary = "how far a board still moves in an air that stays, and how long it takes"
    request: type[Request] = SettleRequest

    def answer(self, request: SettleRequest, /) -> Answer:
        """``half_days``, ``ninety_days``, ``settled_days`` with ``_low`` and ``_high`` (the central 80 %; None past ten
        years, or where nothing moves), ``movement_left_mm`` (signed; None without a width), ``emc_pct``,
        ``diffusivity_m2_s`` at 8 % and 20 °C, ``series``."""
        piece, source = piece_of(request)
        rh = request.humidity_pct / 100
        found = settle(piece, request.from_pct, request.temperature_c, rh, days=request.days)
        left = None if request.width_mm is None else _left_mm(request, found.target_pct)
        d = float(diffusivity_m2_s(_AT_PCT, _AT_C, piece.specific_gravity, piece.volumetric_shrinkage))
        names = ("day", "mean_pct", "shell_pct", "core_pct")
        figures: dict[str, Any] = {
            **_times("half", found.half),
            **_times("ninety", found.ninety),
            **_times("settled", found.settled),
            "movement_left_mm": left,
            "emc_pct": found.target_pct,
            "diffusivity_m2_s": d,
            "series": [dict(zip(names, row, strict=True)) for row in found.series],
        }
        flags = fit_flags(request.temperature_c, rh)
        said = (*_movement(request, left), _wait(found), *cover_said(request.cover), *((FLAGGED,) if flags else ()))
        rests_on = (*settling(request), *(() if left is None else moving(request, request.species)))
        return Answer(figures, said, f"{MODEL_SOURCE} {source}.", ESTIMATE_CAUTION, flags, rests_on)


def _times(name: str, found: Days) -> dict[str, float | None]:
    return {f"{name}_days": found.days, f"{name}_days_low": found.low, f"{name}_days_high": found.high}


def _left_mm(request: SettleRequest, target_pct: float) -> float:
    across = found_across(request, request.species, request.cut)
    return float(change(across, float(request.width_mm or 0.0), request.from_pct, target_pct))


def _movement(request: SettleRequest, left_mm: float | None) -> tuple[Sentence, ...]:
    if left_mm is None or request.width_mm is None:
        return ()
    values = {"left_mm": abs(left_mm), "width_mm": request.width_mm}
    return (Sentence("book-settle-shrinks" if left_mm < 0 else "book-settle-swells", values),)


def _wait(found: Settling) -> Sentence:
    settled, target = found.settled, {"emc_pct": found.target_pct}
    if settled.days == 0.0:
        return Sentence("book-settle-there", target)
    if settled.days is None or settled.days > SEASON_DAYS:
        return Sentence("book-settle-not-this-season", target)
    if settled.low is None or settled.high is None:
        return Sentence("book-settle-days-at-least", {**target, "days": settled.days})
    values = {**target, "days": settled.days, "days_low": settled.low, "days_high": settled.high}
    return Sentence("book-settle-days", values)
