"""What the alerts of a replay were worth: dry-outs and damp spells told ahead, missed, and told where none came. Pure.

Definitions (the table repeats them):

* A half hour *stays* past a limit if its EMC is past it and so are at least half of those heard in the six hours that
  follow (at least half of them must have been heard). A short dip moves no wood.
* A *dry-out* (or damp spell) begins with a half hour that stays, or that in which the air was found past the limit for
  so long that the limit's own alert was raised, whichever comes first after a day without either, at least half of
  which was heard. So one that comes back every morning is one, and a dip on the day before does not hide it. Where the
  alert of the limit still stands, because the air never came back well inside, it is none: it is told.
* An alert *looks ahead* if its rule does (``REACH_H``): it speaks while the air is still inside.
* *Told ahead*: such an alert of that zone and side stood when the dry-out began, or had returned less than 12 h before.
  *Lead*: from when it was raised (the first of those that stood) to the beginning of the half hour. *Missed*: none.
* *False*: a look-ahead alert after which neither came within its rule's reach. *Near*: one of these after which the
  air came within 0.2 % EMC of the limit all the same. One whose reach ends after the record counts as neither, unless
  it came true.
* *Again*: raised within a day of the return of the same alert. That is what flapping is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from server.reading import Alert, Asks
from server.rules.past_limit import PastLimitParameters

Floats = NDArray[np.float64]
Side = Literal["dry", "damp"]
HOUR_MS = 3_600_000
BIN_MS = HOUR_MS // 2
FOLLOWS, DAY = 12, 48
"""Half hours."""
STILL_TOLD_MS = 12 * HOUR_MS
NEAR_PCT = 0.2
LIMITS = {"dry": "dry-limit", "damp": "damp-limit"}
FOUND_AFTER_MS = round(PastLimitParameters().raise_after_min * 60_000)
"""So long past its limit, and the limit's own alert is raised."""
STANDS = frozenset({"unacknowledged", "acknowledged", "shelved", "suppressed"})
"""One that is laid aside, or hidden while the limit's own alert says more, is the same when it is back; one that was
hidden from the beginning counts from when it was shown."""


@dataclass(frozen=True, slots=True)
class Spell:
    """One time an alert stood, from when it was raised until it returned; None where it still stands at the end."""

    rule: str
    subject: str
    lean: str
    from_ms: int
    to_ms: int | None
    asks: Asks = "now"


@dataclass(frozen=True, slots=True)
class Course:
    """A zone's EMC on the whole grid of half hours, nan where nothing was heard; ``begin_ms`` is where the first
    begins."""

    begin_ms: int
    emc_pct: Floats

    @staticmethod
    def of(end_ms: NDArray[np.int64], emc_pct: Floats) -> Course:
        """From the ends of the half hours that were heard, in order. Raises ValueError where there are none."""
        if not len(end_ms):
            raise ValueError("end_ms: found nothing; would be right: at least one half hour")
        at = (end_ms - end_ms[0]) // BIN_MS
        whole = np.full(int(at[-1]) + 1, np.nan)
        whole[at] = emc_pct
        return Course(int(end_ms[0]) - BIN_MS, whole)

    def stays(self, limit_pct: float, side: Side) -> NDArray[np.bool_]:
        """Which half hours stay past the limit."""
        heard = np.isfinite(self.emc_pct)
        past = heard & (self.emc_pct < limit_pct if side == "dry" else self.emc_pct > limit_pct)
        after = np.concatenate([past, np.zeros(FOLLOWS, bool)]), np.concatenate([heard, np.zeros(FOLLOWS, bool)])
        many, known = (np.lib.stride_tricks.sliding_window_view(x[1:], FOLLOWS).sum(axis=1)[: past.size] for x in after)
        return np.asarray(past & (2 * known >= FOLLOWS) & (2 * many >= known))

    def begins(self, past: NDArray[np.bool_]) -> list[int]:
        """When each dry-out (damp spell) begins, by the half hours that are one, ms since 1970 UTC."""
        heard = np.isfinite(self.emc_pct)
        return [
            self.begin_ms + int(k) * BIN_MS
            for k in np.flatnonzero(past)
            if k >= DAY // 2 and not past[max(0, k - DAY) : k].any() and 2 * heard[max(0, k - DAY) : k].sum() >= DAY
        ]

    def with_moments(self, past: NDArray[np.bool_], moments_ms: Iterable[int]) -> NDArray[np.bool_]:
        """The same half hours, and those that hold these moments."""
        found = past.copy()
        at = [(t_ms - self.begin_ms) // BIN_MS for t_ms in moments_ms]
        found[[k for k in at if 0 <= k < found.size]] = True
        return found

    def between(self, from_ms: int, to_ms: int) -> slice:
        """The half hours that begin from one moment on and before another."""
        edges = (-(-(t - self.begin_ms) // BIN_MS) for t in (from_ms, to_ms))
        return slice(*(int(np.clip(edge, 0, self.emc_pct.size)) for edge in edges))

    @property
    def end_ms(self) -> int:
        return self.begin_ms + self.emc_pct.size * BIN_MS


def spells(changes: Iterable[Alert]) -> list[Spell]:
    """Every time an alert stood, by when it was raised."""
    found: list[Spell] = []
    standing: dict[tuple[str, str], Spell] = {}
    raised_ms: dict[tuple[str, str], int] = {}
    for alert in changes:
        key = alert.rule, alert.subject
        before = standing.get(key)
        over = alert.state not in STANDS or alert.over_unseen
        if before is not None and (over or alert.raised_ms != raised_ms[key]):
            found.append(replace(before, to_ms=alert.changed_ms))
            del standing[key]
        if alert.state in STANDS and alert.state != "suppressed" and key not in standing:
            standing[key] = Spell(*key, alert.lean, alert.changed_ms, None, alert.asks)
            raised_ms[key] = alert.raised_ms
    return sorted([*found, *standing.values()], key=lambda one: (one.from_ms, one.rule, one.subject))


@dataclass(frozen=True, slots=True)
class Told:
    """One zone and side over a season: ``begins`` are the dry-outs (damp spells), ``leads_h`` the lead of each, None
    where it was missed; the counts are of look-ahead alerts."""

    begins: tuple[int, ...]
    leads_h: tuple[float | None, ...]
    raised: int
    false: int
    near: int
    again: int

    @property
    def missed(self) -> int:
        return sum(lead is None for lead in self.leads_h)

    def share(self, least_h: float) -> float:
        """Of the dry-outs those that were told so many hours ahead; nan where there was none."""
        return float(np.mean([lead is not None and lead >= least_h for lead in self.leads_h] or [np.nan]))


def told(
    course: Course,
    all_spells: Sequence[Spell],
    zone: str,
    side: Side,
    *,
    limit_pct: float,
    reach_h: Mapping[str, float],
) -> Told:
    """``reach_h`` is how far each look-ahead rule speaks for, by its name."""
    ahead = [one for one in all_spells if one.rule in reach_h and one.subject == zone and one.lean == side]
    known = [one for one in all_spells if one.rule == LIMITS[side] and one.subject == zone]
    past = course.with_moments(course.stays(limit_pct, side), (one.from_ms - FOUND_AFTER_MS for one in known))
    begins = [
        at_ms for at_ms in course.begins(past)
        if not any(one.from_ms < at_ms and (one.to_ms is None or one.to_ms > at_ms) for one in known)
    ]  # fmt: skip
    false = [one for one in ahead if _is_false(one, course, past, reach_h[one.rule])]
    return Told(
        tuple(begins),
        tuple(_lead_h(at_ms, ahead) for at_ms in begins),
        len(ahead),
        len(false),
        sum(_came_near(one, course, limit_pct, side, reach_h[one.rule]) for one in false),
        len(again(ahead)),
    )


def again(of: Sequence[Spell]) -> list[Spell]:
    """Those raised within a day of the return of the same alert."""
    last: dict[tuple[str, str], int] = {}
    found = []
    for one in of:
        returned_ms = last.get((one.rule, one.subject))
        if returned_ms is not None and one.from_ms - returned_ms < 24 * HOUR_MS:
            found.append(one)
        if one.to_ms is not None:
            last[one.rule, one.subject] = one.to_ms
    return found


def _lead_h(at_ms: int, ahead: Sequence[Spell]) -> float | None:
    stood = [
        one.from_ms for one in ahead
        if one.from_ms <= at_ms and (one.to_ms is None or one.to_ms > at_ms - STILL_TOLD_MS)
    ]  # fmt: skip
    return (at_ms - min(stood)) / HOUR_MS if stood else None


def _is_false(one: Spell, course: Course, past: NDArray[np.bool_], reach_h: float) -> bool:
    to_ms = one.from_ms + round(reach_h * HOUR_MS)
    came = bool(past[course.between(one.from_ms - BIN_MS, to_ms)].any())
    return not came and to_ms <= course.end_ms


def _came_near(one: Spell, course: Course, limit_pct: float, side: Side, reach_h: float) -> bool:
    emc = course.emc_pct[course.between(one.from_ms - BIN_MS, one.from_ms + round(reach_h * HOUR_MS))]
    with np.errstate(invalid="ignore"):
        return bool(np.any(emc < limit_pct + NEAR_PCT if side == "dry" else emc > limit_pct - NEAR_PCT))
