"""Panel products: the published rows, what lies between and outside them, and solid wood beside them."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood.emc import emc_pct
from server.wood.sheet_goods import UnknownProduct, emc_of_product_pct, length_change_mm, product, products

KEYS = ["plywood", "osb", "mdf", "particleboard", "hardboard"]


def test_every_row_has_its_source_and_lies_in_range() -> None:
    assert list(products()) == KEYS
    for name in ("sheet_goods.csv", "sheet_goods_emc.csv"):
        for row in csv.DictReader(files("server.wood").joinpath(name).read_text(encoding="utf-8").splitlines()):
            assert row["source"], row
            assert row["provenance"].split()[0].strip(";") in {"read", "memory", "computed", "not"}, row
    for one in products().values():
        assert list(one.rh_pct) == sorted(set(one.rh_pct))
        for ends in (one.low_pct, one.high_pct):
            assert list(ends) == sorted(ends)
            assert 0 < ends[0] < ends[-1] < 30
        assert all(low <= high for low, high in zip(one.low_pct, one.high_pct, strict=True))


@pytest.mark.parametrize(
    ("key", "rh_pct", "low", "high"),
    [("mdf", 30, 6, 8), ("particleboard", 45, 7, 9), ("mdf", 65, 9, 11), ("mdf", 75, 10, 12), ("mdf", 90, 15, 16)],
)
def test_boards_of_fibres_and_particles_are_drawn_to_what_their_makers_say(
    key: str, rh_pct: float, low: float, high: float
) -> None:
    """Engineered Wood Products Association of Australasia, Facts about Particleboard and MDF (read, page 37)."""
    found = emc_of_product_pct(key, 21.1, rh_pct / 100)
    assert (found.low_pct, found.high_pct) == pytest.approx((low, high))
    assert found.provenance == "read"


def test_the_recalled_table_of_panels_stands_beside_solid_wood() -> None:
    """The panel table (memory) was recalled with a column for solid wood: 2.5, 4.5 ... 20.5 at 10 to 90 %. That column
    is equation 4-5 at 70 °F to its rounding, so the table was remembered row by row; it proves no panel's figure."""
    solid = (2.5, 4.5, 6.2, 7.7, 9.2, 11.0, 13.1, 16.0, 20.5)
    for rh_pct, printed in zip(range(10, 91, 10), solid, strict=True):
        assert float(emc_pct(21.11, rh_pct / 100)) == pytest.approx(printed, abs=0.06)
        for key in ("plywood", "osb"):
            found = emc_of_product_pct(key, 21.1, rh_pct / 100)
            assert found.high_pct is not None
            assert found.high_pct < printed
            assert "memory" in found.provenance


@given(st.sampled_from(KEYS), st.floats(-40, 60), st.floats(0, 1))
def test_nothing_is_made_up(key: str, temperature_c: float, rh: float) -> None:
    one, found = product(key), emc_of_product_pct(key, temperature_c, rh)
    published = one.rh_pct[0] <= 100 * rh <= one.rh_pct[-1] and 10 <= temperature_c <= 30
    assert (found.low_pct is not None) == (found.high_pct is not None) == published == (found.why == "")
    if found.low_pct is not None and found.high_pct is not None:
        assert 0 <= found.low_pct <= found.high_pct < 30
        room = emc_of_product_pct(key, 21.1, rh)
        assert found.low_pct <= (room.low_pct or 0) <= (room.high_pct or 0) <= found.high_pct


@given(st.sampled_from(KEYS), st.floats(0.3, 0.9), st.floats(0.3, 0.9))
def test_damper_air_never_draws_a_panel_drier(key: str, a: float, b: float) -> None:
    dry, damp = (emc_of_product_pct(key, 21.1, rh) for rh in sorted((a, b)))
    assert (dry.low_pct or 0) <= (damp.low_pct or 0) + 1e-12
    assert (dry.high_pct or 0) <= (damp.high_pct or 0) + 1e-12


def test_outside_it_says_why() -> None:
    dry, cold = emc_of_product_pct("mdf", 21.0, 0.2), emc_of_product_pct("osb", 5.0, 0.5)
    assert (dry.why, dry.between) == ("humidity", (30, 90))
    assert (cold.why, cold.between) == ("temperature", (10, 30))


def test_lengths_as_read() -> None:
    """The same facts sheet: about 1 mm a metre from 9 to 12 %, a further 1 mm from 12 to 16 %: the ends hold both."""
    for moved, limits in (((9.0, 12.0), 1.0), ((12.0, 16.0), 1.0)):
        change = length_change_mm("mdf", 1000, *moved)
        assert change is not None
        assert change[0] <= limits <= change[1] + 0.011
    assert length_change_mm("mdf", 1000, 12, 9) == pytest.approx((-0.75, -0.99))
    assert length_change_mm("osb", 1000, 6, 12) is None
    assert product("plywood").length_per_10_pct_rh == 0.0002


def test_refusals() -> None:
    with pytest.raises(UnknownProduct, match="product: found 'mdff'; would be right: one of mdf"):
        product("mdff")
    with pytest.raises(ValueError, match=r"rh: found 45; would be right: 0\.\.1"):
        emc_of_product_pct("mdf", 20, 45)
    with pytest.raises(ValueError, match="length_mm: found 0; would be right: above 0, below 10,000 mm"):
        length_change_mm("mdf", 0, 6, 8)
    with pytest.raises(ValueError, match="to_pct: found 300; would be right: 0 to 30 % MC"):
        length_change_mm("mdf", 100, 6, 300)
