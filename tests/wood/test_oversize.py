"""The least extra thickness: enough, no more than enough, and the same from slabs cut out of a bent board."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood import covers
from server.wood.milling import Cut, after, films_of, stand
from server.wood.oversize import Plan, Way, plans
from server.wood.settle import Piece

CT = 0.00248
"""Black cherry, Wood Handbook Table 13-5."""
ON = {"coefficient": CT, "width_m": 0.15}
WRAP = covers.find("wrapped").resistance_m2_s_pa_kg
LYING = {"stickers": films_of(True), "wrapped": films_of(True, WRAP), "bench": films_of(False)}
STOOD = stand(Piece(0.030, 0.47, 0.115), 10.0, 21.0, 0.30, 7.0)


@pytest.fixture(scope="module")
def found() -> dict[tuple[bool, str], Plan]:
    keys = [(evenly, name) for evenly in (False, True) for name in LYING]
    ways = [Way(evenly, *LYING[name]) for evenly, name in keys]
    return dict(zip(keys, plans(STOOD, ways, top_m=0.006, bottom_m=0.002, **ON), strict=True))


@given(st.floats(0.005, 0.05), st.floats(-3, 3), st.floats(0.05, 0.6))
def test_a_bent_board_holds_a_flat_one_thinner_by_its_cup(thickness: float, cup_mm: float, width: float) -> None:
    """Independent: the largest slab between two parallel planes inside a parabolic shell, found point by point."""
    x = np.linspace(-width / 2, width / 2, 1001)
    face = cup_mm / 1000 * (1 - (2 * x / width) ** 2)
    slab = (face + thickness).min() - face.max()
    assert slab == pytest.approx(thickness - abs(cup_mm) / 1000, abs=1e-12)


def test_the_extra_is_just_what_the_piece_then_departs_by(found: dict[tuple[bool, str], Plan]) -> None:
    """To 0.005 mm, a tenth of what a straightedge shows: between the extras that are tried it is taken as straight."""
    for way, plan in found.items():
        assert plan.extra_m is not None, way
        assert plan.first is not None
        assert plan.first.thickness_m == pytest.approx(0.022 + plan.extra_m)
        assert abs(plan.first.peak_mm) / 1000 == pytest.approx(plan.extra_m, abs=5e-6)


def test_what_comes_of_it_all_at_once_is_what_milling_says(found: dict[tuple[bool, str], Plan]) -> None:
    for (evenly, name), plan in found.items():
        top = 0.004 if evenly else 0.006
        [alone] = after(STOOD, [Cut(top, 0.022, *LYING[name])], **ON)
        assert plan.now.peak_mm == pytest.approx(alone.peak_mm, abs=1e-9)
        assert plan.now.rest_days == alone.rest_days


def test_trade_facts(found: dict[tuple[bool, str], Plan]) -> None:
    """Common practice, no source: the same off both faces and lying on stickers moves least; on the bench any board
    moves; a wrapped one is even inside sooner, as it only evens out."""
    even, uneven = (found[e, "stickers"] for e in (True, False))
    assert even.extra_m < 1e-6
    assert uneven.extra_m > 1e-4
    assert found[True, "bench"].extra_m > 3e-4
    assert found[False, "wrapped"].first.rest_days < found[False, "stickers"].first.rest_days
    assert even.left_mm < 0.01
    assert uneven.left_mm < 0.05
    assert found[False, "bench"].left_mm > 0.1, "it is within 1 % inside, and still slopes from face to face"


def test_twist_and_bow_are_left_on_top() -> None:
    ways = [Way(True, *LYING["stickers"]), Way(False, *LYING["bench"])]
    bare, more = (plans(STOOD, ways, top_m=0.006, bottom_m=0.002, allowance_m=a, **ON) for a in (0.0, 0.002))
    assert more[0].extra_m == pytest.approx(0.002, abs=1e-6)
    assert 0.0015 < more[1].extra_m - bare[1].extra_m <= 0.0020001, "less comes off at first, so it bends a little less"


def test_a_board_with_too_little_to_spare_says_so() -> None:
    [plan] = plans(STOOD, [Way(False, *LYING["bench"])], top_m=0.0002, bottom_m=0.0, **ON)
    assert (plan.extra_m, plan.first, plan.left_mm) == (None, None, None)
    [none] = plans(STOOD, [Way(False, *LYING["bench"])], top_m=0.0, bottom_m=0.0, **ON)
    assert none.extra_m is None
    with pytest.raises(ValueError, match=r"allowance_m: found -0\.001; would be right: 0 m or more"):
        plans(STOOD, [], top_m=0.001, bottom_m=0.0, allowance_m=-0.001, **ON)


def test_a_mirrored_plan_mirrors_its_cup() -> None:
    ways = [Way(False, *LYING["stickers"])]
    [one], [other] = (plans(STOOD, ways, top_m=t, bottom_m=0.008 - t, **ON) for t in (0.006, 0.002))
    assert one.now.at_once_mm == pytest.approx(-other.now.at_once_mm)
    assert one.extra_m == pytest.approx(other.extra_m)
