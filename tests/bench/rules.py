"""All rules on a large shop, a tick at which everything is another: a thousand series, five hundred lots, fifty of
them panels.

Five hundred sensors say two quantities each in twenty zones, and every lot was worked out anew with three ways of
leaving it; a tenth of them is in some trouble, a fifth of the panels, half of the rooms. What is measured is the
processor time of asking every rule, and of what that makes of the alerts. An ordinary tick asks no rule about lots:
they are asked once a minute, and when a lot is another.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Iterator
from dataclasses import replace

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.faults import Faults
from server.judging import MINUTE_MS, Judging
from server.reading import Aim, OutlookPoint, ZoneAir
from server.rules.base import RoomView, RuleView, SensorView, ShelfView, ZoneView
from server.rules.catalog import make_rules
from server.rules.lot_view import Course, LotView
from server.rules.panel_view import PanelView
from tests.bench.figure import Figure
from tests.unit.rules.lot_cases import bending, in_danger, sweating
from tests.unit.rules.lots import HOUR_MS, NOW_MS, band, lot, shop
from tests.unit.rules.panel_cases import cure, fit, longer, panel

SENSORS, ZONES, LOTS, PANELS, TICKS = 500, 20, 500, 50, 60
MARKS_H = (0, 1, 2, 4, 8, 12, 16, 24, 36, 48, 72)
AIM = Aim(6.0, 10.0, "heated rooms", "")


def measure() -> list[Figure]:
    rules, faults, judging, book = make_rules(), Faults(), Judging(), AlertBook()
    took_ms: list[float] = []
    gc.freeze()  # as the stockroom does once the record is open: what only this process holds is not looked through
    for step in range(TICKS):
        view = _view(step)
        began_s = time.process_time()
        judged = judging.judged(rules, view, faults, book.watches)
        book, _ = apply(book, judged.findings, view.now_ms, 60.0 * step, unjudged=judged.unjudged)
        took_ms.append(1000 * (time.process_time() - began_s))
    view = replace(view, now_ms=view.now_ms + 1000)
    began_s = time.process_time()
    judged = judging.judged(rules, view, faults, book.watches)
    apply(book, judged.findings, view.now_ms, 60.0 * TICKS)
    usual_ms = 1000 * (time.process_time() - began_s)
    gc.unfreeze()
    assert not faults.all()
    assert len({f.rule for f in judged.findings if f.raise_holds}) >= 8
    note = (
        f"{len(judged.findings)} findings, {len(book.alerts)} alerts stand; {usual_ms:.1f} ms where no lot is another"
    )
    return [Figure("rules_1000_series_500_lots_ms", "ms", 50, "at most", tuple(took_ms), note)]


def _view(step: int) -> RuleView:
    now_ms = NOW_MS + step * MINUTE_MS
    zones = [f"zone-{n}" for n in range(ZONES)]
    sensors = [SensorView(f"s-{n}", zones[n % ZONES], now_ms, 1.0 + step, 60.0) for n in range(SENSORS)]
    return replace(
        shop(*_lots(now_ms), now_ms=now_ms, away=((NOW_MS + 30 * HOUR_MS, NOW_MS + 200 * HOUR_MS),)),
        zones=[_zone(zone, n, now_ms) for n, zone in enumerate(zones)], sensors=sensors, panels=tuple(_panels(now_ms)),
        rooms=[_room(zone, n, now_ms) for n, zone in enumerate(zones)],
        shelves=[ShelfView(f"s-{n}", zones[n % ZONES], now_ms, 4.0 + 0.1 * n, -0.2) for n in range(SENSORS // 10)],
    )  # fmt: skip


def _room(zone: str, n: int, now_ms: int) -> RoomView:
    """Every second one with something to say."""
    bad = n % 2 == 0
    return RoomView(
        zone, now_ms, outdoor_c=-6.0, incoming_pct=2.9, metal_c=9.0, metal_rh_pct=72.0 if bad else 50.0, surface_c=11.0,
        surface_rh_pct=84.0 if bad else 60.0, surface_days=7.0, mould_from_pct=81.0, mould_weeks=14.0,
        blows=((now_ms - HOUR_MS, now_ms + HOUR_MS),), follows_per_h=0.02, usual_per_h=0.03,
    )  # fmt: skip


def _zone(zone: str, n: int, now_ms: int) -> ZoneView:
    emc = 5.5 + 0.2 * n
    air = ZoneAir(zone, now_ms, 20.0, 800.0, 40.0, 4.0, emc, emc - 0.5, emc + 0.5)
    past = tuple((now_ms - h * HOUR_MS // 2, emc + 0.05 * h) for h in range(12, -1, -1))
    ahead = tuple(OutlookPoint(now_ms + h * HOUR_MS, emc, emc - 1.0, emc + 1.0) for h in range(1, 73))
    return ZoneView(zone, AIM, air, past, ahead)


def _lots(now_ms: int) -> Iterator[LotView]:
    trouble = (in_danger(2.5), replace(bending(0.8, stickered=0.1, wrapped=0.05), fresh=False), sweating(-1.0), lot())
    for n in range(LOTS):
        one = trouble[n // 10 % 4] if n % 10 == 0 else lot(danger=band(0.3))
        courses = tuple(_full(course, now_ms) for course in one.courses)
        more = {"panel": n < PANELS, "at_ms": now_ms, "courses": courses}
        yield replace(one, id=f"lot-{n:03}", zone=f"zone-{n % ZONES}", **more)


def _panels(now_ms: int) -> Iterator[PanelView]:
    well = panel(cure=cure()), panel(), panel(fit=fit("door", 0.2, 0.4, 0.6)), panel()
    trouble = (
        longer(2.4, 2.6), panel(cure=cure(coldest_c=6.0)), panel(fit=fit("drawer", 0.5, 2.4, 2.6)),
        panel(flat=True, flat_since_ms=NOW_MS - 2 * HOUR_MS),
    )  # fmt: skip
    for n in range(PANELS):
        one = (trouble if n % 5 == 0 else well)[n % 4]
        yield replace(one, id=f"lot-{n:03}", zone=f"zone-{n % ZONES}", at_ms=now_ms)


def _full(course: Course, now_ms: int) -> Course:
    """With all the points that a lot is told with."""
    points = (replace(course.by(NOW_MS + h * HOUR_MS), t_ms=now_ms + h * HOUR_MS) for h in MARKS_H)
    return Course.of(course.leaving, tuple(points))
