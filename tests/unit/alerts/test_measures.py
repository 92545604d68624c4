"""The standards' measures on constructed histories, against NumPy reckoning from what was constructed.

The bounds themselves are from memory (no copy of ISA-18.2 or IEC 62682 was read); what is checked here is that each
measure is what its name says.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from server.alerts.measures import report
from server.alerts.report_parts import Report
from server.reading import Alert, Reason
from server.stores.rows import alert_row, to_alert
from tests.unit.alerts.turns import START_MS

S, MIN, H, DAY = 1000, 60_000, 3_600_000, 86_400_000
WORDS = ("act", "look", "wait")
WHY = Reason("suppressed-away", {})


class Spell(NamedTuple):
    """One spell of an alert: raised, seen after so long (never: -1), gone after so long."""

    subject: int
    word: int
    raised_ms: int
    seen_after_ms: int
    gone_after_ms: int


def change(name: str, subject: str, state: str, at_ms: int, raised_ms: int, **more: object) -> Alert:
    values: dict[str, object] = {"stood_s": 1, **({"put_away": 1} if more.get("put_away") else {})}
    word, why = more.get("word", "look"), more.get("why")
    return Alert(name, "r", subject, state, word, "none", raised_ms, at_ms, None, values, why)  # type: ignore[arg-type]


def told(spells: list[Spell]) -> list[Alert]:
    """The changes that these spells leave in the record, in order."""
    changes = []
    for n, s in enumerate(spells):
        name, subject, word, gone_ms = f"a{n}", f"s{s.subject}", WORDS[s.word], s.raised_ms + s.gone_after_ms
        seen_ms = s.raised_ms + s.seen_after_ms
        steps = [("unacknowledged", s.raised_ms)]
        if 0 <= s.seen_after_ms < s.gone_after_ms:
            steps += [("acknowledged", seen_ms), ("normal", gone_ms)]
        else:
            steps += [("returned", gone_ms)] + ([("normal", seen_ms)] if s.seen_after_ms >= 0 else [])
        put_away = s.seen_after_ms >= s.gone_after_ms
        changes += [
            change(name, subject, state, at_ms, s.raised_ms, word=word, put_away=put_away and state == "normal")
            for state, at_ms in steps
        ]
    return sorted(changes, key=lambda one: one.changed_ms)


def constructed(seed: int, days: float) -> list[Spell]:
    """Quiet days with three bursts that are floods, one subject that chatters, and some that stand for days."""
    chance = np.random.default_rng(seed)
    times = list(chance.uniform(0, days * DAY, 400))
    for burst in chance.uniform(0, days * DAY, 3):
        times += [*(burst + chance.uniform(0, 25 * MIN, 60)), *(burst + np.arange(25, 65, 1.4) * MIN)]
    spells = [
        Spell(
            int(chance.geometric(0.15)), int(chance.choice(3, p=[0.1, 0.3, 0.6])), START_MS + int(t),
            int(chance.choice([-1, int(chance.exponential(2 * H))])), int(chance.exponential(3 * H)) + 1,
        )
        for t in times
    ]  # fmt: skip
    chatter_ms = START_MS + int(days * DAY / 2)
    spells += [Spell(99, 1, chatter_ms + n * 11 * S, -1, 5 * S) for n in range(7)]
    spells += [Spell(100 + n, 1, START_MS + n * 7 * H, 5 * MIN, (30 + 10 * n) * H) for n in range(6)]
    return spells


@pytest.mark.parametrize("seed", range(4))
def test_every_measure_is_what_numpy_makes_of_the_construction(seed: int) -> None:
    spells, from_ms, to_ms = constructed(seed, 9.0), START_MS + DAY + 17 * MIN, START_MS + 8 * DAY
    found = report(told(spells), from_ms, to_ms)
    values = {one.key: one.value for one in found.measures}
    raised = np.array(sorted(s.raised_ms for s in spells), dtype=np.int64)
    inside = raised[(raised >= from_ms) & (raised < to_ms)]
    span_d = (to_ms - from_ms) / DAY
    assert found.annunciated == len(inside)
    assert values["alarms_per_day"] == pytest.approx(len(inside) / span_d, abs=5e-4)
    assert values["alarms_per_hour"] == pytest.approx(len(inside) / span_d / 24, abs=5e-4)
    assert values["alarms_per_10_min"] == pytest.approx(len(inside) / span_d / 144, abs=5e-4)
    assert values["most_in_10_min"] == int(
        (np.searchsorted(inside, inside + 10 * MIN, side="left") - np.arange(len(inside))).max()
    )
    tens, hours = slots(inside, from_ms, to_ms, 10 * MIN), slots(inside, from_ms, to_ms, H)
    assert values["ten_minutes_over_10_pct"] == pytest.approx(100 * (tens > 10).mean(), abs=5e-4)
    assert values["hours_over_30_pct"] == pytest.approx(100 * (hours > 30).mean(), abs=5e-4)
    assert values["flood_pct"] == pytest.approx(100 * flooded(tens).mean(), abs=5e-4)
    assert values["flood_pct"] > values["ten_minutes_over_10_pct"] > 0
    check_shares(found, [s for s in spells if from_ms <= s.raised_ms < to_ms])
    check_stale(found, spells, from_ms, to_ms)
    check_acknowledging(found, spells, from_ms, to_ms)
    assert [(one.subject, one.raises) for one in found.chattering][:1] == [("s99", 6)]  # 11 s apart: six in a minute


def slots(times: NDArray[np.int64], from_ms: int, to_ms: int, slot_ms: int) -> NDArray[np.int64]:
    count = -(-(to_ms - from_ms) // slot_ms)
    return np.bincount((times - from_ms) // slot_ms, minlength=count)


def flooded(tens: NDArray[np.int64]) -> NDArray[np.bool_]:
    """In a flood lies what comes after a period above ten with none below five in between."""
    n = np.arange(len(tens))
    begun = np.maximum.accumulate(np.where(tens > 10, n, -1))
    ended = np.maximum.accumulate(np.where(tens < 5, n, -1))
    return begun > ended


def check_shares(found: Report, inside: list[Spell]) -> None:
    subjects = Counter(f"s{s.subject}" for s in inside)
    top = sorted(subjects.values(), reverse=True)[:10]
    assert [one.count for one in found.most_frequent] == top
    share = next(one for one in found.measures if one.key == "top_ten_share_pct")
    assert share.value == pytest.approx(100 * sum(top) / len(inside), abs=5e-4)
    assert [(one.rule, one.subject, one.share_pct) for one in found.most_frequent_rules] == [("r", "", 100.0)]
    words = Counter(WORDS[s.word] for s in inside)
    assert {one.word: one.count for one in found.by_word} == {**words, "ready": 0}


def check_stale(found: Report, spells: list[Spell], from_ms: int, to_ms: int) -> None:
    begun = np.array([s.raised_ms + DAY for s in spells])
    ended = np.array([s.raised_ms + s.gone_after_ms for s in spells])
    clipped = np.minimum(ended, to_ms) - np.maximum(begun, from_ms)
    stale = (clipped > 0) & (begun < ended)
    assert len(found.stale) == stale.sum() > 0
    assert sum(one.hours for one in found.stale) == pytest.approx(clipped[stale].sum() / H, abs=0.01)
    days = np.arange(from_ms, to_ms, DAY)
    on_day = (begun[stale] < np.minimum(days + DAY, to_ms)[:, None]) & (ended[stale] > days[:, None])
    worst = next(one.value for one in found.measures if one.key == "stale_on_worst_day")
    assert worst == on_day.sum(axis=1).max()


def check_acknowledging(found: Report, spells: list[Spell], from_ms: int, to_ms: int) -> None:
    mine = [s for s in spells if from_ms <= s.raised_ms < to_ms]
    took = np.array([s.seen_after_ms for s in mine if 0 <= s.seen_after_ms < to_ms - s.raised_ms]) / S
    asked = found.acknowledging
    assert (asked.count, asked.by_itself, asked.waiting) == (len(took), 0, len(mine) - len(took))
    assert asked.median_s == pytest.approx(np.median(took))
    assert asked.ninetieth_s == np.quantile(took, 0.9, method="inverted_cdf")
    assert asked.longest_s == took.max()


def test_what_stood_shelved_and_suppressed_before_the_span_is_clipped_to_it() -> None:
    changes = [
        change("a", "s", "unacknowledged", 0, 0),
        change("a", "s", "shelved", 1 * H, 0),
        change("b", "t", "suppressed", 2 * H, 2 * H, why=WHY),
        change("a", "s", "unacknowledged", 5 * H, 0),
        change("a", "s", "suppressed", 6 * H, 0, why=WHY),
        change("a", "s", "normal", 7 * H, 0),
    ]
    found = report(changes, 4 * H, 8 * H)
    assert [(one.alert, one.from_ms, one.hours, one.goes_on) for one in found.shelved] == [("a", 4 * H, 1.0, False)]
    assert [(one.alert, one.from_ms, one.hours, one.goes_on, one.reason) for one in found.suppressed] == [
        ("b", 4 * H, 4.0, True, WHY.key),
        ("a", 6 * H, 1.0, False, WHY.key),
    ]
    assert found.annunciated == 1  # off its shelf
    assert (found.acknowledging.by_itself, found.acknowledging.waiting) == (1, 0)


def test_an_alert_said_again_because_it_is_worse_is_an_alarm_and_no_raise() -> None:
    changes = [change("a", "s", "unacknowledged", 0, 0), change("a", "s", "acknowledged", S, 0)]
    changes += [change("a", "s", "unacknowledged", 2 * S, 0), change("a", "s", "unacknowledged", 3 * S, 0)]
    found = report(changes, 0, H)
    assert (found.annunciated, found.chattering) == (2, [])
    assert found.acknowledging.count == 1


def test_an_empty_span_is_quiet_and_one_that_ends_before_it_begins_is_refused() -> None:
    found = report([], 0, H)
    assert {one.key: one.value for one in found.measures if one.value} == {}
    assert found.acknowledging.median_s is None
    with pytest.raises(ValueError, match=r"to_ms: found 0; would be right: later than from_ms \(0\)"):
        report([], 0, 0)


def test_too_few_alarms_say_nothing_of_shares_and_every_bound_says_where_it_is_from() -> None:
    found = report([change("a", "s", "unacknowledged", 0, 0)], 0, H)
    share = next(one for one in found.measures if one.key == "top_ten_share_pct")
    assert (share.value, share.holds) == (100.0, None)
    bounded = {one.key: one.provenance for one in found.measures if one.acceptable is not None}
    assert bounded.pop("asking_nothing_per_week") == "ours"
    assert set(bounded.values()) == {"memory"}


def test_news_is_no_alarm_and_is_counted_by_the_week() -> None:
    news = [
        replace(change(f"n{n}", f"s{n}", "unacknowledged", START_MS + n * DAY, START_MS), asks="nothing")
        for n in range(3)
    ]
    found = report([*news, change("a", "s", "unacknowledged", START_MS + H, START_MS)], START_MS, START_MS + 14 * DAY)
    values = {one.key: (one.value, one.holds) for one in found.measures}
    assert found.annunciated == 1
    assert values["asking_nothing_per_week"] == (1.5, True)
    assert to_alert(alert_row(news[0])) == news[0], "the record keeps what it asks"
