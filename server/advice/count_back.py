"""When can work in this lot be delivered, and what must be done by when?"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from pydantic import Field

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    NOTHING,
    PRACTICE,
    Held,
    Inputs,
    Limit,
    Line,
    LotView,
    NotToBeAsked,
    beyond,
    ends,
)
from server.advice.good_to_mill import AT_ONCE_DAYS
from server.advice.schedule import Days, Goods, Work, back_from, earliest, goods
from server.advice.sooner import AtRisk, Way, at_risk, deliveries, ways
from server.advice.time_words import after
from server.wood.believed import settle_believed
from server.wood.ensemble import Spread
from server.wood.outcome import EVEN_WITHIN_PCT
from server.words import Sentence, When

DAY_MS = 86_400_000
_LATEST_MS = 4_102_444_800_000
CAUTION = Sentence("lot-caution-back")
_WORK = "Days for rest, cure, assembly and finishing where none are given"


class CountBackInputs(Inputs):
    """The delivery, where the work will be done, and what else takes time."""

    delivery_ms: int | None = Field(
        None, ge=0, le=_LATEST_MS, description="when it is to be delivered, ms since 1970 UTC, after now"
    )
    zone: str | None = Field(None, max_length=40, description="where it lies until then; its own zone if not given")
    rest_days: float = Field(2.0, ge=0, le=60, description="rest between two passes, 0 to 60 days; 2 if not given")
    cure_days: float = Field(1.0, ge=0, le=60, description="in clamps and curing, 0 to 60 days; 1 if not given")
    assemble_days: float = Field(2.0, ge=0, le=365, description="assembly, 0 to 365 days; 2 if not given")
    finish_days: float = Field(5.0, ge=0, le=365, description="finishing, 0 to 365 days; 5 if not given")


class CountBack:
    """From a delivery back, or from now on to the first that is possible. Lots as they are held: nobody's hours."""

    name = "count-back"
    summary = "count back from a delivery: bring in by, mill on, glue on, and what is at risk for each day saved"
    decides = False
    inputs: type[Inputs] = CountBackInputs

    def answer(self, view: LotView, given: CountBackInputs, /) -> Line | None:
        """``earliest_ms`` of a delivery with its ends, ``earliest_mill_ms``, ``earliest_glue_ms``; where a delivery is
        given and can be met, ``bring_in_ms`` (the last moment for such wood, with its ends), ``mill_ms`` and
        ``glue_ms``; ``met`` (None without one). ``risk_mm_per_day`` and ``risk_now_mm``, across the width, and
        ``at_risk`` by days; ``sooner``: what would bring an earlier one. Each ``_ms`` but ``air_beyond_from_ms`` (as in
        good-to-mill) has its ``_date`` in the shop's time zone."""
        if view.held is None:
            return None
        if given.delivery_ms is not None and given.delivery_ms <= view.at_ms:
            found = _date(view, given.delivery_ms)
            raise NotToBeAsked("delivery_ms", f"{given.delivery_ms}, {found}", f"a time after {view.at_ms}")
        held = _held(view, view.held, given.zone)
        work = Work(given.rest_days, given.cure_days, given.assemble_days, given.finish_days)
        when, across = goods(held.outcome), view.across()
        first, deliver = earliest(when.middle, work), deliveries(when, work)
        wanted = None if given.delivery_ms is None else (given.delivery_ms - view.at_ms) / DAY_MS
        plan = None if wanted is None else back_from(when.middle, work, wanted)
        met = None if wanted is None else plan is not None
        risk = AtRisk(()) if across is None else at_risk(view, held, across, when.middle)
        nearer = ways(view, held, work, first.deliver) if met is False else ()
        named, taken = beyond(view, held)
        said = (*_Saying(view, held).all(wanted, plan, first, deliver, when, risk, nearer, work), *taken)
        figures: dict[str, Any] = {
            "met": met, **_moments(view, "earliest", deliver), **_moment(view, "earliest_mill", first.mill),
            **_moment(view, "earliest_glue", first.glue), **_planned(view, plan, when),
            **ends("risk_mm_per_day", risk.each_day or NOTHING), **ends("risk_now_mm", risk.milled_now or NOTHING),
            "at_risk": risk.figures(), "sooner": [way.figures(view.at_ms) for way in nearer],
            "rest_days": work.rest, "cure_days": work.cure, "assemble_days": work.assemble, "finish_days": work.finish,
            **named,
        }  # fmt: skip
        low, high = view.aim.dry_limit_pct, view.aim.damp_limit_pct
        limit = Limit(
            Sentence("lot-mill-limit", {"low_pct": low, "high_pct": high}),
            f"Within 1 % of each other: this shop's definition. Aim: {view.aim.source}.",
            {"apart_pct": EVEN_WITHIN_PCT, "aim_low_pct": low, "aim_high_pct": high},
        )
        moves = () if across is None else (f"Movement: {across.source}.",)
        late = Sentence("lot-back-late-title") if met is False else None
        return Line(
            self.name, "look" if met is False else None, Sentence("lot-back-asked"), said, figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, *moves, f"{_WORK}: {PRACTICE}"), CAUTION, title=late,
        )  # fmt: skip


def _held(view: LotView, held: Held, zone: str | None) -> Held:
    """In another zone's air, where one is asked for. Raises NotToBeAsked."""
    if zone is None or zone == held.wood.zone:
        return held
    airs = view.elsewhere()
    if zone not in airs:
        raise NotToBeAsked("zone", repr(zone), "one of " + ", ".join(sorted([held.wood.zone, *airs])))
    aim = (view.aim.dry_limit_pct, view.aim.damp_limit_pct)
    return Held(held.wood, airs[zone], settle_believed(held.wood.stock, held.wood.belief, airs[zone], aim_pct=aim))


def _ms(view: LotView, days: float) -> int:
    return view.at_ms + round(days * DAY_MS)


def _date(view: LotView, t_ms: int) -> str:
    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=t_ms)
    return at.astimezone(ZoneInfo(view.telling.timezone)).date().isoformat()


def _moment(view: LotView, key: str, days: float) -> dict[str, Any]:
    if not np.isfinite(days):
        return {f"{key}_ms": None, f"{key}_date": None}
    return {f"{key}_ms": _ms(view, days), f"{key}_date": _date(view, _ms(view, days))}


def _moments(view: LotView, key: str, days: Spread) -> dict[str, Any]:
    each = ((key, days.middle), (f"{key}_low", days.low), (f"{key}_high", days.high))
    values = {name: _moment(view, name, float(end[0])) for name, end in each}
    return {
        f"{key}_ms": values[key][f"{key}_ms"], f"{key}_date": values[key][f"{key}_date"],
        **{f"{key}_ms_{end}": values[f"{key}_{end}"][f"{key}_{end}_ms"] for end in ("low", "high")},
    }  # fmt: skip


def _planned(view: LotView, plan: Days | None, when: Goods) -> dict[str, Any]:
    none = float("nan")
    mill, glue = (none, none) if plan is None else (plan.mill, plan.glue)
    firsts = (when.middle.first, when.late.first, when.early.first)
    bring = Spread(*(np.array([mill - first if np.isfinite(first) else none]) for first in firsts))
    return {**_moments(view, "bring_in", bring), **_moment(view, "mill", mill), **_moment(view, "glue", glue)}


class _Saying:
    """The answer in words, the verdict first."""

    def __init__(self, view: LotView, held: Held) -> None:
        self._view, self._held = view, held

    def all(  # noqa: PLR0917 - what was found, once
        self, wanted: float | None, plan: Days | None, first: Days, deliver: Spread, when: Goods, risk: AtRisk,
        nearer: tuple[Way, ...], work: Work,
    ) -> tuple[Sentence, ...]:  # fmt: skip
        counted = Sentence("lot-back-counted", {
            "rest_days": work.rest, "cure_days": work.cure, "assemble_days": work.assemble, "finish_days": work.finish,
        })  # fmt: skip
        return (
            *self._verdict(wanted, plan, first, deliver, when), *(self._sooner(way, wanted) for way in nearer),
            *self._risk(risk, when), counted,
        )  # fmt: skip

    def _at(self, days: float) -> When | str:
        return self._view.telling.date(_ms(self._view, days)) if np.isfinite(days) else ""

    def _verdict(
        self, wanted: float | None, plan: Days | None, first: Days, deliver: Spread, when: Goods
    ) -> tuple[Sentence, ...]:
        if wanted is None:
            ask = Sentence("lot-back-needs")
            return (self._first(first, deliver), ask) if np.isfinite(first.deliver) else (self._never(),)
        if plan is None:
            late = Sentence("lot-back-late", {"at": self._at(wanted)})
            return late, self._first(first, deliver) if np.isfinite(first.deliver) else self._never()
        said = [Sentence("lot-back-plan", {
            "at": self._at(wanted), "bring_in": self._at(plan.mill - when.middle.first), "mill": self._at(plan.mill),
            "glue": self._at(plan.glue),
        })]  # fmt: skip
        slow = float(deliver.high[0])
        if not slow <= wanted:
            spread = "open" if np.isnan(slow) else "closed"
            said.append(Sentence("lot-back-tight", {"spread": spread, "high": self._at(slow)}))
        return tuple(said)

    def _first(self, first: Days, deliver: Spread) -> Sentence:
        ends = (float(deliver.low[0]), first.deliver, float(deliver.high[0]))
        low, at, high = (self._at(days) for days in ends)
        spread = "day" if low == at == high else "late" if low == at else "closed"
        return Sentence("lot-back-earliest", {
            "at": at, "mill": self._at(first.mill), "glue": self._at(first.glue),
            "spread": spread if np.isfinite(ends).all() else "open", "low": low, "high": high,
        })  # fmt: skip

    def _never(self) -> Sentence:
        target = float(self._held.outcome.target_pct.middle[0])
        low, high = self._view.aim.dry_limit_pct, self._view.aim.damp_limit_pct
        if low <= target <= high:
            return Sentence("lot-back-never")
        return Sentence("lot-mill-not-here", {"target_pct": target, "low_pct": low, "high_pct": high})

    def _sooner(self, way: Way, wanted: float | None) -> Sentence:
        deliver = float(way.deliver.middle[0])
        values: Mapping[str, Any] = {
            "at": self._at(deliver), "met": "yes" if wanted is not None and deliver <= wanted else "no",
        }  # fmt: skip
        if way.how == "zone":
            return Sentence("lot-back-sooner-zone", {**values, "zone": self._view.telling.name(way.zone)})
        return Sentence(f"lot-back-sooner-{way.how}", values)

    def _risk(self, risk: AtRisk, when: Goods) -> tuple[Sentence, ...]:
        each, now = risk.each_day, risk.milled_now
        if each is None or now is None:
            if when.middle.first > 0.0:
                return ()
            late = when.late.first
            return (Sentence("lot-back-no-risk") if late <= AT_ONCE_DAYS else Sentence("lot-mill-unsure", after(late)),)
        return (Sentence("lot-back-risk", {
            "day_mm": float(each.middle[0]), "most_mm": float(each.high[0]), "now_mm": float(now.middle[0]),
            "now_most_mm": float(now.high[0]), "width_mm": self._view.lot.width_mm,
        }),)  # fmt: skip
