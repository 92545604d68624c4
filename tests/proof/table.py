"""What was judged, as rows of the table. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from server.reading import Asks
from server.rules.falling_fast import FallingFastParameters
from server.rules.outlook_damp import OutlookDampParameters
from server.rules.outlook_dry import OutlookDryParameters
from tests.proof.judge import HOUR_MS, Course, Side, Spell, Told, again, spells, told
from tests.proof.records import Record
from tests.proof.replay import Replayed

REACH_H: Mapping[str, float] = {
    "falling-fast": FallingFastParameters().within_h,
    "outlook-dry": OutlookDryParameters().within_h,
    "outlook-damp": OutlookDampParameters().within_h,
}
"""The rules that look ahead, and for how long each speaks."""
AIM_H = 12.0
SIDES: tuple[Side, Side] = ("dry", "damp")

AHEAD = ("record", "use", "zone", "limit", "weeks", "came", "told", "≥ 12 h", "missed", "lead, h", "raised a week",
         "false", "near", "again", "stood")  # fmt: skip
A_WEEK = ("record", "weeks", "ring", "for the round", "ask nothing", "again", "what rings")
LATE = ("record", "zone", "came", "lead, h", "EMC then", "12 h before", "24 h before", "the outlook's end, 12 h before")


def row(cells: Iterable[object]) -> str:
    """One line of a table."""
    return "| " + " | ".join(str(cell) for cell in cells) + " |"


def head(names: Sequence[str]) -> str:
    """A table's first two lines."""
    return row(names) + "\n" + row("---" for _ in names)


def ahead_rows(record: Record, of: Replayed, use: str) -> list[str]:
    """One of each zone and limit that was crossed, or told to be."""
    found = []
    for zone, course, side, limit_pct, one in _judged(of):
        if one.begins or one.raised:
            stood = _stood(course, spells(of.changes), zone, side, limit_pct)
            cells = (
                f"{side}, {limit_pct:g} %",
                f"{record.weeks:.1f}",
                *_figures(one, record.weeks),
                f"{100 * stood:.0f} %",
            )
            found.append(row((record.name, use, zone, *cells)))
    return found


def week_row(record: Record, of: Replayed) -> str:
    """Every alert that was raised, by what it asks; and which rules those are of that ring."""
    every = spells(of.changes)
    asked: dict[Asks, int] = {"now": 0, "round": 0, "nothing": 0}
    by_rule: dict[str, int] = {}
    for one in every:
        asked[one.asks] += 1
        if one.asks == "now":
            by_rule[one.rule] = by_rule.get(one.rule, 0) + 1
    most = sorted(by_rule.items(), key=lambda pair: -pair[1])[:5]
    a_week = [f"{n / record.weeks:.1f}" for n in asked.values()]
    told_of = ", ".join(f"{rule} {n}" for rule, n in most)
    return row((record.name, f"{record.weeks:.1f}", *a_week, len(again(every)), told_of))


def late_rows(record: Record, of: Replayed) -> list[str]:
    """Each that was told less than 12 h ahead or not at all, with what the air and the outlook said before."""
    return [
        row((record.name, zone, f"{side}, {_when(at_ms, record.timezone)}", "missed" if lead is None else f"{lead:.0f}",
             *(f"{pct:.1f}" for pct in _before(course, at_ms)), _end_before(of, zone, side, at_ms)))
        for zone, course, side, _, one in _judged(of)
        for at_ms, lead in zip(one.begins, one.leads_h, strict=True)
        if lead is None or lead < AIM_H
    ]  # fmt: skip


def totals(all_of: Iterable[tuple[Record, Replayed]], side: Side) -> str:
    """Of several records together: how many came, and how they were told."""
    many = [one for _, of in all_of for *_, of_side, _, one in _judged(of) if of_side == side]
    leads = [lead for one in many for lead in one.leads_h]
    known = [lead for lead in leads if lead is not None]
    if not leads:
        return "none came"
    in_time = sum(lead >= AIM_H for lead in known)
    quarters = " / ".join(f"{q:.0f}" for q in np.percentile(known, [25, 50, 75])) if known else "-"
    return (
        f"{len(leads)} came, {in_time} ({100 * in_time / len(leads):.0f} %) told 12 h ahead or more, "
        f"{leads.count(None)} missed; quartiles of the lead {quarters} h; {sum(one.raised for one in many)} raised, "
        f"{sum(one.false for one in many)} false, {sum(one.near for one in many)} of these near"
    )


def _judged(of: Replayed) -> Iterator[tuple[str, Course, Side, float, Told]]:
    every = spells(of.changes)
    for zone, (end_ms, emc_pct) in sorted(of.half_hours.items()):
        if not len(end_ms):
            continue
        course, aim = Course.of(end_ms, emc_pct), of.aims[zone]
        for side, limit_pct in zip(SIDES, (aim.dry_limit_pct, aim.damp_limit_pct), strict=True):
            yield zone, course, side, limit_pct, told(course, every, zone, side, limit_pct=limit_pct, reach_h=REACH_H)


def _figures(one: Told, weeks: float) -> tuple[object, ...]:
    known = [lead for lead in one.leads_h if lead is not None]
    lead = f"{np.median(known):.0f} ({min(known):.0f} to {max(known):.0f})" if known else "-"
    in_time = f"{sum(h >= AIM_H for h in known)} of {len(one.begins)}" if one.begins else "-"
    raised = f"{one.raised / weeks:.2f}"
    return len(one.begins), len(known), in_time, one.missed, lead, raised, one.false, one.near, one.again


def _stood(course: Course, every: Sequence[Spell], zone: str, side: Side, limit_pct: float) -> float:
    """Share of the half hours inside the limit at which an alert that looks ahead stood."""
    with np.errstate(invalid="ignore"):
        inside = course.emc_pct >= limit_pct if side == "dry" else course.emc_pct <= limit_pct
    stood = np.zeros(course.emc_pct.size, bool)
    for one in every:
        if one.rule in REACH_H and one.subject == zone and one.lean == side:
            stood[course.between(one.from_ms, course.end_ms if one.to_ms is None else one.to_ms)] = True
    return float(np.sum(stood & inside) / max(1, np.sum(inside)))


def _before(course: Course, at_ms: int) -> Iterator[float]:
    """The EMC at the crossing, half a day and a day before it."""
    for hours in (0, 12, 24):
        there = course.emc_pct[course.between(at_ms - hours * HOUR_MS, at_ms - hours * HOUR_MS + HOUR_MS)]
        yield float(np.nanmean(there)) if np.isfinite(there).any() else float("nan")


def _end_before(of: Replayed, zone: str, side: Side, at_ms: int) -> str:
    """How far the outlook of 12 h before reached towards the limit by the crossing."""
    made_ms, ends = of.outlooks.get(zone, (np.array([], np.int64), np.zeros((0, 3, 1))))
    k = int(np.searchsorted(made_ms, at_ms - 12 * HOUR_MS, side="right")) - 1
    if k < 0:
        return "no outlook"
    until = 1 + round((at_ms - int(made_ms[k])) / HOUR_MS)
    return f"{ends[k, 0, :until].min():.1f}" if side == "dry" else f"{ends[k, 2, :until].max():.1f}"


def _when(at_ms: int, timezone: str) -> str:
    return datetime.fromtimestamp(at_ms / 1000.0, ZoneInfo(timezone)).strftime("%Y-%m-%d %H:%M")
