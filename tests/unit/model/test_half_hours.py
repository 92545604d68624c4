"""Half hours made many at once are those made value by value."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.bins import BIN_MS, Bins
from server.model.half_hours import half_hours

EDGE_MS = 1_799_712_000_000
VALUE = st.tuples(st.integers(1, 4_000_000), st.floats(-5, 30), st.floats(100, 2000), st.floats(2, 20))


@given(st.lists(VALUE, min_size=1, max_size=40), st.integers(-3_000_000, 3_000_000))
def test_they_are_what_bins_make(steps: list[tuple[int, float, float, float]], first_ms: int) -> None:
    times, rows = [], []
    t_ms = EDGE_MS + first_ms
    for step, *air in steps:
        times.append(t_ms)
        rows.append(tuple(air))
        t_ms += step
    bins = Bins("loft")
    done = [b for t, air in zip(times, rows, strict=True) for b in bins.add_value(t, air)]
    done += bins.close_due(times[-1] + 3 * BIN_MS)
    to_ms = done[-1].end_ms if done else EDGE_MS
    right = [b for b in done if EDGE_MS < b.end_ms <= to_ms]
    columns = [[row[i] for row in rows] for i in (0, 1)]
    found = half_hours(times, *columns, EDGE_MS, max(to_ms, EDGE_MS))
    assert found.ends_ms.tolist() == [b.end_ms for b in right]
    assert found.temperature_c == pytest.approx([b.temperature_c for b in right], abs=1e-9)
    assert found.pressure_pa == pytest.approx([b.vapour_pressure_pa for b in right], abs=1e-9)
    assert found.covered == pytest.approx([b.covered for b in right], abs=1e-12)


def test_ends_that_are_no_half_hours_are_refused() -> None:
    with pytest.raises(ValueError, match="half hours: found 1 to"):
        half_hours([5], [1.0], [1.0], 1, BIN_MS)
    assert half_hours([], [], [], 0, BIN_MS).ends_ms.size == 0
