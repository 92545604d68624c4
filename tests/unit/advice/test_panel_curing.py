"""Curing and the rest before flattening: by the wood's own temperature, the maker's sheet first."""

from __future__ import annotations

from typing import Any

import pytest

from server.advice.asking import advise, ask_one, verdicts
from server.advice.base import Line, LotView
from server.wood.emc import emc_pct
from tests.unit.advice.lots_for_tests import seen
from tests.unit.advice.panels_for_tests import FLATTENED, WET, panel_seen

HOUR = 1 / 24
COLD_GLUE = {"lowest_c": 3.0, "clamp_h": [[4.0, 1.5]]}


def line(view: LotView, question: str) -> Line:
    found = ask_one(view, question, {})
    assert found is not None
    return found


def verdict(view: LotView) -> tuple[str, str]:
    found = advise(view)
    (again,) = verdicts([view])
    assert (again.word, again.title, again.why) == (found.word, found.title, found.why)
    return found.word, found.title.key


def test_in_warm_wood_the_published_hour_is_counted() -> None:
    """PVA, 70 °F: an hour in clamps, a day until cured (Wood magazine, Give the glue time, as in adhesives.csv)."""
    figures = line(panel_seen(days=0.5 + HOUR, air=lambda _: (21.1, 40.0)), "curing").figures
    assert figures["clamp_done"] == pytest.approx(1.0, abs=0.02)
    assert figures["cure_done"] == pytest.approx(1 / 24, rel=0.02)
    assert figures["cure_left_h"] == pytest.approx(23.0, abs=0.2)
    assert figures["wood_c"] == pytest.approx(21.1, abs=0.05)


def test_in_cool_wood_it_takes_its_doubling() -> None:
    """15 °F colder, twice as long: 1 h of 2 is half of it."""
    cool = panel_seen(days=0.5 + HOUR, air=lambda _: (21.1 - 8.33, 45.0))
    assert line(cool, "curing").figures["clamp_done"] == pytest.approx(0.5, abs=0.02)
    assert verdict(cool) == ("wait", "panel-cure-clamps-title")
    short = panel_seen(days=0.5 + HOUR, air=lambda _: (21.1 - 8.33, 45.0), clamp_h=1.5)
    assert verdict(short) == ("look", "panel-cure-longer-title")


@pytest.mark.parametrize(
    ("days", "c", "humidity", "how", "said"),
    [
        (0.5 + HOUR, 20.0, 40.0, {}, ("wait", "panel-cure-clamps-title")),
        (0.5 + HOUR, 5.0, 50.0, {}, ("act", "panel-cure-cold-title")),
        (0.5 + HOUR, 15.0, 50.0, {"adhesive": "hide"}, ("wait", "panel-cure-clamps-title")),
        (0.5 + HOUR, 5.0, 50.0, {"adhesive": "cross-linking-pva"}, ("look", "panel-cure-cold-title")),
        (0.5 + HOUR, 5.0, 50.0, {"sheet": COLD_GLUE}, ("wait", "panel-cure-clamps-title")),
        (0.5 + HOUR, 20.0, 12.0, {}, ("look", "panel-cure-dry-title")),
        (0.5 + HOUR, 20.0, 12.0, {"lying": "wrapped"}, ("wait", "panel-cure-clamps-title")),
        (0.75, 20.0, 40.0, {"clamp_h": 0.25}, ("look", "panel-cure-soon-title")),
        (0.75, 20.0, 40.0, {}, ("wait", "panel-cure-wait-title")),
        (4.0, 20.0, 40.0, {}, ("wait", "panel-flat-wait-title")),
        (12.0, 20.0, 40.0, {}, ("ready", "panel-flat-ready-title")),
        (12.0, 20.0, 65.0, {"received": WET}, ("look", "panel-flat-aim-title")),
        (2.0, 20.0, 40.0, {"adhesive": "epoxy"}, ("ready", "panel-flat-ready-title")),
    ],
)  # fmt: skip
def test_what_a_glued_panel_says(
    days: float, c: float, humidity: float, how: dict[str, Any], said: tuple[str, str]
) -> None:
    """A limit from memory asks to look; only one that was read, or a sheet's, asks to act. Hide glue gels as it cools
    (its row in adhesives.csv): in the clamps no cold is against it."""
    assert verdict(panel_seen(days=days, air=lambda _: (c, humidity), **how)) == said


def test_a_cold_night_after_the_clamps_is_no_alarm() -> None:
    """Clamped for its time in the warm, then a night at 5 °C: it cures no further, and there is nothing to be saved
    (common practice). A night that began in the clamps is an alarm still."""
    after = panel_seen(days=0.95, air=lambda d: (20.0, 45.0) if d < 0.75 else (5.0, 60.0))
    found = line(after, "curing")
    assert (found.word, found.said[0].key) == ("wait", "panel-cure-cool")
    assert verdict(after) == ("wait", "panel-cure-wait-title")
    night = lambda d: (20.0, 45.0) if d < 0.51 else (5.0, 60.0)  # noqa: E731
    assert verdict(panel_seen(days=0.63, clamp_h=14, air=night)) == ("act", "panel-cure-cold-title")
    assert verdict(panel_seen(days=0.95, clamp_h=14, air=night)) == ("look", "panel-cure-cold-title"), "late"


def test_what_was_cold_through_its_clamps_is_not_to_be_saved_and_not_to_be_trusted() -> None:
    """Common practice: glue that gave its water to cold wood closes to no film, and warmth later mends none. In its
    clamps it is told that warmth may come too late once it was cold for as long as the table's hour at its lowest
    temperature: doubled each 8.33 K, 3.2 h at 7 °C."""
    cold = lambda _: (4.0, 50.0)  # noqa: E731
    begun, late = (line(panel_seen(days=d, air=cold, clamp_h=12), "curing") for d in (0.5 + 3 * HOUR, 0.5 + 4 * HOUR))
    assert [(one.word, one.said[0].values["late"]) for one in (begun, late)] == [("act", "no"), ("look", "yes")]
    after = panel_seen(days=0.75, air=cold)
    assert verdict(after) == ("look", "panel-cure-doubt-title")
    assert line(after, "curing").figures["clamped_cold_h"] == pytest.approx(2.0, abs=0.01)
    warmed = panel_seen(days=14.0, air=lambda d: (4.0 if d < 0.75 else 20.0, 45.0))
    assert line(warmed, "curing").figures["cured"]
    assert verdict(warmed) == ("look", "panel-cure-doubt-title"), "cured or not, nobody has tried a joint"
    assert (line(warmed, "flatten").word, line(warmed, "flatten").said[0].key) == (None, "panel-flat-doubt")
    begins_cold = panel_seen(days=4.0, clamp_h=12, air=lambda d: (4.0 if d < 0.56 else 20.0, 45.0))
    assert verdict(begins_cold) == ("wait", "panel-flat-wait-title"), "it had its hours in the warm, in its clamps"
    for glue in ("hide", "epoxy"):
        assert verdict(panel_seen(days=2.6, air=cold, adhesive=glue))[1] != "panel-cure-doubt-title", glue


def test_rest_counts_from_the_clamps_and_by_the_sheet() -> None:
    rest = line(panel_seen(days=4.0, clamp_h=12.0), "flatten").figures
    assert rest["rested_days"] == pytest.approx(3.0)
    assert rest["left_days_high"] == pytest.approx(rest["rest_days_high"] - 3.0)
    by_sheet = panel_seen(days=4.0, clamp_h=12.0, sheet={"rest_days": 2.0})
    assert verdict(by_sheet) == ("ready", "panel-flat-ready-title")
    epoxy = line(panel_seen(days=2.0, adhesive="epoxy"), "flatten")
    assert [(one.key, one.values.get("water")) for one in epoxy.said] == [("panel-flat-ready", "no")], "brings no water"


def test_the_water_of_its_glue_says_how_long_it_rests() -> None:
    """Less than the published week in light wood, that week at most in a room (Wengert, as in adhesives.csv), more by
    its rate in a cold one; hide glue brings more water, film over its faces keeps it in."""
    room, cold, hide, wrapped = (
        line(panel_seen(days=4.5, **how), "flatten").figures
        for how in ({}, {"air": lambda _: (10.0, 42.0)}, {"adhesive": "hide"}, {"lying": "wrapped"})
    )
    assert 1.0 < room["rest_days_low"] < room["rest_days"] < room["rest_days_high"] < 7.0
    for slower in (cold, hide, wrapped):
        assert slower["rest_days"] > 1.2 * room["rest_days"]
        assert slower["line_stands_out_mm"] > room["line_stands_out_mm"]
    assert hide["rest_days_high"] == pytest.approx(7.0, abs=0.1)
    assert 50 < room["line_water_g_m2_low"] < room["line_water_g_m2"] < room["line_water_g_m2_high"] < 140
    later = line(panel_seen(days=8.5), "flatten").figures
    assert later["rest_days"] == pytest.approx(room["rest_days"], rel=0.05), "whenever it is asked"
    assert later["line_stands_out_mm"] < room["line_stands_out_mm"]
    assert later["line_stands_out_mm_high"] < 0.025


def test_flattened_too_soon_it_waits_before_the_sanding() -> None:
    early = panel_seen((2.0, FLATTENED), days=4.0)
    assert line(early, "flatten").title is not None
    assert line(early, "flatten").word == "wait"
    assert line(panel_seen((2.0, FLATTENED), days=20.0), "flatten").word is None
    under = panel_seen((2.0, FLATTENED), (3.0, {"kind": "finished", "cover": "shellac-3"}), days=4.0)
    assert (line(under, "flatten").word, line(under, "flatten").said[0].values["stage"]) == (None, "finished")
    assert ask_one(under, "stop-now", {}) is None, "film would stick to its finish"
    assert ask_one(panel_seen((2.0, {"kind": "finished", "cover": "shellac-3"}), days=4.0), "flatten", {}) is None
    late = line(panel_seen((9.0, FLATTENED), days=12.0), "flatten")
    assert (late.word, late.said[0].key) == (None, "panel-flat-done")


def test_a_lot_is_not_asked_what_only_a_panel_is() -> None:
    assert ask_one(seen(days=1), "curing", {}) is None
    assert "curing" not in {one.question for one in advise(seen(days=1)).lines}
    assert "good-to-mill" not in {one.question for one in advise(panel_seen(days=4.0)).lines}


def test_how_far_its_air_draws_its_faces_down_has_its_ends() -> None:
    """Against the EMC of the week that is taken to go on, where nobody foretells the room."""
    spell = panel_seen(days=7.5, glued=7.4, air=lambda d: (20.0, 60.0 if d < 0.5 else 12.0))
    figures = line(spell, "curing").figures
    assert spell.held is not None
    mean = spell.held.mean_pct
    assert figures["faces_drier_pct"] == pytest.approx(mean - float(emc_pct(20.0, 0.12)), abs=0.2)
    assert figures["faces_drier_pct_low"] < figures["faces_drier_pct"] < figures["faces_drier_pct_high"]
