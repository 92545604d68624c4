"""Half hours of air: time-weighted, closed once, the same whatever the batches."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.bins import BIN_MS, CLOSES_AFTER_MS, HOLD_MS, Bins

START = 1_800_000_000_000 // BIN_MS * BIN_MS
MINUTE = 60_000


def add(bins: Bins, minute: float, emc: float):
    return bins.add_value(START + round(minute * MINUTE), (20.0, 900.0, emc))


def test_the_mean_is_weighted_by_how_long_each_value_held():
    bins = Bins("z")
    add(bins, 0, 6.0)
    add(bins, 20, 9.0)
    (closed,) = add(bins, 30, 9.0)
    assert closed.end_ms == START + BIN_MS
    assert closed.emc_pct == pytest.approx((20 * 6.0 + 10 * 9.0) / 30)
    assert closed.covered == 1.0


def test_it_closes_two_minutes_after_its_end_though_nothing_comes():
    bins = Bins("z")
    add(bins, 10, 7.0)
    assert bins.close_due(START + BIN_MS + CLOSES_AFTER_MS - 1) == []
    (closed,) = bins.close_due(START + BIN_MS + CLOSES_AFTER_MS)
    assert (closed.emc_pct, closed.covered) == (pytest.approx(7.0), pytest.approx(20 / 30))
    assert bins.close_due(START + BIN_MS + CLOSES_AFTER_MS) == []


def test_a_value_holds_half_an_hour_and_no_longer():
    bins = Bins("z")
    add(bins, 0, 7.0)
    closed = add(bins, 60 * 24, 8.0)
    assert [c.end_ms for c in closed] == [START + BIN_MS]
    assert HOLD_MS == BIN_MS
    closed = bins.close_due(START + 60 * 24 * MINUTE + BIN_MS + CLOSES_AFTER_MS)
    assert [(c.emc_pct, c.covered) for c in closed] == [(pytest.approx(8.0), 1.0)]


def test_a_late_value_is_passed_over():
    bins = Bins("z")
    add(bins, 0, 7.0)
    add(bins, 31, 8.0)
    assert add(bins, 29, 99.0) == []
    (closed,) = add(bins, 61, 8.0)
    assert (closed.emc_pct, closed.covered) == (pytest.approx(8.0), pytest.approx(29 / 30))


def test_a_clock_that_goes_back_starts_the_count_anew():
    bins = Bins("z")
    add(bins, 0, 7.0)
    add(bins, 130, 8.0)
    assert len(bins.closed) == 1
    bins.follow_clock(START + 60 * MINUTE)
    add(bins, 61, 9.0)
    bins.close_due(START + 95 * MINUTE)
    assert [c.end_ms for c in bins.closed] == [START + BIN_MS, START + 3 * BIN_MS]
    assert bins.closed[-1].emc_pct == 9.0


@given(
    st.lists(st.tuples(st.integers(1, 200), st.floats(2, 25)), min_size=1, max_size=60),
    st.integers(0, 59),
)
def test_against_a_plain_sum_over_minutes(steps, offset):
    """Independent: the same definition, minute by minute."""
    bins, at, values = Bins("z"), offset, []
    closed = []
    for gap, emc in steps:
        values.append((at, emc))
        closed += add(bins, at, emc)
        at += gap
    closed += bins.close_due(START + (at + 600) * MINUTE)
    by_minute: dict[int, float] = {}
    for n, (start, emc) in enumerate(values):
        end = values[n + 1][0] if n + 1 < len(values) else 10**9
        for minute in range(start, min(end, start + 30)):
            by_minute[minute] = emc
    expected = {}
    for minute, emc in by_minute.items():
        expected.setdefault(minute // 30, []).append(emc)
    assert {c.end_ms: (pytest.approx(c.emc_pct), pytest.approx(c.covered)) for c in closed} == {
        START + (n + 1) * BIN_MS: (sum(v) / len(v), len(v) / 30) for n, v in expected.items()
    }
