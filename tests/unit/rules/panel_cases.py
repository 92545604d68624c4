"""Rule, and a view in which it says something of a panel, for every way it can say it. Figures are made up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from server.rules.base import RuleView
from server.rules.panel_view import Cure, Fit, Grown, Kind, PanelView
from tests.unit.rules.lots import DAY_MS, HOUR_MS, NOW_MS, band, lot, shop


def cure(**of: Any) -> Cure:
    """Glue that gets what it needs: an hour in its clamps, two are to go."""
    given: dict[str, Any] = {
        "wood_c": 20.0, "lowest_c": 7.0, "keep_c": 13.0, "hard": True, "coldest_c": 17.0,
        "coldest_ms": NOW_MS + 18 * HOUR_MS, "off_ms": NOW_MS + 2 * HOUR_MS,
        "ready_ms": (NOW_MS + HOUR_MS, NOW_MS + HOUR_MS), "drier_pct": band(0.5, 0.5), "air_c": 20.0, "cured": False,
        "cured_ms": NOW_MS + 24 * HOUR_MS,
    }  # fmt: skip
    return Cure(**{**given, **of})


def fit(
    kind: Kind,
    *mm: float,
    room: float | None = 2.0,
    travel: float | tuple[float, float] | None = None,
    half: float = 0.4,
) -> Fit:
    """Grown by so much now, in a week, and in a month; held still from then on."""
    days = (0, 7, 29, 60)
    grown = tuple(Grown(NOW_MS + d * DAY_MS, band(m, half)) for d, m in zip(days, (*mm, mm[-1]), strict=True))
    each = (travel, travel) if isinstance(travel, float) else travel
    return Fit(kind, room, each, 480.0, grown)


def panel(name: str = "lid", **of: Any) -> PanelView:
    given: dict[str, Any] = {
        "id": name, "name": f"Chest {name}", "zone": "bench-room", "at_ms": NOW_MS, "flat": False,
        "aim_pct": (6.0, 10.0), **of
    }  # fmt: skip
    return PanelView(**given)


def panels(*some: PanelView, now_ms: int = NOW_MS) -> RuleView:
    """A shop with these panels, and the lots that they are."""
    return replace(shop(*(lot(one.id, panel=True) for one in some), now_ms=now_ms), panels=some)


def longer(least_h: float, most_h: float, **of: Any) -> PanelView:
    """So long in its clamps from now, where two hours were told."""
    return panel(cure=cure(ready_ms=(NOW_MS + round(least_h * HOUR_MS), NOW_MS + round(most_h * HOUR_MS)), **of))


def panel_cases() -> Iterator[tuple[str, RuleView]]:
    """See the module."""
    yield "panel-cures", panels(panel(cure=cure(wood_c=5.0, coldest_c=4.0)))
    yield "panel-cures", panels(panel(cure=cure(coldest_c=4.0)))
    yield "panel-cures", panels(panel(cure=cure(wood_c=5.0, hard=False, doubtful=True, cold_h=2.0)))
    yield "panel-cures", panels(longer(3.0, 3.0))
    yield "panel-cures", panels(longer(-1.0, 1.0, off_ms=NOW_MS - HOUR_MS))
    yield "panel-cures", panels(panel(cure=cure(drier_pct=band(2.5, 1.0))))
    yield "panel-flat", panels(panel(flat=True, flat_since_ms=NOW_MS - 3 * HOUR_MS))
    yield "clearance-used", panels(panel(fit=fit("drawer", 0.5, 2.4, 2.6)))
    yield "clearance-used", panels(panel(fit=fit("door", 2.4, 2.5, 2.6)))
    yield "clearance-used", panels(panel(fit=fit("slot", 0.5, 3.4, 3.6, room=None, travel=3.0)))
    yield "clearance-used", panels(panel(fit=fit("slot", -3.2, -3.4, -3.6, room=None, travel=3.0)))
    yield "clearance-used", panels(panel(fit=fit("slot", 1.2, 3.4, 3.6, room=None, travel=(3.0, 0.2))))
    yield "clearance-used", panels(panel(fit=fit("slot", -1.2, -3.4, -3.6, room=None, travel=(0.2, 3.0))))
    yield "clearance-used", panels(panel(fit=fit("groove", 0.5, 2.4, 2.6)))
    yield "clearance-used", panels(panel(wrapped=True, fit=fit("groove", 2.4, 2.4, 2.4)))
    yield "clearance-used", panels(panel(fit=fit("groove", -5.0, -7.4, -7.6)))
