"""Families of adhesive: the rows, what was read about time and temperature, sheets in place of it, and refusals."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood.adhesive import UnknownFamily, families, family
from server.wood.maker_sheet import SHEET, Sheet

Rows = list[dict[str, str]]
KEYS = ["pva", "cross-linking-pva", "urea-formaldehyde", "epoxy", "polyurethane", "hide"]
LIMITS = {"mc", "mc-apart", "lowest-temperature", "clamp", "cure", "rest", "shelf", "spread", "solids"}
ROWS: Rows = list(
    csv.DictReader(files("server.wood").joinpath("adhesives.csv").read_text(encoding="utf-8").splitlines())
)
RANGES = {"% MC": (0, 30), "C": (-20, 40), "h": (0, 1000), "d": (0, 60), "g/m2": (0, 500), "%": (0, 100)}


def test_every_row_has_provenance_source_and_a_figure_in_range() -> None:
    assert list(families()) == KEYS
    for row in ROWS:
        assert row["source"], row
        assert row["provenance"].split(";")[0].split()[0] in {"read", "memory", "definition", "not"}, row
        ends = [float(row[key]) for key in ("low", "high") if row[key]]
        assert ends == sorted(ends), row
        assert all(RANGES[row["unit"]][0] <= end <= RANGES[row["unit"]][1] for end in ends), row
        assert ends or row["provenance"] in {"not found", "definition"} or row["limit"] == "shelf", row
    for one in families().values():
        assert set(one.limits) == LIMITS
        assert one.limits["shelf"].meaning


def test_doubtful_rows_forbid_nothing() -> None:
    for one in families().values():
        for limit in one.limits.values():
            assert not (limit.hard and ("DOUBTFUL" in limit.provenance or "no source" in limit.source))
        cold_and_wet = one.judge(19.0, -5.0, apart_pct=6.0)
        assert [f.verdict for f in cold_and_wet if not one.limits[f.limit].hard and f.verdict == "outside"] == []
    assert [f.verdict for f in family("pva").judge(19.0, -5.0)] == ["doubtful", "outside"]


def test_yellow_glue_as_read() -> None:
    """Read (woodmagazine.com/glues/give-the-glue-time): at 70 °F an hour in clamps and a day to full strength, doubled
    for each 15 °F below; works down into the mid-40s °F."""
    pva = family("pva")
    for fahrenheit, times in ((70, 1), (85, 1), (55, 2), (47.5, 2**1.5)):
        wood_c = (fahrenheit - 32) / 1.8
        clamp, cure = pva.needs("clamp", wood_c), pva.needs("cure", wood_c)
        assert (clamp.low_h, clamp.high_h) == pytest.approx((times, times), rel=0.01)
        assert (cure.low_h, cure.high_h) == pytest.approx((24 * times, 24 * times), rel=0.01)
        assert clamp.provenance == "read"
    frozen = pva.needs("clamp", 2.0)
    assert (frozen.low_h, frozen.high_h) == (None, None)
    assert (frozen.why, frozen.below_c) == ("too-cold", 7)
    assert "give-the-glue-time" in frozen.source


def test_between_the_coldest_published_limits_it_is_doubtful() -> None:
    """White glue about 55 °F, the Navy's manual 50 °F, yellow mid-40s: between 7 and 13 °C the make decides."""
    assert [family("pva").judge(8, t)[1].verdict for t in (5.0, 10.0, 15.0)] == ["outside", "doubtful", "inside"]


def test_where_nothing_is_published_it_says_so() -> None:
    uf = family("urea-formaldehyde").needs("clamp", 15.0)
    assert (uf.low_h, uf.high_h) == (None, None)
    assert (uf.why, uf.below_c) == ("longer", 21.1)
    assert family("urea-formaldehyde").needs("clamp", 22.0).high_h == 24
    epoxy = family("epoxy")
    assert epoxy.needs("cure", 20.0).why == "not-found"
    assert epoxy.limits["cure"].meaning == "set by the hardener: the sheet has it"
    assert epoxy.judge(8, 20)[1].verdict == "unknown"


def test_water_based_panels_rest_a_week_before_they_are_flattened() -> None:
    """Wengert (read): generally 7 days, or the swollen line is planed off and sinks afterwards."""
    assert {key for key in KEYS if families()[key].rest_days == (7, 7)} == {"pva", "cross-linking-pva", "hide"}
    assert family("epoxy").rest_days is None
    assert "sinks" in family("pva").limits["rest"].meaning


def test_the_sheet_takes_the_place_of_every_limit_it_states() -> None:
    sheet = Sheet(mc_pct=(5, 10), lowest_c=15, clamp_h=((15, 4), (25, 1)), cure_h=((20, 12),), rest_days=2)
    ours = family("epoxy").by(sheet)
    assert all(ours.limits[name].hard for name in ("mc", "lowest-temperature", "clamp", "cure", "rest"))
    assert ours.limits["mc-apart"] == family("epoxy").limits["mc-apart"]
    assert [f.verdict for f in ours.judge(11, 14.9)] == ["outside", "outside"]
    assert [f.verdict for f in ours.judge(10, 15)] == ["inside", "inside"]
    halfway = ours.needs("clamp", 20)
    assert halfway.low_h == pytest.approx(2.0)
    assert halfway.source == SHEET
    assert [ours.needs("clamp", t).low_h for t in (15, 25, 40)] == pytest.approx([4, 1, 1])
    assert (ours.needs("cure", 18).why, ours.needs("cure", 18).below_c) == ("sheet-silent", 20)
    assert (ours.needs("clamp", 10).why, ours.needs("clamp", 10).source) == ("too-cold", SHEET)
    assert ours.rest_days == (2, 2)
    assert family("epoxy").by(Sheet()) == family("epoxy")


@given(st.floats(10, 30), st.floats(0.1, 15), st.floats(0.1, 100), st.floats(1, 10), st.floats(0, 1))
def test_sheet_times_lie_between_their_points(t0: float, dt: float, fast_h: float, times: float, part: float) -> None:
    ours = family("polyurethane").by(Sheet(clamp_h=((t0, fast_h * times), (t0 + dt, fast_h))))
    hours = ours.needs("clamp", t0 + part * dt).low_h
    assert hours is not None
    assert fast_h * (1 - 1e-9) <= hours <= fast_h * times * (1 + 1e-9)


@given(st.sampled_from(KEYS), st.floats(-50, 100), st.floats(-50, 100))
def test_warmer_wood_never_needs_longer(key: str, a: float, b: float) -> None:
    cold, warm = (family(key).needs("clamp", t) for t in sorted((a, b)))
    if cold.high_h is not None:
        assert warm.high_h is not None
        assert warm.high_h <= cold.high_h
        assert math.isfinite(cold.high_h)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: family("PVC"), "adhesive: found 'PVC'; would be right: one of pva"),
        (lambda: family("pva").judge(-1, 20), "mean_pct: found -1; would be right: 0 to 200 % MC"),
        (lambda: family("pva").judge(8, 300), "wood_temperature_c: found 300; would be right: -50 to 100 °C"),
        (lambda: family("pva").judge(8, 20, apart_pct=-1), "apart_pct: found -1"),
        (lambda: family("pva").needs("cure", math.nan), "wood_temperature_c: found nan"),
        (lambda: Sheet(mc_pct=(10, 5)), r"mc_pct: found \(10, 5\); would be right: two figures, 0 to 30 % MC"),
        (lambda: Sheet(lowest_c=70), "lowest_c: found 70; would be right: -20 to 40 °C"),
        (lambda: Sheet(rest_days=-1), "rest_days: found -1; would be right: 0 to 60 days"),
        (lambda: Sheet(clamp_h=((20, 1), (10, 4))), "clamp_h: found .* coldest and longest first"),
        (lambda: Sheet(cure_h=((20, 0),)), "cure_h: found"),
    ],
)
def test_refusals(make: Callable[[], object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        make()
    assert issubclass(UnknownFamily, ValueError)


def test_limits_are_those_of_the_reference(published: Callable[[str], Rows]) -> None:
    """Wood Handbook ch. 10 as recalled in the reference: the ranges, and that they are doubtful, carried over."""
    recalled = {row["item"]: row for row in published("adhesive_limits")}
    bonds = recalled["range in which most wood adhesives bond satisfactorily"]
    apart = recalled["pieces glued to each other"]
    assert "DOUBTFUL" in bonds["provenance"]
    assert "DOUBTFUL" in apart["provenance"]
    for one in families().values():
        assert (one.limits["mc"].low, one.limits["mc"].high) == (float(bonds["min"]), float(bonds["max"]))
        assert one.limits["mc-apart"].high == float(apart["max"])
        assert "DOUBTFUL" in one.limits["mc"].provenance
        assert "DOUBTFUL" in one.limits["mc-apart"].provenance
    assert {row["item"] for row in published("adhesive_limits") if row["topic"] == "family"} == {
        "polyvinyl acetate (PVA)", "cross-linking polyvinyl acetate", "urea-formaldehyde", "epoxy",
        "one-part polyurethane", "animal (hide) glue",
    }  # fmt: skip
