"""Views for the tests of rules: a zone with an EMC, and a row of it over time. Figures are made up."""

from __future__ import annotations

from server.reading import Aim, ZoneAir
from server.rules.base import RuleView, ZoneView

AIM = Aim(6.0, 10.0, "heated rooms", "Wood Handbook FPL-GTR-190 Table 13-2")
HOUR_MS = 3_600_000
NOW_MS = 1_799_757_720_000


def air(emc_pct: float, zone: str = "bench-room", t_ms: int = NOW_MS) -> ZoneAir:
    return ZoneAir(zone, t_ms, 20.0, 750.0, 32.0, 2.6, emc_pct, emc_pct - 0.5, emc_pct + 0.5)


def view(emc_pct: float | None, last_6_h: tuple[tuple[int, float], ...] = ()) -> RuleView:
    return RuleView(NOW_MS, (ZoneView("bench-room", AIM, None if emc_pct is None else air(emc_pct), last_6_h),))
