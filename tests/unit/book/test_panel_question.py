"""book panel: the keys it keeps, that its room is book gap's, what a person reads, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from server.book.base import Answer, BadRequest, ask
from server.book.catalog import QUESTIONS

PANEL: dict[str, Any] = {
    "species": "cherry_black", "width_mm": 600, "thickness_mm": 20, "made_at_pct": 7, "cover": "urethane-varnish-3",
    "dry_humidity_pct": 30, "damp_humidity_pct": 60,
}  # fmt: skip


def answered(**change: Any) -> Answer:
    return ask(QUESTIONS["panel"], {k: v for k, v in {**PANEL, **change}.items() if v is not None})


def test_it_moves_less_than_the_air_says_and_later() -> None:
    figures = answered().figures
    assert figures["swing_mm_low"] < figures["swing_mm"] < figures["swing_mm_high"]
    assert figures["swing_mm"] < figures["bare_swing_mm"] < figures["air_swing_mm"]
    assert figures["swing_mm"] == pytest.approx(figures["width_dampest_mm"] - figures["width_driest_mm"])
    assert figures["swing_mm"] == pytest.approx(600 * 0.00248 * figures["swing_pct"], rel=0.01), "Table 13-5, C_T"
    assert figures["air_lowest_pct"] < figures["lowest_pct"] < figures["highest_pct"] < figures["air_highest_pct"]
    assert 46 < figures["narrowest_day"] < 137
    assert figures["lag_days"] == pytest.approx(figures["wave_lag_days"], abs=3)
    assert figures["swing_pct"] == pytest.approx(figures["wave_swing_pct"], rel=0.05)


def test_a_row_a_month() -> None:
    figures = answered().figures
    series = figures["series"]
    assert [row["month"] for row in series] == list(range(1, 13))
    widths = [row["width_mm"] for row in series]
    assert min(widths) == series[2]["width_mm"], "narrowest in March, the air is driest in February"
    assert max(widths) == series[8]["width_mm"]
    assert figures["width_driest_mm"] <= min(widths) <= max(widths) <= figures["width_dampest_mm"]
    assert series[1]["emc_pct"] < series[1]["mean_pct"]


def test_its_room_is_that_of_book_gap() -> None:
    """For the far ends of its spread: the driest and the dampest it may be."""
    figures = answered(screw_mm=4).figures
    low = min(figures["lowest_pct_low"], figures["first_lowest_pct"])
    high = max(figures["highest_pct_high"], figures["first_highest_pct"])
    asked = {"species": "cherry_black", "width_mm": 600, "now_pct": 7, "aim_low_pct": low, "aim_high_pct": high}
    groove = ask(QUESTIONS["gap"], {**asked, "fit": "groove"}).figures
    slot, half = (
        ask(QUESTIONS["gap"], {**asked, "fit": "slot", "screw_mm": 4, "width_mm": width}).figures["slot_mm"]
        for width in (600, 300)
    )
    assert figures["groove_gap_today_mm"] == groove["gap_today_mm"]
    assert (figures["slot_mm"], figures["slot_from_middle_mm"]) == (slot, half)
    assert figures["groove_depth_mm"] == pytest.approx(groove["gap_dry_mm"] + 3.0), "3 mm stay in it at the driest"
    assert figures["tongue_mm"] == pytest.approx(figures["groove_depth_mm"] - figures["groove_gap_today_mm"])
    assert slot - 4 == pytest.approx(2 * (half - 4))


def test_what_is_read_leads_with_millimetres() -> None:
    answer = answered()
    assert answer.text().startswith(
        f"It moves {answer.figures['swing_mm']:.1f} mm through the year, eight times in ten"
    )
    assert "about 21 Mar" in answer.text()
    assert "in dry air it holds back more" in answer.text()
    assert "0.4 %" in answer.text()
    caution = answer.caution_text() or ""
    for left_out in ("bare ends", "wear of a finish", "breadboard", "creep", "oily rags"):
        assert left_out in caution
    assert "likely" not in answer.text() + caution
    assert "Panel Paintings" in answer.source


def test_held_wood_is_ranked_by_its_stretch() -> None:
    ranks = [answered(made_at_pct=m, cover="bare").figures["held_rank"] for m in (7, 8.5, 12)]
    assert ranks == ["within", "yields", "fails"]
    hard = answered(made_at_pct=12, cover="bare")
    assert "from which on strips of wood broke in tests" in hard.text()
    assert hard.figures["held_tension_index"] > 1
    soft = answered(made_at_pct=6.2)
    assert soft.figures["held_stretch_pct"] == pytest.approx(0.0, abs=0.01)
    assert soft.figures["held_keeps_set"]
    assert "keeps that as a set" in soft.text()


def test_one_face_finished_cups() -> None:
    one, other = answered(back_cover="bare"), answered(cover="bare", back_cover="urethane-varnish-3")
    assert one.figures["cup_mm"] == pytest.approx(-other.figures["cup_mm"])
    assert abs(one.figures["cup_mm"]) > 1
    assert "finish both faces alike" in one.text()
    assert answered().figures["cup_mm"] == pytest.approx(0.0, abs=1e-9)
    assert "in dry air it holds back more" in other.text(), "said of a back too"


def test_one_that_never_gets_there_says_so() -> None:
    slow = answered(thickness_mm=60, cover="polyethylene-foil")
    assert slow.figures["in_step_days"] is None
    assert "for ten years and more stays near the 600 mm" in slow.text()
    still = answered(damp_humidity_pct=30)
    assert "does not move" in still.text()


def test_air_may_be_given_as_what_it_draws_to() -> None:
    by_emc = answered(dry_humidity_pct=None, damp_humidity_pct=None, dry_emc_pct=6.188214, damp_emc_pct=10.999803)
    figures = by_emc.figures
    assert figures["swing_mm"] == pytest.approx(answered().figures["swing_mm"], rel=1e-4)
    warm = answered(damp_temperature_c=26).figures
    assert warm["air_highest_pct"] < figures["air_highest_pct"], "warmer air of the same humidity draws to less"


@pytest.mark.parametrize(
    ("change", "field", "right"),
    [
        ({"dry_humidity_pct": None}, "dry_humidity_pct", "one of the two"),
        ({"dry_emc_pct": 6}, "dry_humidity_pct", "one of the two"),
        ({"dry_humidity_pct": 70}, "dry_humidity_pct", "at most the dampest time's"),
        ({"dry_humidity_pct": None, "dry_emc_pct": 12}, "dry_emc_pct", "at most the dampest time's"),
        ({"damp_humidity_pct": None, "damp_emc_pct": 30}, "damp_emc_pct", "0 to 28.8 % at 20 °C"),
        ({"dampest_day": 60}, "dampest_day", "30 to 335 days after the driest"),
        ({"driest_day": 400}, "driest_day", "1 to 365"),
        ({"cover": "varnish"}, "cover", "urethane-varnish"),
        ({"back_cover": "shelac"}, "back_cover", "shellac"),
        ({"thickness_mm": 0}, "thickness_mm", "0.3 to 300 mm"),
        ({"width_mm": 15240}, "width_mm", "1 to 3,000 mm"),
        ({"made_at_pct": 300}, "made_at_pct", "0 to 30 % MC"),
        ({"damp_humidity_pct": 101}, "damp_humidity_pct", "0 to 100 %"),
        ({"species": "chery"}, "species", "cherry_black"),
        ({"species": "lauan_white"}, "specific_gravity", "0.1 to 1.0"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, Any], field: str, right: str) -> None:
    with pytest.raises(BadRequest) as refused:
        answered(**change)
    [mistake] = refused.value.mistakes
    assert mistake.field == field
    assert right in mistake.would_be_right


def test_one_that_finds_no_year_is_refused_in_a_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("server.wood.panel.MOST_YEARS", 1)
    with pytest.raises(BadRequest) as refused:
        answered(thickness_mm=300)
    assert [m.field for m in refused.value.mistakes] == ["thickness_mm"]
    assert "a thinner panel" in refused.value.mistakes[0].would_be_right
