"""Field pitfall 30: one function makes points; names of any signs come back as they went, numbers are always floats."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.stores.line_protocol import LineWriter, tag
from server.stores.remote import Point
from tests.remotes import parsed, series_of

NAMES = st.text(st.characters(codec="utf-8"), min_size=1, max_size=20)
TRAPS = st.text(alphabet=" ,=\"\\%\n\r\t'/:#ü\u2028\x00zone", min_size=1, max_size=12)
FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(
    st.one_of(NAMES, TRAPS),
    st.one_of(NAMES, TRAPS),
    st.sampled_from(["emc_pct", "temperature_c", "a b", "x=y"]),
    FINITE,
    st.one_of(st.none(), FINITE),
    st.integers(0, 1 << 20),
    st.integers(0, 1 << 47),
)
def test_a_line_says_what_was_stored(  # noqa: PLR0917 - drawn by hypothesis
    source, owner, quantity, value, raw, flags, t_ms
):
    series = f"{owner}/{quantity}"
    line = LineWriter(source).line(Point(series, t_ms, value, flags, raw))
    assert "\n" not in line
    assert "\r" not in line
    measurement, tags, fields, at_ms = parsed(line)
    assert (measurement, series_of(tags), at_ms) == ("reading", series, t_ms)
    assert set(tags) == {"source", "quantity", "zone" if owner.startswith("zone:") else "sensor"}
    assert {name: float(text) for name, text in fields.items()} == {
        "value": value,
        "flags": float(flags),
        "raw": value if raw is None else raw,
    }
    # a number with i, u, or neither point nor exponent is none of the float's spellings
    assert all("." in text or "e" in text for text in fields.values())


@given(st.one_of(NAMES, TRAPS), st.one_of(NAMES, TRAPS))
def test_two_names_never_become_one(first, second):
    assert (tag(first) == tag(second)) == (first == second)


@pytest.mark.parametrize(("value", "raw"), [(float("nan"), None), (1.0, float("inf")), (float("-inf"), 1.0)])
def test_what_is_no_number_never_becomes_a_line(value, raw):
    with pytest.raises(ValueError, match=r"a/emc_pct at 5: found value .*would be right: finite numbers"):
        LineWriter("shop").line(Point("a/emc_pct", 5, value, 0, raw))


def test_the_shape_that_the_papers_show():
    line = LineWriter("Hall, table = 1")
    assert line.body(
        [Point("bench-1/humidity_pct", 7, 100.0, 8, 103.5), Point("zone:loft/emc_pct", 8, 9, 0, None)]
    ) == (
        rb"reading,source=Hall\,\ table\ \=\ 1,sensor=bench-1,quantity=humidity_pct value=100.0,flags=8.0,raw=103.5 7"
        b"\n"
        rb"reading,source=Hall\,\ table\ \=\ 1,zone=loft,quantity=emc_pct value=9.0,flags=0.0,raw=9.0 8"
    )
    assert tag("") == "%"
    assert tag("a\\b\n%") == "a%5Cb%0A%25"
