"""What is refused, by name, place, range and unit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood.ranges import alike, rising, within


@given(st.floats(allow_nan=True, allow_infinity=True))
def test_only_what_lies_inside_passes(value: float) -> None:
    if 0 < value <= 5:
        assert float(within("width_m", value, 0, 5, "m", open_below=True)) == value
    else:
        with pytest.raises(ValueError, match=r"^width_m: found .*; would be right: above 0 to 5 m$"):
            within("width_m", value, 0, 5, "m", open_below=True)


def test_the_first_wrong_one_of_many_is_named() -> None:
    with pytest.raises(ValueError, match=r"^t_c: found 90; would be right: -20 to 50 °C$"):
        within("t_c", np.array([[1.0, 90.0], [99.0, 2.0]]), -20, 50, "°C")
    assert within("t_c", [], -20, 50, "°C").size == 0


def test_times_stand_in_one_rising_row() -> None:
    assert rising("time_s", [0, 1, 5]).tolist() == [0, 1, 5]
    for wrong, said in (
        ([0, 2, 2], "found 2 after 2 at row 2"),
        ([0, np.nan], "a time that is no number"),
        ([[0, 1]], r"found shape \(1, 2\)"),
    ):
        with pytest.raises(ValueError, match=said):
            rising("time_s", wrong)


def test_lengths_are_one() -> None:
    alike(a=[1, 2], b=[3, 4])
    with pytest.raises(
        ValueError, match=r"a and b: found shapes a \(2,\), b \(3,\); would be right: one length for all"
    ):
        alike(a=[1, 2], b=[1, 2, 3])
