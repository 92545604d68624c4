"""What readings in the journal say to the model, and which cannot be."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians

import pytest
from pydantic import ValidationError

from server.shop import acts
from server.shop.journal import NotPossible, facts
from server.shop.lots import fold
from server.wood import species
from server.wood.ensemble import END_OF_80
from tests.unit.shop.test_lots import acts_of, entry, only, received

SAID = {"kind": "straightedged", "lot": "cherry-1", "hollow_mm": 1.2, "hollow_face": "top"}


def heard(*, cut: str = "flat", **more: object) -> acts.Hear:
    act = acts_of(only(received(cut=cut), entry(1, 5, **{**SAID, **more})))[-1]
    assert isinstance(act, acts.Hear)
    return act


def test_a_straightedge_is_over_the_lots_width_and_by_its_cut() -> None:
    """Black cherry: C_T 0.00248, C_R 0.00126 (Wood Handbook Table 13-5)."""
    ct, cr = 0.00248, 0.00126
    assert heard() == acts.Hear("straightedge", (1.2, 0.18, ct, pytest.approx(ct - cr), None, 0.1))
    below = heard(hollow_face="bottom", width_mm=150, resolution_mm=0.05)
    assert below.values[:2] == (-1.2, 0.15)
    assert below.values[-1] == 0.05
    rift = heard(cut="rift").values
    assert rift[2:4] == (pytest.approx((ct + cr) / 2), pytest.approx((ct - cr) * cos(radians(45)) ** 3))
    quarter = heard(cut="quarter").values
    assert quarter[2:4] == (pytest.approx(cr), pytest.approx(0.0, abs=1e-18))
    assert heard(bark_face="top", ring_radius_mm=125).values[4] == -8.0
    assert heard(bark_face="bottom", ring_radius_mm=125).values[4] == 8.0


def test_a_dielectric_meter_is_as_sure_as_its_setting_and_the_pieces_density() -> None:
    """As read; 10 % of density's coefficient of variation on a reading of 9 %."""
    said = {"kind": "metered", "lot": "cherry-1", "reading_pct": 9.0, "method": "dielectric"}
    as_read, is_set = (
        acts_of(only(received(), entry(1, 5, **{**said, "scale": scale})))[-1] for scale in ("reference", "corrected")
    )
    piece = END_OF_80 * 0.10 * 9.0
    assert as_read == acts.Hear("dielectric", (9.0, pytest.approx(hypot(2.0, piece))))
    assert is_set == acts.Hear("dielectric", (9.0, pytest.approx(hypot(1.0, piece))))


def test_what_a_straightedge_cannot_say_is_refused() -> None:
    with pytest.raises(NotPossible, match="width_mm: found 190 mm; would be right: up to the lot's 180 mm"):
        heard(width_mm=190)
    bare = replace(
        species.find("cherry_black"), ct=None, cr=None, coefficient_from="", shrinkage_radial_pct=None,
        shrinkage_tangential_pct=None,
    )  # fmt: skip
    with pytest.raises(NotPossible, match="lot: found 'cherry-1': no movement published for cherry_black"):
        fold(facts([received(), entry(1, 5, **SAID)]), lambda key: bare)
    for wrong in ({"hollow_mm": -1}, {"hollow_face": "left"}, {"bark_face": "top"}, {"ring_radius_mm": 100}):
        with pytest.raises(ValidationError):
            heard(**wrong)


def test_of_sheet_goods_it_is_kept_and_heard_by_nobody() -> None:
    lot = only(received(species=None, sheet="particleboard"), entry(1, 5, **SAID))
    assert lot.acts == ()


def test_pins_in_a_wood_without_a_table_are_as_read_and_a_bound_below_seven() -> None:
    """No resistance is published for black cherry here; below 7 % pins tell nothing in any wood (Wood Handbook ch.
    13)."""
    said = {"kind": "metered", "lot": "cherry-1", "reading_pct": 9.0}
    for reading, right in ((9.0, (9.0, 2.0, None)), (5.0, (7.0, 2.0, "at most"))):
        act = acts_of(only(received(), entry(1, 5, **{**said, "reading_pct": reading})))[-1]
        assert isinstance(act, acts.Hear)
        assert act.values[:3] == right
