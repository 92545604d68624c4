"""The one sentence on top: worst first, unseen before seen, amber only where it is meant."""

from __future__ import annotations

from dataclasses import replace

import pytest

from server.reading import Alert
from server.rules.base import RuleView, ZoneView
from server.verdict import Verdict, notices, verdict
from server.words import Words, render
from server.words.of_alert import alert_caution, alert_title
from server.words.of_lot_alert import is_of_lot
from tests.unit.words.samples import (
    AIM,
    HOUR_MS,
    NOW_MS,
    RULES,
    TELLING,
    air,
    alert,
    in_states,
    instrument_alerts,
    source,
    verdicts,
    view,
)

ENGLISH = Words("en")
"""Read once: the catalogue takes its time."""

EN = Words("en", strict=True)


def texts(said: Verdict) -> tuple[object, object, object]:
    return render(said.title, EN)["text"], render(said.why, EN)["text"], render(said.far, EN)["text"]


def seen(one: Alert) -> Alert:
    return replace(one, state="acknowledged", changed_ms=NOW_MS - 60_000)


def test_drying_out_reads_as_the_contract_says() -> None:
    said = verdict(TELLING, view(6.3), [alert("falling-fast")])
    assert (said.word, said.lean, said.zone, said.alert) == ("look", "dry", "bench-room", "falling-fast-id")
    title, why, far = texts(said)
    assert title == "The bench room is drying out"
    assert why == (
        "At this pace the air there draws wood below 6 % by 11:00. "
        "Wrap stock that is milled, or bring the heating down."
    )
    assert far == "Bench room is drying out"


@pytest.mark.parametrize(
    ("rule", "emc_pct", "title"),
    [
        ("dry-limit", 6.0, "The bench room is too dry"),
        ("dry-limit", 6.1, "The bench room is back inside its aim"),
        ("damp-limit", 10.0, "The bench room is too damp"),
        ("damp-limit", 9.9, "The bench room is back inside its aim"),
    ],
)
def test_air_that_is_back_while_its_alert_stands_is_not_called_dry_or_damp(
    rule: str, emc_pct: float, title: str
) -> None:
    """It stands for six hours more, so that air on its limit is said once."""
    one = alert(rule)
    back = replace(one, values={**one.values, "emc_pct": emc_pct, "past_limit_pct": 0.0})
    assert texts(verdict(TELLING, view(emc_pct), [back]))[0] == title
    assert alert_title(TELLING, replace(back, state="returned")) == alert_title(TELLING, one)


def test_worst_first_whatever_the_order_given() -> None:
    ranked = [alert("dry-limit"), alert("falling-fast"), alert("sensor-silent")]
    for given in (ranked, ranked[::-1]):
        assert verdict(TELLING, view(), given).alert == "dry-limit-id"
        assert verdict(TELLING, view(), [a for a in given if a.rule != "dry-limit"]).alert == "falling-fast-id"
    further = replace(alert("damp-limit"), values={**alert("damp-limit").values, "past_limit_pct": 2.0})
    assert verdict(TELLING, view(), [alert("dry-limit"), further]).alert == "damp-limit-id"


def test_unseen_comes_before_seen_even_if_milder() -> None:
    said = verdict(TELLING, view(), [seen(alert("dry-limit")), alert("sensor-silent")])
    assert said.alert == "sensor-silent-id"


def test_seen_is_calm_and_says_when_it_speaks_again() -> None:
    said = verdict(TELLING, view(5.7), [seen(alert("dry-limit"))])
    assert (said.word, said.lean) == ("look", "dry")
    assert texts(said) == (
        "The bench room is still too dry",
        "Seen at 7:41. It is said again if it gets 0.5 % worse.",
        "Bench room is too dry",
    )


def test_put_off_says_until_when_and_nothing_it_cannot_know() -> None:
    one = replace(alert("dry-limit"), state="shelved", shelved_until_ms=NOW_MS + 8 * HOUR_MS)
    assert texts(verdict(TELLING, view(8.0), [one])) == (
        "Bench room: put off until 15:42",
        "It is said again then if it still stands.",
        "Bench room: put off",
    )


def test_returned_alone_leaves_the_band_ready() -> None:
    one = replace(alert("dry-limit"), state="returned")
    said = verdict(TELLING, view(8.2), [one])
    assert said.word == "ready"
    assert texts(said)[1] == "Nearest to a limit is the bench room: its air draws wood to 8.2 %, aim 6–10 %."


def test_a_record_that_cannot_be_written_is_act_and_comes_first() -> None:
    said = verdict(TELLING, view(), [alert("dry-limit")], [source("lost")], store_writable=False)
    assert (said.word, said.alert) == ("act", None)
    assert texts(said)[0] == "The record cannot be written"


def test_only_the_record_and_a_named_lot_with_a_named_deed_make_the_band_amber() -> None:
    amber = {v.title.key for v in verdicts() if v.word == "act"}
    of_lots = ("lot-checks", "lot-cup", "milled-open", "wrap-sweating", "away", "panel-cures", "clearance-used")
    lots = {f"alert-{rule}-title" for rule in of_lots}
    assert amber == {"band-store-title", "notice-store-full-title", *lots}


def test_a_lost_wire_comes_before_the_silence_it_causes_and_after_the_air() -> None:
    lost = [source("lost"), source("refused", error="Not authorized")]
    said = verdict(TELLING, view(), [alert("sensor-silent")], lost)
    assert texts(said)[:2] == (
        "shop-broker is refused",
        "It says: Not authorized. Put that right; it is tried again by itself.",
    )
    assert verdict(TELLING, view(), [alert("dry-limit")], lost).alert == "dry-limit-id"


def test_no_sensor_then_waiting_then_quiet() -> None:
    assert verdict(TELLING, RuleView(NOW_MS), []).title.key == "band-empty-title"
    first = verdict(TELLING, view(None, heard_ms=None), [])
    assert (first.word, first.title.key) == ("wait", "band-waiting-title")
    assert verdict(TELLING, view(None), []).title.key == "band-quiet-title"


@pytest.mark.parametrize(("emc_pct", "lean"), [(5.9, "dry"), (10.1, "damp")])
def test_air_just_outside_its_aim_is_never_called_inside(emc_pct: float, lean: str) -> None:
    said = verdict(TELLING, view(emc_pct), [])
    assert (said.word, said.lean, said.zone) == ("wait", lean, "bench-room")
    assert texts(said)[2] == "Bench room left its aim"


def test_inside_and_outside_go_by_the_figure_that_is_shown() -> None:
    assert verdict(TELLING, view(5.96), []).word == "ready"
    assert verdict(TELLING, view(5.94), []).word == "wait"


def test_ready_names_the_zone_nearest_to_a_limit() -> None:
    zones = (ZoneView("bench-room", AIM, air(8.0)), ZoneView("finishing-room", AIM, air(9.6, "finishing-room")))
    said = verdict(TELLING, RuleView(NOW_MS, zones, view().sensors), [])
    assert (said.word, said.zone) == ("ready", "finishing-room")


def test_an_alert_kept_by_another_version_does_not_take_the_picture_away() -> None:
    for one in (*map(alert, RULES), *instrument_alerts()):
        for stage in in_states(replace(one, values={})):
            said = verdict(TELLING, view(), [stage])
            assert str(render(said.why, ENGLISH)["text"])


def test_a_rule_without_sentences_shows_as_its_key() -> None:
    said = verdict(TELLING, view(), [replace(alert("dry-limit"), rule="other")])
    assert render(said.title, ENGLISH)["text"] == "[band-other-title]"


def test_notices_are_in_order_and_only_where_there_is_something() -> None:
    assert notices(TELLING, view(), [source("listening")]) == []
    found = notices(TELLING, view(), [source("lost")], store_writable=False, clock_is_set=False, restarted_ms=NOW_MS)
    assert [n.key for n in found] == ["store-full", "clock-not-set", "source-lost", "server-restarted"]
    assert [n.word for n in found] == ["act", "look", "look", "wait"]


def test_an_alert_about_air_that_nobody_hears_leaves_the_word_to_the_silence() -> None:
    said = verdict(TELLING, view(None), [alert("dry-limit"), alert("sensor-silent")])
    assert said.alert == "sensor-silent-id"
    assert verdict(TELLING, view(None), [alert("dry-limit")]).alert is None


def test_what_an_alert_says_is_not_said_again_as_a_notice_until_it_is_over() -> None:
    lost = [source("lost")]
    one = next(a for a in instrument_alerts() if a.rule == "source-lost" and a.values["kind"] == "mqtt")
    assert [n.key for n in notices(TELLING, view(), lost)] == ["source-lost"]
    assert notices(TELLING, view(), lost, alerts=[one]) == []
    assert notices(TELLING, view(), lost, alerts=[seen(one)]) == []
    assert [n.key for n in notices(TELLING, view(), lost, alerts=[replace(one, state="returned")])] == ["source-lost"]


def test_a_lost_wire_can_be_seen_and_then_the_band_is_calm_about_it() -> None:
    one = next(a for a in instrument_alerts() if a.rule == "source-lost" and a.values["kind"] == "mqtt")
    loud = verdict(TELLING, view(), [one], [source("lost")])
    assert (loud.alert, loud.zone, texts(loud)[2]) == (one.id, None, "A wire to the sensors is down")
    calm = verdict(TELLING, view(), [seen(one)], [source("lost")])
    assert texts(calm)[:2] == ("Broker shop-broker not reached", "Seen at 7:41; it still stands.")


def test_what_loses_no_reading_waits_behind_what_does() -> None:
    by_rule = {a.rule: a for a in instrument_alerts()}
    given = [by_rule["check-due"], by_rule["remote-lagging"], by_rule["record-space"]]
    assert verdict(TELLING, view(), given).alert == by_rule["record-space"].id
    assert verdict(TELLING, view(), given[:1]).alert == by_rule["check-due"].id


def test_the_band_about_the_record_leads_to_its_alert_once_there_is_one() -> None:
    one = next(a for a in instrument_alerts() if a.rule == "record-failing")
    assert verdict(TELLING, view(), [one], store_writable=False).alert == one.id
    assert verdict(TELLING, view(), [], store_writable=False).alert is None


def test_air_past_a_limit_comes_before_an_instrument_that_needs_a_look_and_after_a_record_that_is_lost() -> None:
    by_rule = {a.rule: a for a in instrument_alerts()}
    milder = [a for a in by_rule.values() if a.word != "act"]
    assert verdict(TELLING, view(), [*milder, alert("dry-limit")]).alert == "dry-limit-id"
    assert verdict(TELLING, view(), [*by_rule.values(), alert("dry-limit")]).alert == "record-failing-id"


def test_good_news_speaks_only_where_all_is_well() -> None:
    (good,) = {a.id: a for a in instrument_alerts() if a.rule == "lot-good"}.values()
    assert verdict(TELLING, view(8.0), [good]).title.key == "alert-lot-good-title"
    assert verdict(TELLING, view(5.9), [good]).title.key == "band-outside-title"
    assert verdict(TELLING, view(8.0), [good, alert("sensor-silent")]).alert == "sensor-silent-id"
    seen = replace(good, state="acknowledged")
    assert verdict(TELLING, view(8.0), [seen]).title.key == "band-ready-title"


def test_what_is_over_is_told_as_what_was_and_asks_for_no_deed() -> None:
    """A tired person wraps what a wall says is to be wrapped. Every rule has its own."""
    was: dict[str, str] = {}
    for one in instrument_alerts():
        if not is_of_lot(one):
            continue
        stands, over = (
            str(render(alert_title(TELLING, replace(one, state=state)), EN)["text"])
            for state in ("unacknowledged", "returned")
        )
        assert over != stands
        was[one.rule] = over.replace(str(one.values["name"]), "it")
        assert not over.startswith(("Wrap", "Turn", "Put", "Lay", "Move", "Seal", "Look", "Take", "Keep", "Leave"))
    assert len(set(was.values())) == len(was) == 10


def test_a_check_over_a_salt_is_asked_for_with_its_caution() -> None:
    asked = {
        one.rule: alert_caution(one) for one in instrument_alerts() if one.rule in {"check-due", "sensors-parting"}
    }
    assert {rule: said and said.key for rule, said in asked.items()} == dict.fromkeys(asked, "caution-salt")
    assert len(asked) == 2
