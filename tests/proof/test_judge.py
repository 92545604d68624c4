"""The judge on series whose answer arithmetic gives."""

from __future__ import annotations

import numpy as np
import pytest

from server.reading import Alert, AlertState
from tests.proof.judge import BIN_MS, HOUR_MS, Course, Side, Spell, again, spells, told

T0 = 1_799_712_000_000
REACH = {"falling-fast": 24.0}
DAY = 48


def course(*runs: tuple[float, int]) -> Course:
    """(EMC, half hours) one after the other."""
    emc = np.concatenate([np.full(many, pct) for pct, many in runs])
    return Course.of(T0 + BIN_MS * (1 + np.arange(emc.size, dtype=np.int64)), emc)


def hours(of: Course, side: Side = "dry", limit_pct: float = 6.0) -> list[float]:
    return [(at_ms - T0) / HOUR_MS for at_ms in of.begins(of.stays(limit_pct, side))]


@pytest.mark.parametrize(
    ("runs", "begins", "because"),
    [
        (((7.0, DAY), (5.9, DAY)), [24.0], "it goes below after a day inside, and stays"),
        (((7.0, DAY), (5.9, 6), (7.0, DAY)), [], "three hours below: five of the next twelve half hours"),
        (((7.0, DAY), (5.9, 7), (7.0, DAY)), [24.0], "half of them: it stays"),
        (((7.0, DAY), (5.9, 2), (7.0, 10), (5.9, DAY)), [30.0], "a dip on the same day does not hide what comes"),
        (((7.0, DAY), (5.9, 20), (7.0, 20), (5.9, 20), (7.0, 20), (5.9, 20)), [24.0], "every night is one"),
        (((7.0, DAY), (5.9, 20), (7.0, 80), (5.9, 20)), [24.0, 74.0], "a day inside between: two"),
        (((5.9, DAY), (7.0, 10), (5.9, DAY)), [], "it began below: nobody knows since when"),
        (((7.0, DAY), (np.nan, 30), (5.9, DAY)), [], "most of the day before was not heard"),
        (((7.0, DAY), (np.nan, 20), (5.9, DAY)), [34.0], "more than half of it was"),
        (((7.0, DAY), (6.0, DAY)), [], "on the limit is not below"),
    ],
)
def test_where_a_dry_out_begins(runs: tuple[tuple[float, int], ...], begins: list[float], because: str) -> None:
    assert hours(course(*runs)) == begins, because
    mirrored = course(*((16.0 - pct, many) for pct, many in runs))
    assert hours(mirrored, "damp", 10.0) == begins, because


def alert(hour: float, state: AlertState, raised: float, rule: str = "falling-fast", lean: str = "dry") -> Alert:
    return Alert(
        "a", rule, "bench", state, "look", lean, T0 + round(raised * HOUR_MS), T0 + round(hour * HOUR_MS), None, {}
    )  # type: ignore[arg-type]


def test_times_an_alert_stood() -> None:
    """Seen or laid aside it stands on; raised again after its return it is another time."""
    changes = [
        alert(1, "unacknowledged", 1), alert(2, "acknowledged", 1), alert(3, "shelved", 1), alert(5, "normal", 1),
        alert(6, "unacknowledged", 6), alert(8, "returned", 6), alert(9, "unacknowledged", 9),
    ]  # fmt: skip
    found = [((one.from_ms - T0) / HOUR_MS, one.to_ms and (one.to_ms - T0) / HOUR_MS) for one in spells(changes)]
    assert found == [(1, 5), (6, 8), (9, None)]
    assert len(again(spells(changes))) == 2


def test_what_is_hidden_for_a_while_is_the_same_and_what_was_never_shown_was_not_said() -> None:
    shown = [alert(1, "unacknowledged", 1), alert(2, "suppressed", 1), alert(4, "unacknowledged", 1)]
    assert [((one.from_ms - T0) / HOUR_MS, one.to_ms) for one in spells(shown)] == [(1, None)]
    hidden = [alert(1, "suppressed", 1), alert(4, "unacknowledged", 1), alert(6, "normal", 1)]
    assert [((one.from_ms - T0) / HOUR_MS, (one.to_ms or 0) - T0) for one in spells(hidden)] == [(4, 6 * HOUR_MS)]
    assert not spells([alert(1, "suppressed", 1), alert(2, "normal", 1)])


def stood(from_h: float, to_h: float | None, rule: str = "falling-fast", lean: str = "dry") -> Spell:
    return Spell(
        rule, "bench", lean, T0 + round(from_h * HOUR_MS), None if to_h is None else T0 + round(to_h * HOUR_MS)
    )


@pytest.mark.parametrize(
    ("of", "lead", "because"),
    [
        ([stood(10.0, None)], 14.0, "it stood when it began"),
        ([stood(10.0, 12.5)], 14.0, "it had returned less than 12 h before"),
        ([stood(8.0, 12.0)], None, "12 h are too long ago"),
        ([stood(8.0, 11.0), stood(22.0, 25.0)], 2.0, "the one that stood counts"),
        ([stood(25.0, None)], None, "it came after"),
        ([stood(10.0, None, lean="damp")], None, "the other side"),
        ([stood(10.0, None, rule="sensor-silent")], None, "a rule that does not look ahead"),
    ],
)
def test_told_ahead_and_lead(of: list[Spell], lead: float | None, because: str) -> None:
    one = told(course((7.0, DAY), (5.9, DAY)), of, "bench", "dry", limit_pct=6.0, reach_h=REACH)
    assert one.leads_h == (lead,), because
    assert one.missed == (lead is None)


def test_one_that_is_known_because_its_limit_still_speaks_is_none() -> None:
    of = course((7.0, DAY), (5.9, 20), (6.1, 80), (5.9, 20))
    assert len(told(of, [], "bench", "dry", limit_pct=6.0, reach_h=REACH).begins) == 2
    known = [stood(24.5, None, rule="dry-limit")]
    assert len(told(of, known, "bench", "dry", limit_pct=6.0, reach_h=REACH).begins) == 1


def test_a_shallow_one_counts_where_the_limits_own_alert_was_raised() -> None:
    """5.99 for an hour does not stay. Its alert comes half an hour after it began, and makes it one; and true."""
    of, ahead = course((7.0, 2 * DAY), (5.99, 2), (7.0, 2 * DAY)), stood(40.0, 60.0)
    assert told(of, [ahead], "bench", "dry", limit_pct=6.0, reach_h=REACH).leads_h == ()
    one = told(of, [ahead, stood(48.5, 51.0, rule="dry-limit")], "bench", "dry", limit_pct=6.0, reach_h=REACH)
    assert (one.leads_h, one.false) == ((8.0,), 0)


def test_false_near_again_and_what_nobody_can_know() -> None:
    """24 h of reach: true at 10 h; false at 50, 100 (near: 6.15 from 104 h on) and 110 h; not known at 180 h."""
    of = course((7.0, DAY), (5.9, 20), (7.0, 140), (6.15, 10), (7.0, 162))
    alerts = [stood(10, 25), stood(50, 60), stood(100, 101), stood(110, 111), stood(180, 181)]
    one = told(of, alerts, "bench", "dry", limit_pct=6.0, reach_h=REACH)
    assert of.end_ms - T0 == 190 * HOUR_MS
    assert (one.raised, one.false, one.near, one.again) == (5, 3, 1, 1)


def test_no_half_hour_is_refused() -> None:
    with pytest.raises(ValueError, match="found nothing; would be right: at least one half hour"):
        Course.of(np.array([], np.int64), np.array([]))
