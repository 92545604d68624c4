"""What to wrap before nobody is there for some days: told the day before, and again on the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.leaving import WORTH_MM, may_be_wrapped
from server.rules.lot_rule import LotParameters, LotRule
from server.rules.lot_view import LotView
from server.rules.spans import Span, joined, without

HOUR_MS = 3_600_000
NAMED = 3
"""So many lots are named; of others it is said how many there are."""
NEAR = 0.8
"""A lot near its limits by so much keeps an alert standing, but raises none."""
Stage = Literal["eve", "day"]


class AwayParameters(LotParameters):
    """``[rules.away]``: what makes a lot one to wrap. Defaults: common practice, no source."""

    least_h: float = Field(24.0, ge=1.0, le=720.0, description="hours; a shorter time away needs no word")
    grow_mm: float = Field(0.1, ge=0.0, le=10.0, description="how much further out of flat it must grow, mm")
    nearer_pct: float = Field(0.3, gt=0.0, le=5.0, description="how much nearer to its aim a wrap must keep it, % MC")
    look_index: float = Field(2.0, gt=0.0, le=20.0, description="the danger of checks from which it is to be wrapped")


@dataclass(frozen=True, slots=True)
class Ask:
    """One ``lot`` to wrap, whether a wrap keeps it within its tolerance, and how urgent beside the others."""

    lot: LotView
    kept: bool
    harm: float


class Away(LotRule):
    """Two subjects for the next time away: its eve and its day. With nothing to wrap nothing is said."""

    name: str = "away"
    schema: type[BaseModel] = AwayParameters

    def __init__(self, parameters: AwayParameters | None = None) -> None:
        self._own = parameters or AwayParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """Two findings while a time away is still to come; on its day that of the day alone."""
        coming = [span for span in joined(view.away) if span[0] > view.now_ms]
        if not coming or coming[0][1] - coming[0][0] < self._own.least_h * HOUR_MS:
            return []
        span, stage = coming[0], _stage(view, coming[0][0])
        if stage is None:
            return [self._said(span, one, (), ()) for one in ("eve", "day")]
        still = self.asked(view.lots or (), span, NEAR)
        asked = self.asked([one.lot for one in still], span, 1.0)
        # On the day the eve's is no longer watched: as returned it would read as if it had been seen to.
        stages: tuple[Stage, ...] = ("eve", "day") if stage == "eve" else ("day",)
        return [self._said(span, one, *((asked, still) if one == stage else ((), ()))) for one in stages]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return super().unwatched(view) or (None if view.away else "not-watched-nobody-away")

    def _said(self, span: Span, stage: Stage, asked: Sequence[Ask], still: Sequence[Ask]) -> Finding:
        values: dict[str, float | int | str] = {}
        if asked:
            values = {
                "stage": stage, "from_ms": span[0], "to_ms": span[1], "count": len(asked),
                "names": ", ".join(one.lot.name for one in asked[:NAMED]), "more": max(0, len(asked) - NAMED),
                "lot": asked[0].lot.id, "name": asked[0].lot.name, "deed": "wrap",
            }  # fmt: skip
        return Finding(
            self.name, f"{span[0]}-{stage}", raise_holds=bool(asked), clear_holds=not still,
            word="act" if any(one.kept for one in asked) else "look", lean="none", values=values,
            stays="act" if any(one.kept for one in still) else "look",
        )  # fmt: skip

    def asked(self, lots: Sequence[LotView], span: Span, share: float = 1.0) -> tuple[Ask, ...]:
        """The lots to wrap, the worst first, with every limit times ``share``."""
        found = (self._of_lot(lot, span, share) for lot in lots if lot.open and may_be_wrapped(lot))
        return tuple(sorted((one for one in found if one is not None), key=lambda one: (-one.harm, one.lot.id)))

    def _of_lot(self, lot: LotView, span: Span, share: float) -> Ask | None:
        p, lies, wrapped = self._own, lot.course("as-it-lies"), lot.course("wrapped")
        if lies is None or wrapped is None or lot.cup_mm is None or lot.mean_pct is None:
            return None
        worst = lies.worst_cup(span[1]).middle
        if worst > share * lot.tolerance_mm and worst - lot.cup_mm.middle >= share * p.grow_mm:
            left = wrapped.worst_cup(span[1]).middle
            if worst - left >= share * WORTH_MM:
                kept = share * left <= max(lot.tolerance_mm, lot.cup_mm.middle)
                return Ask(lot, kept, worst / max(lot.tolerance_mm, 0.1))
        out = _outside(lot, lies.mean_by(span[1]))
        if out > _outside(lot, lot.mean_pct.middle):
            would = _outside(lot, wrapped.mean_by(span[1]))
            if out - would >= share * p.nearer_pct:
                return Ask(lot, False, out)
        danger = lies.worst_danger(span[1])
        if danger >= share * p.look_index and wrapped.worst_danger(span[1]) <= 0.8 * danger:
            return Ask(lot, False, danger)
        return None


def _outside(lot: LotView, mean_pct: float) -> float:
    """How far a mean lies outside the lot's aim, % MC; 0 inside."""
    return max(lot.aim.dry_limit_pct - mean_pct, mean_pct - lot.aim.damp_limit_pct, 0.0)


def _stage(view: RuleView, leave_ms: int) -> Stage | None:
    """Whether it is the last day of work before, or the one before that; without hours half a day and a day more."""
    days = [begin_ms for begin_ms, _ in without(view.work, view.away) if begin_ms < leave_ms][-2:]
    if len(days) < 2:
        days = [leave_ms - 36 * HOUR_MS, leave_ms - 12 * HOUR_MS]
    if view.now_ms >= days[1]:
        return "day"
    return "eve" if view.now_ms >= days[0] else None
