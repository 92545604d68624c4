"""One of every sentence that code can make, made by that code. Names and figures are made up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache, partial
from typing import Any, get_args

from sensors.listening import HeardBroker, HeardPort
from sensors.mqtt.source import MqttSource
from server.advice.asking import NOT_WORKED_OUT, advise, ask_one
from server.advice.base import Line
from server.alerts.book import AlertBook
from server.alerts.lifecycle import UNWATCHED, apply
from server.alerts.measures import report
from server.alerts.shelving import PUT_AWAY
from server.book.base import ask
from server.book.catalog import QUESTIONS
from server.book.settle import _wait
from server.config import OwnSpecies
from server.faults import Faults
from server.heard import Place, Told, notes
from server.judging import Judging
from server.reading import (
    Aim,
    Alert,
    Finding,
    Flag,
    OutlookPoint,
    RecordState,
    RemoteState,
    SourceState,
    Surroundings,
    ZoneAir,
)
from server.reason import Reason
from server.room.catalog import answered
from server.rules.base import NeighbourView, RoomView, RuleView, SensorView, ShelfView, ShopFacts, ZoneView
from server.rules.catalog import WatchingRule, make_rules, not_watched
from server.rules.suppressing import Around
from server.rules.suppressing import kept_back as kept_back_by
from server.shop.own_species import species_table
from server.shop.salt_check import Waiting
from server.snapshot import Speaker
from server.verdict import Verdict, notices, verdict
from server.wood.settle import Days, Settling
from server.words import Sentence, Telling, When, Words
from server.words.of_adhesive import CAUTION as ADHESIVE_CAUTION
from server.words.of_alert import alert_caution, alert_note, alert_since, alert_title, alert_why, unheard_why
from server.words.of_change import change_text
from server.words.of_notice import empty_wall
from server.words.of_salt import check_line
from server.words.of_zone import aim_line, outlook_note, zone_age, zone_heard
from tests.unit.advice.glue_ups_for_tests import advised
from tests.unit.advice.lots_for_tests import asked, views
from tests.unit.advice.panels_for_tests import panels_asked
from tests.unit.model.readings_for_tests import readings
from tests.unit.room.nights_for_tests import nights
from tests.unit.rules.lot_cases import in_danger, lot_cases
from tests.unit.rules.lots import lot, shop
from tests.unit.rules.panel_cases import panel_cases

NOW_MS = 1_799_757_720_000
HOUR_MS = 3_600_000
AIM = Aim(6.0, 10.0, "Heated rooms", "Wood Handbook FPL-GTR-190 Table 13-2")
NAMES = {"bench-room": "Bench room", "long": "Upper drying loft", "finishing-room": "Finishing room"}
LINES = [
    [b"T=20.4C RH=41%"], [b"t_c=20.4 rh=41.2"], [b"T=20.4 RH=41.2"], [b"20.4,41.2"], [b"20.4C,41.2%"],
    [b'{"a": 20.4, "b": 41.2}'], [b"hello"], [b"rssi=-60"], [b'{"a": {"t": 20.4}}'], [b"t_c=20 t_f=68"],
    [b"node=1 T=20.4 RH=41", b"node=2 T=5.1 RH=80"],
]  # fmt: skip
"""A line of every way to be told, or not, what a number is."""
TELLING = Telling(NOW_MS, "America/New_York", NAMES)


def air(emc_pct: float, zone: str = "bench-room", flags: Flag = Flag.NONE) -> ZoneAir:
    return ZoneAir(zone, NOW_MS, 20.42, 750.4, 31.3, 2.63, emc_pct, emc_pct - 0.47, emc_pct + 0.47, flags)


def view(emc_pct: float | None = 8.0, zone: str = "bench-room", heard_ms: int | None = NOW_MS) -> RuleView:
    fall = tuple((NOW_MS - round((6 - h) * HOUR_MS), (emc_pct or 0) + 0.1 * (6 - h)) for h in range(7))
    zones = (ZoneView(zone, AIM, None if emc_pct is None else air(emc_pct, zone), fall),)
    return RuleView(NOW_MS, zones, (SensorView("finishing-1", zone, heard_ms, 0.0, 60.0),))


def alert(rule: str, zone: str = "bench-room", heard_ms: int | None = NOW_MS - 26 * 60_000) -> Alert:
    """An alert as the real rule and the real lifecycle make it."""
    emc_pct = {"dry-limit": 5.7, "damp-limit": 10.6, "falling-fast": 6.3}.get(rule, 8.0)
    seen = replace(view(emc_pct, zone), sensors=(SensorView("finishing-1", zone, heard_ms, 9e9, 60.0),))
    (one,) = (r for r in make_rules() if r.name == rule)
    findings = [replace(finding, raise_after_s=0.0) for finding in one.findings(seen)]
    _, (raised,) = apply(AlertBook(), findings, NOW_MS - HOUR_MS // 2, 0.0, new_id=lambda: f"{rule}-id")
    return raised


def back_inside(rule: str, zone: str = "bench-room") -> Alert:
    """One of a limit that stands, its air half a per cent inside."""
    one = alert(rule, zone)
    emc_pct = float(one.values["limit_pct"]) + (0.5 if rule == "dry-limit" else -0.5)
    return replace(one, values={**one.values, "emc_pct": emc_pct, "past_limit_pct": 0.0})


RULES = ("dry-limit", "damp-limit", "falling-fast", "sensor-silent")


def alerts(zone: str = "bench-room") -> Iterator[Alert]:
    for rule in RULES:
        yield alert(rule, zone)
    yield back_inside("dry-limit", zone)
    yield alert("sensor-silent", zone, heard_ms=None)
    for silent in (alert("sensor-silent", zone), alert("sensor-silent", zone, heard_ms=None)):
        yield replace(silent, values={**silent.values, "talking": 1})
        yield replace(silent, subject=f"zone:{zone}", values={**silent.values, "sensors": 2})


def source(state: str, kind: str = "mqtt", error: str = "") -> SourceState:
    since_ms = NOW_MS - 2 * 60_000
    return SourceState("shop-broker", kind, "", state, since_ms, None, 0, 0, 0, 0, "", error)  # type: ignore[arg-type]


def instrument_views(zone: str = "bench-room") -> Iterator[tuple[str, RuleView]]:
    """Rule, and a view in which it has something to say, for every way it can say it."""
    day_ms = 24 * HOUR_MS
    for one in (source("lost"), source("lost", "serial"), source("lost", "other"), source("refused", error="No.")):
        yield "source-lost", around(sources=(one,))
    for error in ("", "401 unauthorized."):
        behind = RemoteState("attic", "", "held", NOW_MS, 0, 900, 30_000.0, error=error)
        yield "remote-lagging", around(remotes=(behind,))
    for dropped in (0, 12_400):
        yield "record-failing", around(record=RecordState(writable=False, ring_dropped=dropped))
    yield "record-space", around(record=RecordState(free_bytes=90_000_000))
    yield "record-space", around(record=RecordState(log_bytes=90_000_000))
    yield "record-copies", around(record=RecordState(backup_ms=NOW_MS - 5 * day_ms))
    yield "record-copies", around(record=RecordState(backup_error="No space left on device"))
    yield "record-copies", around(record=RecordState(error="page 7 is out of order."))
    yield "record-copies", around(record=RecordState(salvaged_ms=NOW_MS - HOUR_MS))
    yield "clock-unset", RuleView(NOW_MS, clock_is_set=False)
    yield "sensor-stuck", RuleView(NOW_MS, sensors=(SensorView("finishing-1", zone, NOW_MS, 0.0, 60.0, stuck=True),))
    yield "sensor-stuck", RuleView(NOW_MS, sensors=(SensorView("finishing-1", zone, NOW_MS, 0.0, 60.0, wet=True),))
    pair = NeighbourView(zone, "finishing-1", "finishing-2", -0.3, -0.15, 30)
    yield "sensors-parting", RuleView(NOW_MS, neighbours=(pair,))
    due = SensorView("finishing-1", zone, NOW_MS, 0.0, 60.0, check_due_ms=NOW_MS)
    yield "check-due", RuleView(NOW_MS, sensors=(due,))
    yield "sensors-apart", RuleView(NOW_MS, (ZoneView(zone, AIM, air(8.0, zone, Flag.WITNESSES_APART)),))


def room_views(zone: str = "bench-room") -> Iterator[tuple[str, RuleView]]:
    """The same of the rules about rooms."""
    seen = ZoneView(zone, AIM, air(6.4, zone))
    for low, emc_pct, high in ((5.5, 5.9, 6.4), (5.9, 6.2, 6.6), (9.8, 10.2, 10.6), (9.0, 9.6, 10.2)):
        ahead = (OutlookPoint(NOW_MS + 9 * HOUR_MS, emc_pct, low, high),)
        side = "dry" if low < 6.0 else "damp"
        yield f"outlook-{side}", RuleView(NOW_MS, (replace(seen, outlook=ahead),))
    cold = RoomView(zone, NOW_MS, outdoor_c=-8.2, incoming_pct=2.9)
    for room in (
        replace(cold, blows=((NOW_MS - HOUR_MS, NOW_MS + HOUR_MS),)),
        replace(cold, follows_per_h=0.5, usual_per_h=0.04),
    ):
        yield "extractor-cold", RuleView(NOW_MS, (seen,), rooms=(room,))
    for shelf in (ShelfView(zone, zone, NOW_MS, 4.2), ShelfView("finishing-1", zone, NOW_MS, 7.3, -0.5)):
        yield "shelf-freezing", RuleView(NOW_MS, shelves=(shelf,))
    for metal_rh_pct in (71.0, 104.0):
        room = RoomView(zone, NOW_MS, metal_c=9.2, metal_rh_pct=metal_rh_pct)
        yield "iron-rusts", RuleView(NOW_MS, rooms=(room,))
    for weeks in (1.2, 14.0):
        week = RoomView(
            zone, NOW_MS, surface_c=11.2, surface_rh_pct=86.0, surface_days=7.0, mould_from_pct=81.2, mould_weeks=weeks
        )
        yield "mould-grows", RuleView(NOW_MS, rooms=(week,))


def around(
    sources: tuple[SourceState, ...] = (),
    record: RecordState | None = None,
    remotes: tuple[RemoteState, ...] = (),
) -> RuleView:
    return RuleView(NOW_MS, surroundings=Surroundings(sources, record or RecordState(), remotes))


def instrument_alerts(zone: str = "bench-room") -> Iterator[Alert]:
    """One of every alert about the instrument, a room or lots, as the real rule and the real lifecycle make it."""
    for rule, seen in (*instrument_views(zone), *room_views(zone), *lot_cases(), *panel_cases()):
        (one,) = (r for r in make_rules() if r.name == rule)
        findings = [replace(finding, raise_after_s=0.0) for finding in one.findings(seen)]
        new_id = partial(str, f"{rule}-id")
        _, (raised,) = apply(AlertBook(), findings, NOW_MS - HOUR_MS // 2, 0.0, new_id=new_id)
        yield raised
        if "name" in raised.values:
            yield replace(raised, values={**raised.values, "name": "Upper drawer fronts"})
        if raised.rule == "extractor-cold":
            yield replace(raised, values={k: v for k, v in raised.values.items() if k != "until_ms"} | {"rests": 1})
    for kind in ("mqtt", "serial"):
        back = finding_back(kind)
        yield Alert("b", "source-lost", "shop-broker", "unacknowledged", "look", "none", NOW_MS, NOW_MS, None, back)


def finding_back(kind: str) -> dict[str, float | int | str]:
    """What the real rule says of a wire that is back for a moment."""
    (rule,) = (r for r in make_rules() if r.name == "source-lost")
    (found,) = rule.findings(around(sources=(source("listening", kind),)))
    return found.values


def in_states(one: Alert) -> Iterator[Alert]:
    yield one
    yield replace(one, state="acknowledged", changed_ms=NOW_MS - 60_000)
    yield replace(one, state="shelved", shelved_until_ms=NOW_MS + 8 * HOUR_MS)
    yield replace(one, state="returned", changed_ms=NOW_MS - 60_000)
    yield replace(one, state="returned", changed_ms=NOW_MS - 60_000, values={**one.values, "stood_s": 22_800})
    over: dict[str, float | int | str] = {**one.values, "stood_s": 22_800, "returned_ms": NOW_MS - 7 * HOUR_MS}
    yield replace(one, state="returned", changed_ms=NOW_MS, values={**over, "while_away": 1})
    yield replace(
        one, state="suppressed", changed_ms=NOW_MS, values=over, suppressed_by=Reason("suppressed-nobody", {})
    )


def judged_by(rules: list[WatchingRule], seen: RuleView) -> list[Finding]:
    return Judging().judged(rules, seen, Faults()).findings


def suppressed() -> Iterator[Alert]:
    """An alert with every reason there is for keeping it back, as the real rules and the real lifecycle make it."""
    (falling,) = (r for r in make_rules() if r.name == "falling-fast")
    seen, subject = view(6.3), "bench-room"
    salt = SensorView("finishing-1", subject, NOW_MS, 0.0, 60.0, over_salt=True)
    for why in (
        replace(seen, sensors=(salt,)),
        replace(seen, shop=ShopFacts(off_until_ms={subject: NOW_MS + 90 * 24 * HOUR_MS})),
        replace(seen, shop=ShopFacts(away=((NOW_MS - HOUR_MS, NOW_MS + 60 * HOUR_MS),))),
        replace(seen, standing={("dry-limit", subject)}),
    ):
        _, (kept_back,) = apply(AlertBook(), judged_by([falling], why), NOW_MS - HOUR_MS, 0.0)
        yield kept_back
    nobody = shop(in_danger(3.0), away=((NOW_MS - HOUR_MS, NOW_MS + 60 * HOUR_MS),))
    found = judged_by([rule for rule in make_rules() if rule.name == "lot-checks"], nobody)
    _, (kept_back,) = apply(AlertBook(), [replace(one, raise_after_s=0.0) for one in found], NOW_MS - HOUR_MS, 0.0)
    yield kept_back
    (silent,) = (r for r in make_rules() if r.name == "sensor-silent")
    gone = SensorView("finishing-1", subject, NOW_MS, 9e9, 60.0, wire="shop-broker")
    for sensors in (replace(gone, wire_back_s=0.0),), (gone, replace(gone, sensor="finishing-2")):
        found = judged_by([silent], RuleView(NOW_MS, sensors=sensors))
        _, raised = apply(AlertBook(), [replace(one, raise_holds=True) for one in found], NOW_MS - HOUR_MS, 0.0)
        yield from (one for one in raised if one.suppressed_by is not None)
    crossing = Finding("outlook-damp", subject, True, False, "look", "damp", {})
    around = Around.of(replace(seen, standing={("damp-limit", subject)}))
    (outlook,) = (r for r in make_rules() if r.name == "outlook-damp")
    _, (kept_back,) = apply(AlertBook(), kept_back_by(outlook, [crossing], around), NOW_MS - HOUR_MS, 0.0)
    yield kept_back


def changes() -> Iterator[Alert]:
    """Every way of a change that goes out."""
    yield from in_states(alert("dry-limit"))
    over: dict[str, float | int | str] = {"stood_s": 22_800, "returned_ms": NOW_MS}
    for more in ({}, {PUT_AWAY: 1}, {UNWATCHED: 1}):
        yield replace(alert("dry-limit"), state="normal", values={**over, **more})


def verdicts(zone: str = "bench-room") -> Iterator[Verdict]:
    """Every kind of verdict there is, about that zone."""
    yield verdict(TELLING, view(), [], store_writable=False)
    for one in (*alerts(zone), *instrument_alerts(zone)):
        for stage in in_states(one):
            yield verdict(TELLING, view(8.0, zone), [stage])
    for state, kind in (("lost", "mqtt"), ("lost", "serial"), ("lost", "other"), ("refused", "mqtt")):
        yield verdict(TELLING, view(8.0, zone), [], [source(state, kind, "Not authorized.")])
    yield verdict(TELLING, view(8.0, zone), [])
    yield verdict(TELLING, view(5.9, zone), [])
    yield verdict(TELLING, view(10.2, zone), [])
    yield verdict(TELLING, view(None, zone), [])
    yield verdict(TELLING, view(None, zone, heard_ms=None), [])
    yield verdict(TELLING, RuleView(NOW_MS), [])
    yield verdict(TELLING, RuleView(NOW_MS, sensors=view().sensors), [])


def every_sentence() -> Iterator[Sentence]:
    for zone in NAMES:
        for said in verdicts(zone):
            yield from (said.title, said.why, said.far)
        for one in (*alerts(zone), *instrument_alerts(zone)):
            for stage in in_states(one):
                yield from (alert_title(TELLING, stage), alert_why(TELLING, stage), alert_since(TELLING, stage))
                if caution := alert_caution(stage):
                    yield caution
    yield from (alert_why(TELLING, one) for one in suppressed())
    yield from (change_text(TELLING, one) for one in changes())
    yield from (Sentence(one.title_key) for one in report((), NOW_MS - HOUR_MS, NOW_MS).measures)
    for stale, chattering in ((True, False), (False, True)):
        if note := alert_note(4, stale=stale, chattering=chattering):
            yield note
    for notice in every_notice():
        yield from (notice.title, notice.why)
    yield from zone_sentences()
    yield from (unheard_why(TELLING, NOW_MS - HOUR_MS), unheard_why(TELLING, None))
    yield from book_sentences()
    yield from listening_sentences()
    yield from salt_sentences()
    yield from lot_sentences()
    yield from night_sentences()
    title, lines = empty_wall("/home/shop/stillstack.toml")
    yield from (title, *lines)
    cold = RuleView(NOW_MS, rooms=(RoomView("z", NOW_MS, outdoor_c=1.0),))
    for seen in (
        RuleView(NOW_MS),
        shop(lot(), work=()),
        view(None),
        RuleView(NOW_MS, (ZoneView("z", AIM, air(8.0)),)),
        cold,
    ):
        yield from (Sentence(reason) for reason in not_watched(make_rules(), seen).values())


@cache
def lot_sentences() -> tuple[Sentence, ...]:
    """What is said of a lot, from lots that stand in every way they can, and of its readings."""
    return tuple(_of_lots())


def _of_lots() -> Iterator[Sentence]:
    yield from NOT_WORKED_OUT
    yield from (Sentence(one.said.key, one.said.values) for one in readings())
    for view in views():
        found = advise(view)
        yield from (s for s in (found.title, found.why, found.if_still) if s is not None)
        for line in found.lines:
            yield from sentences_of(line)
    for view, question, given in (*asked(), *panels_asked()):
        one = ask_one(view, question, given)
        assert one is not None
        yield from sentences_of(one)
    for glue, said in advised():
        yield from (s for s in (said.title, said.why, said.when) if s is not None)
        yield from (way.said(glue) for way in said.sooner)
        for line in said.lines:
            yield from sentences_of(line)


def sentences_of(line: Line) -> Iterator[Sentence]:
    limit = (line.limit.said,) if line.limit else ()
    yield from (s for s in (line.asked, *line.said, line.title, line.caution, *limit) if s is not None)


def listening_sentences() -> Iterator[Sentence]:
    """What listening says: of ports, of a broker, and why a guess was made or none was."""
    told = Told(Speaker(Words("en", strict=True), "metric"), Place())
    ports = [HeardPort("/dev/serial/by-id/usb-fictional", 9600, tuple(lines), b"".join(lines)) for lines in LINES]
    ports += [HeardPort("p", None, (), b""), HeardPort("p", None, (), b"\xff"), HeardPort("p", None, (), b"", "no")]
    parts = [told.port(port) for port in ports] + [told.held("p", "bench-line", "T=20.4 RH=41")]
    source = MqttSource.model_validate({"id": "x", "kind": "mqtt", "topics": ["#"]})
    announced = b'{"stat_t": "gate/a", "dev_cla": "humidity", "unit_of_meas": "%", "name": "a"}'
    topics = {
        "homeassistant/sensor/a/config": (announced,),
        "shop/a/air": (b'{"t": 20, "rh": 40}',),
        "n": (b"4",),
        "on": (b"on",),
    }
    brokers = [HeardBroker("b", topics, 9, 3), HeardBroker("b", {}, 0, 0)]
    heard = [told.broker(one, source) for one in brokers]
    said = [s for part in (*parts, *heard) for s in part.said] + [
        t.said for part in heard for t in part.topics if t.said
    ]
    guesses = [part.guess for part in parts if part.guess] + [g for part in heard for g in part.guesses]
    said += [s for guess in guesses for s in guess.why]
    said += [*notes(told.speaker, []), *notes(told.speaker, ["p"])]
    yield from (Sentence(one.key, one.values) for one in said)


def book_sentences() -> Iterator[Sentence]:
    """What the bench book says, with every part it may have, and what stands beside an adhesive."""
    yield ADHESIVE_CAUTION
    damp = {"temperature_c": 20.0, "humidity_pct": 99.0, "accuracy_humidity_pct": 2.0}
    dry = {"temperature_c": 20.0, "emc_pct": 8.0}
    salt = {"salt": "NaCl", "temperature_c": 20.0}
    offers = {"offer": ("Maple,4,6,96,6", "Thick maple,8,6,96,8,resaw"), "need_mm": 20.5}
    thin = {"offer": ("Maple,4,6,96,6", "Thin maple,4,6,96,7"), "need_mm": 25}
    asked = (
        ("emc", damp),
        ("emc", {**damp, "humidity_pct": 50.0}),
        ("humidity", dry),
        ("salt", salt),
        ("price", offers),
        ("price", thin),
    )
    for name, given in asked:
        answer = ask(QUESTIONS[name], given)
        yield from answer.said
        if answer.caution:
            yield answer.caution
    yield from water_sentences()
    yield from boards_said()


@cache
def boards_said() -> tuple[Sentence, ...]:
    """Those of the boards, made once: their questions run the model."""
    return tuple(board_sentences())


def board_sentences() -> Iterator[Sentence]:
    """Boards that shrink, swell, rest, cup either way and not at all, are milled well and badly, and are metered."""
    board: dict[str, Any] = {"species": "cherry_black", "thickness_mm": 20, "temperature_c": 21, "width_mm": 150}
    fit: dict[str, Any] = {
        "species": "cherry_black",
        "width_mm": 150,
        "now_pct": 8,
        "aim_low_pct": 6,
        "aim_high_pct": 9,
    }
    airs = [{"from_pct": 8, "humidity_pct": h} for h in (30, 70)]
    panel = {"species": "oak_white", "width_mm": 600, "thickness_mm": 20, "made_at_pct": 8, "dry_humidity_pct": 30}
    panel_ways: list[dict[str, Any]] = [
        {"damp_humidity_pct": 30},
        {"damp_humidity_pct": 60, "cover": "shellac-3", "back_cover": "bare", "made_at_pct": 9},
        {"damp_humidity_pct": 60, "cover": "bare", "back_cover": "shellac-3", "dry_humidity_pct": 15},
        {"damp_humidity_pct": 60, "thickness_mm": 100, "cover": "polyethylene-foil"},
        {"damp_humidity_pct": 60, "thickness_mm": 50},
    ]
    asked: list[tuple[str, dict[str, Any]]] = [
        *(("movement", {"species": "cherry_black", "width_mm": 150, "from_pct": 8, "to_pct": m}) for m in (7, 8, 9)),
        ("movement", {"species": "cherry_black", "width_mm": 40, "from_pct": 8, "to_pct": 12, "cut": "rift"}),
        *(("settle", {**board, **air}) for air in airs),
        ("settle", {**board, **airs[0], "from_pct": 6.2}),
        ("settle", {**board, **airs[0], "thickness_mm": 60}),
        ("settle", {**board, **airs[0], "cover": "shellac-3"}),
        *(("settle", {**board, **airs[0], **aim}) for aim in SETTLE_AIMS),
        *(("cup", {**board, **air}) for air in airs),
        ("cup", {**board, **airs[0], "faces": "both"}),
        *(("cup", {**board, **airs[0], "ring_radius_mm": r, "ends": "open"}) for r in (100, 2000)),
        ("cup", {**board, **airs[1], "ring_radius_mm": 100, "faces": "both"}),
        ("cup", {**board, **airs[0], "species": "hickory_true", "specific_gravity": 0.6}),
        *(("mill", {**board, **airs[0], "take_top_mm": t, "take_bottom_mm": 2}) for t in (2, 5)),
        *(
            (
                "mill",
                {**board, **airs[0], "take_top_mm": t, "take_bottom_mm": 0, "stood_faces": "one", "thickness_mm": h},
            )
            for t, h in ((0.1, 20), (2, 60))
        ),
        ("mill", {**board, **airs[0], "take_top_mm": 2, "take_bottom_mm": 2, "faces": "both", "allow_bow_mm": 1}),
        *(
            ("resaw", {**board, **airs[0], "kerf_mm": 2, "thickness_mm": h, "stood_days": d})
            for h, d in ((60, 7), (20, 0))
        ),
        ("resaw", {**board, **airs[0], "kerf_mm": 2, "thickness_mm": 40, "stood_days": 3, "faces": "one"}),
        ("resaw", {**board, **airs[0], "kerf_mm": 2, "thickness_mm": 200, "top_half_mm": 20, "faces": "one"}),
        ("mill", {**board, **airs[0], "take_top_mm": 4, "take_bottom_mm": 0, "from_pct": 10, "faces": "both"}),
        ("layers", {"layer": ("oak_white,0.6,flat,10,7", "mdf,18,any,8,7"), "width_mm": 400}),
        ("layers", {"layer": ("oak_white,0.6,flat,7,10", "mdf,18,any,7,8"), "width_mm": 400}),
        ("layers", {"layer": ("mdf,18,any,7,8",), "width_mm": 400}),
        ("rip", {"length_mm": 1200, "width_mm": 60, "test_crook_mm": 1, "test_length_mm": 600}),
        ("rip", {"length_mm": 1200, "width_mm": 60, "strip_crook_mm": [0.5, 0.2, 0.1]}),
        *(("gap", {**fit, "fit": kind}) for kind in ("drawer", "door", "groove", "slot")),
        *(("panel", {**panel, **how}) for how in panel_ways),
        *(("meter", {"species": "oak_white", "reading_pct": r, "wood_temperature_c": 20}) for r in (4, 10, 40)),
        ("meter", {"species": "ash_black", "reading_pct": 10, "wood_temperature_c": 20}),
        ("species", {"species": ["cherry_black", "oak_black", "spruce_red", "sapele", "meranti", "elm_lane"]}),
    ]
    own = OwnSpecies(key="elm_lane", common_name="Elm from the lane", specific_gravity=0.5)
    for name, given in asked:
        answer = ask(QUESTIONS[name], given, species_table((own,)))
        yield from (cell for row in answer.table for cell in row)
        yield from answer.said
        if answer.caution is not None:
            yield answer.caution
    yield _wait(Settling(6.2, *(Days(50.0, 30.0, None) for _ in range(3)), ()))


SETTLE_AIMS: tuple[dict[str, Any], ...] = (
    {"aim_low_pct": 6, "aim_high_pct": 9, "from_pct": 8.5},
    {"aim_low_pct": 6, "aim_high_pct": 8, "from_pct": 9},
    {"aim_low_pct": 6, "aim_high_pct": 10, "from_pct": 12, "thickness_mm": 3},
    {"aim_low_pct": 6, "aim_high_pct": 10, "from_pct": 10, "thickness_mm": 40},
    {"aim_low_pct": 9, "aim_high_pct": 11},
    {"aim_low_pct": 6, "aim_high_pct": 8, "from_pct": 6.2, "from_spread_pct": 1.5},
    {"aim_low_pct": 6, "aim_high_pct": 8, "from_pct": 9, "thickness_mm": 40, "pile": 3},
)
"""Good to mill now, for a while and again, in time, in a few hours, not this season, never, and who knows."""


def water_sentences() -> Iterator[Sentence]:
    """A room's water on cold, mild and sultry days, with every glazing, a flame, and shut tight."""
    room = {"volume_m3": 150.0, "air_changes_per_h": 0.5, "indoor_temperature_c": 20.0, "aim_pct": 8.0}
    days = (
        {"outdoor_temperature_c": -5.0, "outdoor_humidity_pct": 80.0, "glazing": "single"},
        {"outdoor_temperature_c": 8.0, "outdoor_humidity_pct": 80.0, "glazing": "double", "propane_kg_per_day": 0.1},
        {"outdoor_temperature_c": 32.0, "outdoor_humidity_pct": 80.0},
        {
            "outdoor_temperature_c": 8.0,
            "outdoor_humidity_pct": 80.0,
            "people_kg_per_day": 1.0,
            "air_changes_per_h": 0.0,
        },
        {"outdoor_temperature_c": 8.0, "outdoor_humidity_pct": 80.0, "air_changes_per_h": 0.0},
    )
    for day in days:
        answer = ask(QUESTIONS["water"], {**room, **day})
        yield from answer.said
        if answer.caution:
            yield answer.caution


def salt_sentences() -> Iterator[Sentence]:
    """What is said of a salt check, in every state it may be in."""
    figures: dict[str, float | int | str | When] = {
        "hours": 4.24, "least_h": 6.0, "slope_pct_per_h": -0.32, "most_pct_per_h": 0.1, "scatter_pct": 0.61,
        "most_pct": 0.3, "spread_c": 2.4, "most_c": 1.0, "humidity_pct": 77.31, "expected_pct": 75.45,
        "salt": "sodium chloride", "temperature_c": 20.3, "read_pct": 77.31, "published_pct": 75.45,
        "uncertainty_pct": 0.92, "low_c": 15.0, "high_c": 25.0,
    }  # fmt: skip
    for state in get_args(Waiting):
        yield check_line(state, figures)
    done = ("done", "done between rows", "done by two", "done by two between rows")
    for state in ("outside", "steady", *done, "given up", "withdrawn"):
        yield check_line(state, figures)


def every_notice() -> Iterator[object]:
    apart = RuleView(NOW_MS, (ZoneView("bench-room", AIM, air(8.0, flags=Flag.WITNESSES_APART | Flag.OUTSIDE_FIT)),))
    sources = [
        source("lost"),
        source("lost", "serial"),
        source("lost", "other"),
        source("refused", error="bad login."),
        replace(source("listening"), reconnects=1),
        replace(source("listening", "serial"), reconnects=1),
    ]
    yield from notices(TELLING, apart, sources, store_writable=False, clock_is_set=False, restarted_ms=NOW_MS - HOUR_MS)


def zone_sentences() -> Iterator[Sentence]:
    for age_s in (180.0, 7300.0, 90_000.0, 400_000.0):
        yield zone_age(age_s)
    for heard_ms in (None, NOW_MS, NOW_MS - 24 * HOUR_MS, NOW_MS - 96 * HOUR_MS):
        yield zone_heard(TELLING, heard_ms)
    yield zone_heard(TELLING, None, (20.44, 54.6))
    yield aim_line(AIM)
    for emc_pct in (None, 5.9, 6.4, 7.4):
        ahead = () if emc_pct is None else (OutlookPoint(NOW_MS + 96 * HOUR_MS, emc_pct, 5.0, 8.0),)
        for now in (None, air(6.31)):
            if note := outlook_note(TELLING, now, ahead):
                yield note


def night_sentences() -> Iterator[Sentence]:
    """What is said of a room tonight, of every kind of room and night."""
    for view in nights():
        for line in answered(view):
            yield from line.said
            if line.caution is not None:
                yield line.caution
