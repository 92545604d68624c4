"""From when an alert may ring: by the hours of work and the times away, and what waits for neither."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.reading import Alert, Finding
from server.ringing import rings_from_ms, somebody_from_ms
from server.rules.base import RuleView, ShelfView
from server.rules.panel_cures import PanelCures
from server.rules.shelf_freezing import ShelfFreezing
from tests.unit.rules.lots import DAY_MS, HOUR_MS, NOW_MS, WORK
from tests.unit.rules.panel_cases import cure, panel, panels
from tests.unit.spine import HOUR, MINUTE, START_MS, Bench, config, sample
from tests.unit.test_working_hours import DAYS, at

OSLO, HOURS = "Europe/Oslo", dict.fromkeys(DAYS[:5], "07:30-17:00")
MORNING = at("2027-01-12T06:30")  # a Tuesday
NIGHT_MS = NOW_MS + 12 * HOUR_MS
"""Midnight; work begins at 8."""


@pytest.mark.parametrize(
    ("now", "away", "somebody"),
    [
        ("2027-01-11T10:00", (), None),
        ("2027-01-11T06:29", (), at("2027-01-11T06:30")),
        ("2027-01-11T06:30", (), None),
        ("2027-01-11T16:00", (), MORNING),
        ("2027-01-15T18:00", (), at("2027-01-18T06:30")),
        ("2027-01-11T10:00", (("2027-01-11T09:00", "2027-01-12T09:00"),), at("2027-01-12T09:00")),
        ("2027-01-11T18:00", (("2027-01-12T00:00", "2027-01-12T23:00"),), at("2027-01-13T06:30")),
        ("2027-01-11T18:00", (("2027-01-11T17:00", "2027-02-20T12:00"),), at("2027-02-22T06:30")),
        ("2027-01-11T18:00", (("2027-01-11T17:00", "2027-02-22T12:00"),), at("2027-02-22T12:00")),
    ],
)
def test_somebody_is_there_in_hours_of_work_that_no_time_away_takes(
    now: str, away: tuple[tuple[str, str], ...], somebody: int | None
) -> None:
    spans = tuple((at(a), at(b)) for a, b in away)
    assert somebody_from_ms(HOURS, OSLO, spans, at(now)) == somebody


def test_where_the_shop_tells_no_hours_everything_may_ring_at_once() -> None:
    assert somebody_from_ms({}, OSLO, ((at("2027-01-11T09:00"), at("2027-01-12T09:00")),), MORNING) is None


def test_only_what_asks_for_somebody_now_and_can_wait_for_them_waits() -> None:
    alert = Alert("a", "dry-limit", "bench", "unacknowledged", "look", "dry", NOW_MS, NOW_MS, None, {})
    assert rings_from_ms(alert, MORNING) == MORNING
    assert rings_from_ms(alert, None) is None
    for other in (
        replace(alert, urgent=True), replace(alert, asks="round"), replace(alert, asks="nothing"),
        replace(alert, state="acknowledged"), replace(alert, state="suppressed"),
    ):  # fmt: skip
        assert rings_from_ms(other, MORNING) is None


def shelf(temperature_c: float, per_h: float | None, now_ms: int) -> RuleView:
    return RuleView(now_ms, shelves=(ShelfView("shelf-1", "bench", now_ms, temperature_c, per_h),), work=WORK)


@pytest.mark.parametrize(
    ("view", "urgent"),
    [
        (shelf(4.0, None, NIGHT_MS), True),
        (shelf(8.0, -0.5, NIGHT_MS), True),  # in six hours, two before somebody comes
        (shelf(8.0, -0.3, NIGHT_MS), False),  # in ten
        (shelf(8.0, -0.1, NIGHT_MS), False),
    ],
)
def test_a_shelf_too_cold_before_somebody_comes_waits_for_no_hours(view: RuleView, urgent: bool) -> None:
    (finding,) = ShelfFreezing().findings(view)
    assert finding.urgent is urgent


@pytest.mark.parametrize(
    ("of", "urgent"),
    [
        ({"wood_c": 5.0, "coldest_ms": NIGHT_MS + 10 * HOUR_MS}, True),
        ({"coldest_ms": NIGHT_MS + 7 * HOUR_MS}, True),
        ({"coldest_ms": NIGHT_MS + 9 * HOUR_MS}, False),
        ({"coldest_ms": NIGHT_MS + 7 * HOUR_MS, "hard": False}, False),
    ],
)
def test_glue_that_does_not_set_before_somebody_comes_waits_for_no_hours(of: dict[str, object], urgent: bool) -> None:
    one = panel(cure=cure(coldest_c=4.0, off_ms=NIGHT_MS + DAY_MS, **of))
    found = PanelCures().findings(replace(panels(one, now_ms=NIGHT_MS), work=WORK))
    assert {f.subject: f.urgent for f in found if f.raise_holds}["lid-cold"] is urgent


def test_an_alert_that_stands_follows_its_rule_in_whether_it_waits() -> None:
    finding = Finding("shelf-freezing", "shelf-1", True, False, "look", "none", {"zone": "bench"})
    book, _ = apply(AlertBook(), [finding], NOW_MS, 0.0)
    for n, urgent in enumerate((True, False, True)):
        book, changes = apply(book, [replace(finding, urgent=urgent)], NOW_MS, 1.0 + n)
        assert ([a.urgent for a in book.alerts], changes) == ([urgent], [])
    book, _ = apply(book, [replace(finding, raise_holds=False)], NOW_MS, 9.0)
    assert book.alerts[0].urgent, "what only keeps it standing does not say"


@pytest.mark.parametrize("waits", [True, False])
async def test_the_document_says_from_when_and_shows_it_all_the_same(tmp_path: Path, waits: bool) -> None:
    made = config("[rules.dry-limit]\nraise_after_min = 0\n")
    told = dict.fromkeys(DAYS, "07:30-08:00") if waits else {}
    bench = Bench(tmp_path, replace(made, shop=made.shop.model_copy(update={"hours": told})))
    await bench.hear([sample("bench-1", (n + 1) * MINUTE, 20.0, 20.0) for n in range(3)])
    (alert,) = [a for a in bench.document.alerts if a.rule == "dry-limit"]
    assert (alert.state, alert.asks) == ("unacknowledged", "now")
    if waits:
        assert alert.rings_from_ms is not None
        assert START_MS < alert.rings_from_ms <= START_MS + 24 * HOUR * 1000
    else:
        assert alert.rings_from_ms is None
    await bench.close()
