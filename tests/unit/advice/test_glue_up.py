"""A glue-up's verdict and its questions: what a careful joiner would do, against the figures it rests on."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from server.advice.base import Line
from server.advice.glue_up.air_ahead import temperature_ahead, warmth_ahead
from server.advice.glue_up.asking import GlueAdvice, advise
from server.advice.glue_up.base import GlueView
from server.advice.glue_up.catalog import QUESTIONS
from server.advice.glue_up.warm import BOTTLE_LAG_S, behind_c, warm_days
from server.demo.indoor import workshop_air
from server.outlook import forecast
from server.reading import Aim
from server.wood import covers, species
from server.wood.adhesive import families
from server.wood.belief import middle_boards
from server.wood.cup import curvature_per_m
from server.wood.emc import emc_pct, humidity_for_emc
from server.wood.movement import across_width, change
from server.wood.panel import Panel, panel_year
from server.wood.season import season_of
from server.wood.year import Year
from tests.unit.advice.glue_ups_for_tests import advised, board, glue_up, nights, room
from tests.unit.advice.lots_for_tests import DAY_MS, START_MS, laid

REFERENCE = Path(__file__).parents[2] / "data" / "reference"


def lines_of(advice: GlueAdvice) -> dict[str, Line]:
    return {line.question: line for line in advice.lines}


def asked(view: GlueView, question: str) -> Line:
    (one,) = (q for q in QUESTIONS if q.name == question)
    return one.answer(view)


def word(view: GlueView, question: str) -> str | None:
    return asked(view, question).word


def keys(line: Line) -> list[str]:
    return [said.key for said in line.said]


def test_boards_in_their_aim_fresh_and_warm_are_ready() -> None:
    """Common practice, no source: nothing stands against it, and nothing is to be waited for."""
    found = advise(glue_up())
    assert (found.word, found.title.key, found.lean) == ("ready", "glue-ready-title", "none")
    assert (found.when, found.sooner, found.against) == (None, (), ())
    assert [line.word for line in found.lines][-3:] == [None, None, None], "year, rings and room decide nothing"


def test_the_panel_s_own_aim_decides_and_not_the_lots() -> None:
    """The lot was received for 6 to 10 %; the panel goes where 8.5 to 12 % is asked."""
    damp = Aim(8.5, 12.0, "two numbers", "typed in by the shop")
    found = advise(glue_up(board(pct=8.0, aim=damp), aim={"dry_limit_pct": 8.5, "damp_limit_pct": 12}))
    assert (found.word, lines_of(found)["boards-in-aim"].word) == ("look", "look")
    assert found.why.key == "glue-aim-outside"
    assert found.against[0].question == "boards-in-aim"


def test_boards_that_wait_are_not_hidden_by_what_is_soon_done() -> None:
    """Too damp, and milled long ago: jointing is of today, the boards decide."""
    found = advise(glue_up(board(pct=10.3)))
    assert (found.word, found.title.key) == ("wait", "glue-wait-title")
    stale = advise(glue_up(board(pct=12.0, days=20), loft=(27.0, 41.0)))
    assert stale.word == "wait"
    assert lines_of(stale)["faces-fresh"].word == "look"
    assert stale.days.low[0] < stale.days.middle[0] < stale.days.high[0]
    hows = [way.how for way in stale.sooner]
    assert hows[0] == "wrapped", "uneven inside and inside the aim: it evens out under film"
    assert all(way.days.middle[0] < stale.days.middle[0] for way in stale.sooner)


def test_title_and_date_count_alike() -> None:
    """Inside the aim in some days, but alike only later: the title counts to the day on which all is good. In a room
    that stays cold, boards that are not ready yet are not said to be so as soon as it is heated."""
    late = advise(glue_up(board(pct=10.3), board(laid("wrapped", 0.96), pct=6.6, name="b-2")))
    assert late.when is not None
    assert late.title.key == "glue-wait-title"
    assert lines_of(late)["boards-in-aim"].figures["good_days"] < 2 < late.days.middle[0]
    assert {key: late.when.values[key] for key in ("count", "unit")} == late.title.values
    cold = advise(glue_up(board(pct=12.0, days=2), bench=(9.0, 50.0)))
    assert cold.title.key == "glue-wait-title"
    assert cold.when is not None
    assert cold.when.key == "glue-when-heated-by-then"
    assert {key: cold.when.values[key] for key in ("count", "unit")} == cold.title.values


def test_no_way_is_told_that_would_take_boards_out_of_their_aim() -> None:
    """A dead stack of damp boards; the loft would dry it fast, and far past the aim."""
    view = glue_up(board(laid("dead-stacked"), pct=12.0, days=2), loft=(27.0, 15.0))
    found = advise(view)
    assert found.days.middle[0] != found.days.middle[0] or found.days.middle[0] > 60
    assert found.when is not None
    assert found.when.key == "glue-when-season"
    assert [way.how for way in found.sooner] == ["stickered"]
    assert found.sooner[0].saves_days == np.inf


def test_a_damp_room_never_dries_them_and_a_dry_one_never_wets_them() -> None:
    """The room is last, decides nothing, and asks for a wrap where boards are right and it is not."""
    for bench, side in (((21.0, 15.0), "dry"), ((21.0, 75.0), "damp")):
        found = advise(glue_up(board(pct=8.0), bench=bench))
        assert found.word == "ready"
        line = found.lines[-1]
        assert (line.question, line.word) == ("room-against-boards", None)
        assert line.caution is not None
        assert line.caution.values["side"] == side
        assert line.figures["apart_pct_low"] < line.figures["apart_pct"] < line.figures["apart_pct_high"]
    wet = asked(glue_up(board(pct=12.0), bench=(21.0, 40.0)), "room-against-boards")
    assert (wet.caution, keys(wet)) == (None, ["glue-room-apart"]), "this air brings it where it belongs"


def test_a_board_that_nobody_saw_for_long_is_less_sure() -> None:
    """Wrapped, and unseen for twelve days: it may lie open in a dry room by now, so it is measured before gluing."""
    wrapped = board(laid("wrapped"), pct=6.6, days=14, air=(21.0, 15.0), fresh=False)
    found = advise(glue_up(wrapped, bench=(21.0, 15.0)))
    assert [(lot, said.key) for lot, said in found.if_still] == [("b-1", "lot-if-still")]
    assert (found.word, found.why.key) == ("look", "glue-aim-unsure")
    seen = board(laid("wrapped"), laid("confirmed", 13.9), pct=6.6, days=14, air=(21.0, 15.0), fresh=False)
    sure = advise(glue_up(seen, bench=(21.0, 15.0)))
    assert sure.if_still == ()
    one, other = (lines_of(advice)["boards-in-aim"].figures for advice in (found, sure))
    assert one["mean_pct_low"] < other["mean_pct_low"]


def test_alike_by_a_doubtful_figure_only_looks() -> None:
    """The reference table calls 2 % between pieces doubtful; structural laminating allows about 5."""
    rows = list(csv.DictReader((REFERENCE / "adhesive_limits.csv").read_text().splitlines()))
    (row,) = (row for row in rows if row["topic"] == "MC difference")
    assert "DOUBTFUL" in row["provenance"]
    far = asked(glue_up(board(pct=9.8), board(pct=6.6, name="b-2")), "boards-alike")
    assert (far.word, far.limit.figures["most_pct"] if far.limit else None) == ("look", float(row["max"]))
    assert far.figures["wettest"] == "b-1"
    near = asked(glue_up(board(pct=8.8), board(pct=7.6, name="b-2")), "boards-alike")
    assert near.word == "ready"
    assert near.figures["apart_pct_low"] < near.figures["apart_pct"] < near.figures["apart_pct_high"]


@pytest.mark.parametrize("key", families())
def test_no_doubtful_row_of_any_family_says_act(key: str) -> None:
    """Only a sheet or a row that was read may forbid: cold, dry and damp wood and a cold room in every family."""
    family = families()[key]
    for view in (
        glue_up(board(air=(2.0, 50.0)), bench=(2.0, 50.0), adhesive=key),
        glue_up(board(pct=3.0, air=(2.0, 50.0)), board(pct=17.0, name="b-2"), adhesive=key),
    ):
        for line in advise(view).lines:
            hard = line.question in {"warm-enough", "air-holds"} and family.limits["lowest-temperature"].hard
            assert hard or line.word != "act", (key, line.question)
    cold = advise(glue_up(board(air=(2.0, 50.0)), bench=(2.0, 50.0), adhesive=key))
    assert (cold.word == "act") == family.limits["lowest-temperature"].hard


def test_the_sheet_takes_the_place_of_the_family() -> None:
    """At 9 °C a family that is only recalled looks; a sheet that allows 8 °C is ready, one that asks 12 °C acts."""
    for sheet, expected in ((None, "look"), ({"lowest_c": 8}, "ready"), ({"lowest_c": 12}, "act")):
        view = glue_up(board(air=(9.0, 50.0)), bench=(9.0, 50.0), adhesive="polyurethane", sheet=sheet)
        assert word(view, "warm-enough") == expected
        line = asked(view, "warm-enough")
        assert line.limit is not None
        assert ("maker's sheet" in line.limit.source) == (sheet is not None)
        assert line.caution is not None


def test_an_act_names_a_piece_and_a_deed() -> None:
    """Bring the boards in and wait for the wood; the room is warm long before."""
    found = advise(glue_up(board(air=(4.0, 60.0)), bench=(20.0, 30.0)))
    assert (found.word, found.title.values["what"]) == ("act", "wood")
    assert (found.why.key, found.why.values["names"]) == ("glue-warm-bring", "B-1")
    assert found.when is not None
    figures = lines_of(found)["warm-enough"].figures
    assert figures["wood_c"] == pytest.approx(4.0, abs=0.01)
    assert figures["wood_c_low"] < figures["wood_c"] < figures["wood_c_high"]


def test_cold_wood_is_not_sent_into_a_room_that_does_not_warm_it() -> None:
    """Wood at 6 °C, room at 9 °C, a glue that is sure of itself from 13 °C: the room first, however long it lies."""
    found = advise(glue_up(board(air=(6.0, 50.0)), bench=(9.0, 50.0)))
    assert (found.word, found.title.values["what"], found.why.key) == ("act", "air", "glue-warm-heat")


def test_wood_comes_after_its_air_as_newton_has_it() -> None:
    """Independent: forward steps of dT/dt = (air - T) / lag, with the board's own lag; the glue's behind its shelf."""
    view = glue_up(board(air=(4.0, 60.0)), bench=(20.0, 30.0))
    wood = view.boards[0].held.wood
    lag_s, t, c = float(middle_boards(wood.stock, wood.belief).heat_lag_s[0]), 0.0, view.boards[0].temperature_c
    while c < 13.0:
        t, c = t + 1.0, c + (20.0 - c) / lag_s
    assert 86_400 * warm_days(view).middle[0] == pytest.approx(t, abs=5)
    shelf = room("loft", lambda day: (20.0 if day < 0.5 else 4.0, 40.0), START_MS + 86_400_000)
    c = 20.0
    for _ in range(12 * 3600):
        c += (4.0 - c) / BOTTLE_LAG_S
    assert behind_c(shelf, BOTTLE_LAG_S) == pytest.approx(c, abs=1.0)


def test_a_cold_night_in_the_clamps_is_seen_ahead() -> None:
    """Warm at noon, cold each midnight: four hours are fine, fourteen are not; by night it is wood at noon again."""
    assert word(glue_up(bench=nights(2.0), clamp_h=4), "air-holds") == "ready"
    cold = advise(glue_up(bench=nights(2.0), clamp_h=14))
    assert (cold.word, cold.title.key) == ("act", "glue-air-cold-title")
    assert cold.when is not None
    assert cold.when.key == "glue-when-heated", "no fourteen hours of such days are warm"
    line = lines_of(cold)["air-holds"]
    assert line.figures["coldest_c"] == pytest.approx(2.0, abs=0.1)
    assert line.figures["coldest_c_low"] < 2.0 < line.figures["coldest_c_high"]


def test_glue_that_gels_needs_warmth_until_the_clamps_are_on() -> None:
    """Hide glue comes hot from its pot and gels as it cools (Wood Handbook Table 10-3, as in adhesives.csv): a cold
    room is against gluing now, a cold night in the clamps is not."""
    for c, said in ((19.5, "look"), (20.2, "ready"), (21.0, "ready")):  # 20 to 21 °C from memory: no half degree counts
        warm = glue_up(board(air=(c, 50.0)), adhesive="hide", bench=(c, 50.0))
        assert word(warm, "warm-enough") == said, c
    cold = glue_up(board(air=(14.0, 50.0)), adhesive="hide", bench=(14.0, 50.0))
    found = advise(cold)
    assert (found.word, found.title.values["what"]) == ("look", "air")
    assert lines_of(found)["warm-enough"].figures["glue_c"] is None
    night = glue_up(bench=nights(8.0), clamp_h=14, adhesive="hide", shelf="loft", loft=(10.0, 50.0))
    assert word(night, "air-holds") == "ready"
    assert "glue" not in {said.values.get("what") for said in asked(night, "warm-enough").said}
    assert word(glue_up(bench=nights(8.0), clamp_h=14, adhesive="cross-linking-pva"), "air-holds") == "look"


def test_the_clamp_time_is_asked_as_the_panel_will_be() -> None:
    """One-part polyurethane, 1 to 4 h by its row: what its panel would be told in the clamps is told before."""
    for clamp_h, sure in ((0.5, "yes"), (2.0, "no"), (4.0, None)):
        line = asked(glue_up(bench=(21.5, 40.0), adhesive="polyurethane", clamp_h=clamp_h), "air-holds")
        found = [said.values["sure"] for said in line.said if said.key == "glue-air-longer"]
        assert (line.word, found) == (("ready", []) if sure is None else ("look", [sure]))


def test_temperature_ahead_is_that_of_the_same_hours() -> None:
    """Limit: days that are all alike are told without error; and a drift of the last days goes on as their spread."""
    hours = np.arange(7 * 48 + 1) / 48
    swing = 18.0 + 4.0 * np.cos(2 * np.pi * hours)
    known = np.ones(swing.size, bool)
    found = temperature_ahead(swing, known, 96)
    assert found.middle == pytest.approx(18.0 + 4.0 * np.cos(2 * np.pi * np.arange(1, 97) / 48), abs=1e-6)
    assert np.ptp(found.high - found.middle) < 0.01
    noisy = swing + np.random.default_rng(1).normal(0, 1.0, swing.size)
    wide = temperature_ahead(noisy, known, 96)
    truth = noisy[-1] + np.diff(swing[-49:]).sum() + found.middle - swing[-1]
    inside = (wide.low <= truth) & (truth <= wide.high)
    assert inside.mean() > 0.7
    alone = temperature_ahead(swing[-2:], known[-2:], 4)
    assert (alone.high - alone.low > 0.9).all(), "nobody knows of any such day"


def test_the_coldest_of_a_clamp_time_is_told_nearer_by_the_outlook_than_by_last_weeks_hours() -> None:
    """Hindcasts of the demo's bench room, a third of a year: 16 h from any hour, the truth held out."""
    hour_ms, rng = 3_600_000, np.random.default_rng(7)
    missed, inside = [], []
    for _ in range(24):
        now_ms = START_MS - int(rng.integers(0, 120 * 24)) * hour_ms

        def c(t_ms: Any) -> Any:
            return workshop_air().at("bench-room", t_ms)[0]

        week, came = c(now_ms + np.arange(-7 * 48, 1) * hour_ms // 2), c(now_ms + np.arange(1, 33) * hour_ms // 2)
        hours = now_ms + np.arange(-60 * 24, 0) * hour_ms
        means = np.mean([c(hours + k * hour_ms // 6) for k in range(6)], axis=0)
        found = forecast(hours, means, now_ms, float(week[-1]), hours=32, utc_offset_h=-5.0, prior_half_width=3.0)
        empty = room("bench", lambda _: (20.0, 40.0), START_MS)
        by_outlook = warmth_ahead(replace(empty, warmth=found), 32)
        by_week = temperature_ahead(week, np.ones(week.size, bool), 32)
        missed.append([abs(float(one.middle.min() - came.min())) for one in (by_outlook, by_week)])
        inside.append(np.mean((by_outlook.low <= came) & (came <= by_outlook.high)))
    outlook_k, week_k = np.mean(missed, axis=0)
    assert outlook_k < week_k
    assert np.mean(inside) > 0.75


def test_the_year_of_the_house_is_its_own_record_and_the_aims_band_is_called_that() -> None:
    """Limit: a record that swings by half as much as the aim gives half the swing, and its own days."""
    view = glue_up(board(pct=8.0, width_mm=100), pieces=6)
    days = np.arange(START_MS // DAY_MS - 730, START_MS // DAY_MS) + 0.5
    turn = np.cos(2 * np.pi * (days - days[0]) / 365.2425)
    house = season_of(days, 20.0 + 0.0 * turn, 8.0 + 1.0 * turn)
    band, own = (asked(one, "year-of-width") for one in (view, replace(view, season=house)))
    assert (band.figures["air_from"], own.figures["air_from"]) == ("numbers", "record")
    assert (own.figures["air_lowest_pct"], own.figures["air_highest_pct"]) == pytest.approx((7.0, 9.0), abs=0.05)
    assert own.figures["swing_pct"] == pytest.approx(0.5 * band.figures["swing_pct"], rel=0.1)
    assert [said.values["of"] for line in (band, own) for said in line.said if said.key == "glue-year-of"] == [
        "numbers", "record"]  # fmt: skip
    short = replace(view, asked=view.asked.model_copy(update={"house_zone": "loft"}))
    assert [said.values["of"] for said in asked(short, "year-of-width").said if said.key == "glue-year-of"] == ["short"]


def test_cold_wood_in_damp_warm_air_would_sweat() -> None:
    """Dew point of 21 °C, 60 %: 12.9 °C (Magnus form, WMO No. 8 Annex 4.B constants, recalled)."""
    line = asked(glue_up(board(air=(8.0, 50.0)), bench=(21.0, 60.0)), "air-holds")
    magnus = np.log(0.60) + 17.62 * 21.0 / (243.12 + 21.0)
    assert line.figures["dew_point_c"] == pytest.approx(243.12 * magnus / (17.62 - magnus), abs=0.1)
    assert (line.word, keys(line)[0]) == ("look", "glue-air-sweats")


def test_faces_by_the_handbook_s_day() -> None:
    """24 h from planing to gluing at best: Wood Handbook ch. 10, memory; a rule of thumb that never forbids."""
    rows = csv.DictReader((REFERENCE / "adhesive_limits.csv").read_text().splitlines())
    (row,) = (row for row in rows if row["item"] == "planing or jointing to gluing, best")
    for days, expected in ((1.0, "ready"), (1.9, "ready"), (2.2, "look")):
        line = asked(glue_up(board(days=days)), "faces-fresh")
        assert (line.word, line.limit.figures["fresh_h"] if line.limit else 0) == (expected, float(row["max"]))
        assert line.figures["since_h"] == pytest.approx(24 * (days - 0.95), abs=0.5)
    assert asked(glue_up(board(fresh=False)), "faces-fresh").figures["since_h"] is None
    jointed = asked(glue_up(board(fresh=False), board(days=4.0, name="b-2"), jointed_h=0.5), "faces-fresh")
    assert (jointed.word, jointed.figures["since_h"]) == ("ready", 0.5), "the deed that was asked for can be told"


def test_the_year_against_the_damped_wave_and_a_finer_year() -> None:
    """The closed damped wave (Carslaw and Jaeger) for the swing of the mean; the solver in finer steps for mm."""
    view = glue_up(board(pct=8.0, width_mm=100), pieces=6)
    figures = asked(view, "year-of-width").figures
    swing = figures["highest_pct"] - figures["lowest_pct"]
    assert swing == pytest.approx(figures["wave_swing_pct"], rel=0.05)
    rh = [float(humidity_for_emc(20.0, pct)) for pct in (6.0, 10.0)]
    stock, bare = view.boards[0].held.wood.stock, covers.find("bare")
    panel = Panel(0.022, float(stock.specific_gravity[0]), float(stock.volumetric_shrinkage[0]), bare, bare)
    fine = panel_year(panel, Year(rh[0], rh[1], 20.0, 20.0, 46, 228), 8.0)
    across = across_width(species.find("cherry_black"), 0.0)
    low, high = (float(change(across, 600.0, 8.0, end.middle)) for end in (fine.lowest_pct, fine.highest_pct))
    assert figures["swing_mm"] == pytest.approx(high - low, abs=0.05)
    assert figures["swing_mm_low"] < figures["swing_mm"] < figures["swing_mm_high"]
    assert figures["clearance_mm"] == pytest.approx(figures["swells_mm"] + 0.5)
    for far, end, sign in (("swells_mm", fine.highest_pct.high, 1.0), ("shrinks_mm", fine.lowest_pct.low, -1.0)):
        known = sign * float(change(across, 600.0, 8.0, end))
        made = float(change(across, 600.0, 8.0, view.boards[0].mean["mean_pct_high"]))
        assert max(known, made) < figures[far] < known + made, "what the boards hold now is in doubt as well"
    assert figures["slot_mm"] == pytest.approx(figures["shrinks_mm"] + figures["swells_mm"] + 5.0)
    air = float(change(across, 600.0, 8.0, 10.0) - change(across, 600.0, 8.0, 6.0))
    assert figures["swing_mm"] < air, "thickness lets the wood follow with less"


def test_rings_and_drier_faces() -> None:
    """By the independent checks of tests/wood/test_strips.py: here signs, limits, and the drier face."""
    ways = {one["way"]: one for one in asked(glue_up(board(pct=8.0)), "rings").figures["ways"]}
    up, down, turned = ways["heart-up"], ways["heart-down"], ways["alternating"]
    assert up["cup_dry_mm"] < 0 < up["cup_damp_mm"], "drying, the side towards the bark goes hollow"
    assert up["cup_dry_mm"] == pytest.approx(-down["cup_dry_mm"], abs=0.02)
    assert turned["worst_mm"] < 0.2 * up["worst_mm"]
    assert (turned["wave_mm"] > 0.1, up["wave_mm"]) == (True, pytest.approx(0.0, abs=1e-9))
    quarter = {o["way"]: o for o in asked(glue_up(board(cut="quarter")), "rings").figures["ways"]}
    assert max(one["worst_mm"] for one in quarter.values()) < 0.05
    rift = {o["way"]: o for o in asked(glue_up(board(cut="rift")), "rings").figures["ways"]}
    assert rift["heart-up"]["worst_mm"] == pytest.approx(up["worst_mm"] * np.cos(np.pi / 4) ** 3, rel=0.05)


def test_a_drier_top_gives_its_hollow_back() -> None:
    """Flat on the bench in dry air the open top dries and would go hollow; glued and flattened so, it goes round by as
    much as it evens out: k w² / 8 of its own profile over the whole panel."""
    view = glue_up(board(laid("one-face"), pct=9.0, days=1.5, air=(21.0, 15.0), cut="quarter"))
    wood = view.boards[0].held.wood
    boards = middle_boards(wood.stock, wood.belief)
    across = view.boards[0].view.across()
    assert across is not None
    hollow = float(curvature_per_m(boards, wood.belief.middle().profile_pct, across.coefficient)[0]) * 0.6**2 / 8 * 1000
    assert hollow > 0.3, "the drier face is hollow"
    for one in asked(view, "rings").figures["ways"]:
        assert one["cup_dry_mm"] == pytest.approx(-hollow, abs=0.05)


def test_every_figure_has_its_spread_and_every_line_its_source() -> None:
    """Of each glue-up of the samples: ends on both sides, a source or a limit with one, titles of 24 letters."""
    for _, found in advised():
        assert [line.question for line in found.lines] == [question.name for question in QUESTIONS]
        for line in found.lines:
            assert line.sources or (line.limit and line.limit.source), line.question
            assert (line.word in {None, "ready"}) == (line not in found.against)
            for figures in (line.figures, *_inner(line.figures)):
                for key in [key for key in figures if f"{key}_low" in figures and figures[key] is not None]:
                    low, high = (figures[f"{key}_{end}"] for end in ("low", "high"))
                    assert low is None or low - 1e-9 <= figures[key], (line.question, key)
                    assert high is None or figures[key] <= high + 1e-9, (line.question, key)
        names = [question.name for question in QUESTIONS if not question.decides]
        assert all(lines_of(found)[name].word is None for name in names)


def _inner(figures: Any) -> list[dict[str, Any]]:
    return [one for value in figures.values() if isinstance(value, list) for one in value if isinstance(one, dict)]


def test_the_room_s_emc_is_never_said_to_be_the_boards_moisture() -> None:
    """What the air draws to stands in the room's question alone, under its own name."""
    view = glue_up(board(pct=8.0), bench=(21.0, 25.0))
    figures = asked(view, "room-against-boards").figures
    assert figures["room_emc_pct"] == pytest.approx(float(emc_pct(21.0, 0.25)), abs=0.01)
    assert figures["mean_pct"] == pytest.approx(view.boards[0].mean_pct)
    assert "emc" not in " ".join(asked(view, "boards-in-aim").figures)
