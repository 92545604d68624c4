"""No rule flaps with noise on its limit: whatever a figure does between where it raises and where it clears, its alert
is raised once at most and never goes. A rule with a limit is a line here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.reading import OutlookPoint, RecordState, RemoteState, Surroundings
from server.rules.base import NeighbourView, RoomView, RuleView, ShelfView, ZoneView
from server.rules.catalog import RULES
from server.rules.lot_rule import LotRule
from tests.unit.rules.spells import raised_and_over
from tests.unit.rules.views import AIM, HOUR_MS, NOW_MS, air, view

STEP_MS = 10 * 60_000
MB = 1_000_000
View = Callable[[float, int], RuleView]
"""What the rule sees at that moment for a figure that lies between where it clears (-1) and as far beyond its limit
(1); the limit is at 0."""


def emc(limit_pct: float, towards: float) -> View:
    return lambda x, _: view(limit_pct - towards * 0.399 * x)


def falling(x: float, now_ms: int) -> RuleView:
    left_h, fallen_pct = 24.0 - 5.9 * x, 0.6
    to_pct = AIM.dry_limit_pct + fallen_pct / 6.0 * left_h
    points = tuple((now_ms - h * HOUR_MS, to_pct + fallen_pct * h / 6.0) for h in range(6, -1, -1))
    return view(to_pct, points)


def fallen(x: float, now_ms: int) -> RuleView:
    fallen_pct = 0.3 + 0.099 * x
    to_pct = AIM.dry_limit_pct + fallen_pct / 6.0 * 12.0
    return view(to_pct, tuple((now_ms - h * HOUR_MS, to_pct + fallen_pct * h / 6.0) for h in range(6, -1, -1)))


def outlook(side: str) -> View:
    def seen(x: float, now_ms: int) -> RuleView:
        middle = AIM.dry_limit_pct - 0.399 * x if side == "dry" else AIM.damp_limit_pct + 0.399 * x
        points = tuple(OutlookPoint(now_ms + h * HOUR_MS, middle, middle, middle) for h in range(1, 48))
        return RuleView(now_ms, (ZoneView("bench-room", AIM, air(7.0), (), points),))

    return seen


def room(**figures: Callable[[float], float]) -> View:
    def seen(x: float, now_ms: int) -> RuleView:
        one = RoomView("bench-room", now_ms, **{name: figure(x) for name, figure in figures.items()})  # type: ignore[arg-type]
        return RuleView(now_ms, rooms=(one,))

    return seen


def extractor(x: float, now_ms: int) -> RuleView:
    one = RoomView("bench-room", now_ms, outdoor_c=-8.0, incoming_pct=2.0, blows=((0, 2 * NOW_MS),))
    near_pct = next(rule for rule in RULES if rule.name == "extractor-cold")().parameters.near_pct  # type: ignore[attr-defined]
    return replace(view(AIM.dry_limit_pct + near_pct - 0.299 * x), rooms=(one,))


def shelf(x: float, now_ms: int) -> RuleView:
    return RuleView(now_ms, shelves=(ShelfView("bench-room", "bench-room", now_ms, 5.0 - 0.99 * x),))


def parting(x: float, now_ms: int) -> RuleView:
    month = next(rule for rule in RULES if rule.name == "sensors-parting")().parameters.month_pct  # type: ignore[attr-defined]
    return RuleView(now_ms, neighbours=(NeighbourView("bench-room", "b-1", "b-2", 0.5, month * (1 + 0.24 * x), 30),))


def remote(x: float, now_ms: int) -> RuleView:
    behind = RemoteState("attic", "", "held", now_ms, 0, 900, 6 * 3600.0 * (1 + 0.49 * x))
    return RuleView(now_ms, surroundings=Surroundings(remotes=(behind,)))


def record(x: float, now_ms: int, **figures: float) -> RuleView:
    kept = RecordState(free_bytes=round(200 * MB * (1 - 0.24 * x)), log_bytes=round(64 * MB * (1 + 0.19 * x)))
    return RuleView(now_ms, surroundings=Surroundings(record=kept))


NOISY: dict[str, tuple[View, ...]] = {
    "dry-limit": (emc(AIM.dry_limit_pct, 1.0),),
    "damp-limit": (emc(AIM.damp_limit_pct, -1.0),),
    "falling-fast": (falling, fallen),
    "outlook-dry": (outlook("dry"),),
    "outlook-damp": (outlook("damp"),),
    "extractor-cold": (extractor,),
    "shelf-freezing": (shelf,),
    "iron-rusts": (room(metal_c=lambda _: 10.0, metal_rh_pct=lambda x: 65.0 + 4.9 * x),),
    "mould-grows": (
        room(
            surface_c=lambda _: 12.0, surface_rh_pct=lambda x: 82.0 + 1.9 * x, surface_days=lambda _: 7.0,
            mould_from_pct=lambda _: 82.0,
        ),
    ),
    "sensors-parting": (parting,),
    "remote-lagging": (remote,),
    "record-space": (record,),
}  # fmt: skip
STEADY = {
    "sensor-silent": "a time since something, which no noise moves",
    "sensor-stuck": "a yes or no of screening's, which holds for hours",
    "sensors-apart": "a yes or no of the zone's mix, with two hours to wait",
    "check-due": "a date",
    "source-lost": "a state of the wire, with a wait",
    "record-failing": "a state of the record",
    "record-copies": "a date, and a state of the record",
    "clock-unset": "a yes or no",
}


@pytest.mark.parametrize("name", NOISY)
@settings(deadline=None, max_examples=40)
@given(noise=st.lists(st.floats(-1.0, 1.0), min_size=12, max_size=72), first=st.booleans())
def test_noise_on_the_limit_raises_once_at_most_and_clears_nothing(name: str, noise: list[float], first: bool) -> None:
    (made,) = (rule for rule in RULES if rule.name == name)
    held = [1.0] * 36 if first else []  # six hours past it, so that it is raised before the noise
    for seen in NOISY[name]:
        moments = [(x, NOW_MS + n * STEP_MS) for n, x in enumerate([*held, *noise])]
        found = [change for change, _ in raised_and_over(made(), (at(seen, x, now_ms) for x, now_ms in moments))]
        most = 2 if name == "record-space" else 1  # its disk and its log are two
        assert found == ["raised"] * len(found)
        assert len(found) == most if first else len(found) <= most


def at(seen: View, x: float, now_ms: int) -> RuleView:
    return replace(seen(x, now_ms), now_ms=now_ms)


def test_every_rule_says_whether_it_has_a_limit() -> None:
    assert {rule.name for rule in RULES if not issubclass(rule, LotRule)} == NOISY.keys() | STEADY.keys()
