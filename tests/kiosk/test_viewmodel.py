"""What the wall says, by its texts. Temperatures: 0 °C = 32 °F and 100 °C = 212 °F by the scale's definition."""

from __future__ import annotations

from typing import Any

import pytest

from kiosk import figures
from kiosk.client import Link, Update
from kiosk.document import DocumentError, checked
from kiosk.figures import Figures, Units
from kiosk.viewmodel import RESTARTED_FOR_MS, build
from kiosk.views import Wall
from kiosk.words import Words
from tests.kiosk.fakes import document

LIVE = Link("live")
EN = Words()


def wall(doc: dict[str, Any] | None = None, link: Link = LIVE, **kwargs: Any) -> Wall:
    return build(Update(document() if doc is None else doc, link), EN, **kwargs)


def test_the_contract_documents_pass_the_door() -> None:
    for name in ("snapshot", "snapshot-empty"):
        assert checked(document(name))["version"]


def test_the_chosen_zone_is_the_bands_then_the_touched_one() -> None:
    assert wall().air
    assert wall().air.zone == "bench-room"
    assert wall(chosen="rack-loft").air.number == "6.8"
    assert wall(chosen="gone-meanwhile").air.zone == "bench-room"
    doc = document()
    doc["band"]["zone"] = None
    doc["zones"].reverse()
    assert wall(doc).air.zone == "finishing-room"


def test_the_number_has_its_spread_and_is_never_called_the_woods_moisture() -> None:
    air = wall().air
    assert (air.number, air.unit, air.spread) == ("6.3", "%", "± 0.5")
    assert air.heading == "This air draws wood to"
    assert [(f.value, f.label) for f in air.figures] == [
        ("20.4 °C", "air"),
        ("31 %", "humidity"),
        ("2.6 °C", "dew point"),
    ]
    assert air.yesterday == "yesterday 6.9 %"


def test_a_silent_zone_shows_no_number_even_if_one_is_sent() -> None:
    doc = document()
    silent = wall(doc, chosen="finishing-room")
    assert (silent.air.number, silent.air.live, silent.air.heard) == ("silent", False, "last heard 7:16")
    assert silent.air.emc_pct is None
    assert silent.air.spread == ""
    assert silent.air.figures == ()
    doc["zones"][0]["state"] = "silent"  # an old air may still stand beside it
    assert wall(doc).air.number == "silent"
    assert wall(doc).zones[0].figure == "silent"
    assert wall(doc).chart.emc_pct is None


def test_a_zone_not_heard_yet_waits() -> None:
    doc = document()
    doc["zones"][0].update(state="waiting", air=None, heard_text={"text": "not heard yet"}, back=[], ahead=[])
    assert wall(doc).air.number == "waiting"
    assert wall(doc).zones[0].line == "not heard yet"
    assert not wall(doc).zones[0].silent


def test_an_age_is_shown_only_when_old() -> None:
    doc = document()
    doc["zones"][0]["state_text"] = {"text": "1 min ago"}
    ages = [z.age for z in wall(doc).zones]
    assert ages == ["", "3 min ago", "26 min ago"]


def test_imperial_changes_temperatures_only() -> None:
    view = wall(units=Units("imperial"))
    assert [f.value for f in view.air.figures] == ["68.8 °F", "31 %", "36.7 °F"]
    assert view.zones[0].line == "68.8 °F · 31 %"
    assert view.air.number == "6.3"
    assert Figures("en", Units("imperial")).temperature(0) == "32.0 °F"
    assert Figures("en", Units("imperial")).temperature(100) == "212.0 °F"


@pytest.mark.parametrize(("value", "text"), [(-0.04, "0.0"), (-3.25, "−3.2"), (10.06, "10.1")])
def test_numbers_have_a_true_minus_and_no_minus_zero(value: float, text: str) -> None:
    assert Figures().number(value) == text


def test_alerts_and_notices_worst_first_then_what_a_person_has_seen() -> None:
    doc = document()
    doc["alerts"].append({**document()["alerts"][0], "id": "worst", "word": "act"})
    doc["alerts"].append({**document()["alerts"][0], "id": "later", "state": "shelved", "word": "act"})
    lost = "notice:source-lost:Broker shop-broker not reached"
    assert [i.id for i in wall(doc).look] == ["worst", "a1f0", lost, "b2c4", "later"]
    assert [i.title for i in wall().look] == [
        "Bench room: falling fast",
        "Broker shop-broker not reached",
        "Finishing room: sensor silent",
    ]


def test_an_alert_says_why_its_caution_and_where_the_limit_comes_from() -> None:
    item = wall().look[0]
    assert item.why.startswith("From 6.9 to 6.3 %")
    assert "follow its maker" in item.caution
    assert item.source == "Source of the limit: Wood Handbook FPL-GTR-190 Table 13-2"
    assert item.line == "since 7:12"


@pytest.mark.parametrize(
    ("state", "deeds", "line"),
    [
        ("unacknowledged", ("acknowledge", "shelve"), "since 7:12"),
        ("returned", ("acknowledge", "shelve"), "since 7:12 · back to normal"),
        ("acknowledged", ("shelve",), "since 7:12 · acknowledged"),
        ("shelved", ("unshelve",), "shelved until 15:42"),
    ],
)
def test_the_deeds_follow_the_state(state: str, deeds: tuple[str, ...], line: str) -> None:
    doc = document()
    doc["alerts"] = [{**doc["alerts"][0], "state": state, "shelved_until_ms": doc["now_ms"] + 8 * 3_600_000}]
    item = next(i for i in wall(doc).look if i.id == "a1f0")
    assert (item.deeds, item.line) == (deeds, line)


def test_the_server_away_keeps_the_picture_with_the_snapshots_own_time() -> None:
    view = wall(link=Link("away", "it does not answer"))
    assert view.away_since == "Server away since 7:42"
    assert view.air.number == "6.3"
    assert view.away_reason == "it does not answer"
    doc = document()
    doc["shop"]["now_text"] = ""
    assert wall(doc, Link("away")).away_since == "Server away since 7:42"


def test_before_the_first_snapshot_it_waits_and_says_why() -> None:
    view = build(Update(None, Link("away", "refused")), EN)
    assert (view.band.title, view.band.why) == ("Waiting for the server", "refused")
    assert view.version is None
    assert view.air is None


def test_the_empty_wall_says_the_next_steps() -> None:
    view = wall(document("snapshot-empty"))
    assert view.empty.title == "Add the first sensor"
    assert len(view.empty.lines) == 4
    assert view.air is None
    assert view.zones == ()


def test_a_clock_that_is_not_set_is_said() -> None:
    doc = document()
    assert wall(doc).clock_note == ""
    doc["shop"]["clock_set"] = False
    assert wall(doc).clock_note == "clock not set"


def test_a_restart_is_said_for_ten_minutes_of_the_snapshots_time() -> None:
    doc = document()
    restarted_ms = doc["now_ms"]
    assert wall(doc, restarted_ms=restarted_ms).look[-1].title == "This window was restarted"
    assert wall(doc, restarted_ms=restarted_ms).look[-1].since == "at 7:42"
    doc["now_ms"] += RESTARTED_FOR_MS
    assert wall(doc, restarted_ms=restarted_ms).look[-1].id != "window"


def test_the_days_of_the_chart_are_the_shops_own() -> None:
    chart = wall().chart
    assert [d.label for d in chart.days] == ["Sat", "Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"]
    assert figures.local(chart.days[1].from_ms, "America/New_York").hour == 0
    assert chart.back[0][0] >= chart.from_ms
    assert chart.ahead[-1][0] <= chart.to_ms


def test_days_of_23_and_25_hours_end_at_midnight() -> None:
    # tz database, America/New_York: clocks go on 14 March 2027, back 7 November 2027
    for day_ms, hours in ((1_804_996_800_000, 23), (1_825_560_000_000, 25)):
        marks = figures.midnights(day_ms - 1, day_ms + 26 * 3_600_000, "America/New_York")
        assert (marks[1][0] - marks[0][0]) / 3_600_000 == hours


@pytest.mark.parametrize(
    ("break_it", "says"),
    [
        (lambda d: d.pop("version"), "snapshot.version: found nothing; would be right: a text"),
        (
            lambda d: d["band"].update(word="panic"),
            "band.word: found 'panic'; would be right: ready or wait or look or act",
        ),
        (
            lambda d: d["zones"][1]["air"].update(emc_pct="wet"),
            "zones[1].air.emc_pct: found 'wet'; would be right: a number",
        ),
        (lambda d: d["zones"][0]["back"].append([1]), "zones[0].back[73]: found [1]; would be right: 2 numbers"),
        (lambda d: d["alerts"][0].pop("why"), "alerts[0].why: found nothing; would be right: a sentence"),
    ],
)
def test_a_document_that_cannot_be_shown_says_where(break_it: Any, says: str) -> None:
    doc = document()
    break_it(doc)
    with pytest.raises(DocumentError) as caught:
        checked(doc)
    assert str(caught.value) == says


def test_unknown_keys_are_fine() -> None:
    doc = document()
    doc["new"] = doc["zones"][0]["new"] = doc["alerts"][0]["new"] = {"x": 1}
    assert build(Update(checked(doc), Link("live")), EN) == wall()


def test_air_without_vapour_shows_a_dash_for_its_dew_point() -> None:
    assert Figures().temperature(None) == "—"
    assert Figures().temperature(-3.0) == "−3.0 °C"


def test_two_notices_of_one_kind_are_two_lines() -> None:
    doc = document()
    other = {**doc["notices"][0], "title": {"text": "Serial port lost", "key": "k", "values": {}}}
    doc["notices"].append(other)
    ids = [item.id for item in wall(doc).look if item.kind == "notice"]
    assert len(ids) == len(set(ids)) == 2
