"""Every pure function that takes a physical figure refuses what cannot be: by name, with what was found, the range and
the unit. One good call a function; each of its arguments is then given everything that is wrong with it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

import numpy as np
import pytest

from server.wood import adhesive, covers, glass, meter, milling, mould, rust, salts, sheet_goods, species, water
from server.wood.air_series import AirSeries
from server.wood.boards import Boards, film_through
from server.wood.cup import cup_course, cup_mm, ring_cup_mm, ring_curvature_per_m
from server.wood.diffusivity import diffusivity_m2_s
from server.wood.emc import emc_pct
from server.wood.lag import first_order
from server.wood.maker_sheet import Sheet
from server.wood.moisture import Moisture
from server.wood.movement import across_width, change, diamond_rad, slot_mm
from server.wood.offers import Offer, cost
from server.wood.panel import Panel, panel_year
from server.wood.resaw import resaw
from server.wood.restraint import held
from server.wood.settle import Piece, growing_edges, settle
from server.wood.strips import ring_bend_per_m, shape_of
from server.wood.transport import advance
from server.wood.year import Year

NO_NUMBER = (np.nan, np.inf, -np.inf)
CHERRY = species.find("cherry_black")
FLAT = across_width(CHERRY, 0.0)
BOARD = {"thickness_m": 0.025, "specific_gravity": 0.47, "volumetric_shrinkage": 0.115}
BOARDS = Boards.of(**BOARD)
EVEN = Moisture.even(BOARDS, 8.0)
DAY = AirSeries.constant([0.0, 43_200.0, 86_400.0], 20.0, 40.0)
YEAR = Year(0.3, 0.6, 20.0, 20.0, 46.0, 228.0)
AIR = {"temperature_c": 21.0, "rh": 0.3}
SAID = r"found .+; would be right: .+"


class Call(NamedTuple):
    """A function, arguments it takes, and for each what it must refuse beyond what is no number at all."""

    of: Callable[..., Any]
    good: dict[str, Any]
    bad: dict[str, tuple[Any, ...]]
    name: str = ""


def of_bins(**given: Any) -> AirSeries:
    return AirSeries.of_bins([0.0, 1800.0, 3600.0], *(np.array([20.0, v], float) for v in given.values()))


def boards_settled(**given: Any) -> Any:
    piece = Piece(0.02, 0.5, 0.13)
    return settle(piece, **given)


CALLS = [
    Call(
        Boards.of,
        {**BOARD, "rate_factor": 1.0, "top_film": 2e-8, "bottom_film": 2e-8},
        {
            "thickness_m": (0, -0.02, 1.0, 25.0, [0.02, 0.0]), "specific_gravity": (0, 0.05, 1.2, 470.0),
            "volumetric_shrinkage": (-0.1, 0.5, 11.5), "rate_factor": (0, -1, 100), "top_film": (-1e-8, 2.0),
            "bottom_film": (-1e-8, 2.0),
        },
    ),
    Call(
        Piece,
        BOARD | {"cover_m2_s_pa_kg": 0.0},
        {
            "thickness_m": (0, 1.0, -0.02), "specific_gravity": (0, 1.2, 470.0), "volumetric_shrinkage": (-0.1, 11.5),
            "cover_m2_s_pa_kg": (-1.0,),
        },
    ),
    Call(partial(resaw, milling.stand(Piece(0.05, 0.5, 0.13), 10.0, 20.0, 0.4, 1.0)), {
        "kerf_m": 0.0015, "film": 2e-8, "top_m": 0.02, "coefficient": 0.00248, "width_m": 0.15,
    }, {
        "kerf_m": (-0.001, 1.0), "film": (-1e-8, 2.0), "top_m": (0, -0.01, 0.05), "coefficient": (-0.001, 0.248),
        "width_m": (0, 15.24),
    }, "resaw"),
    Call(film_through, {"air_film": 2e-8}, {}, "film_through"),
    Call(partial(Moisture.even, BOARDS), {"mc_pct": 8.0, "temperature_c": 20.0}, {
        "mc_pct": (-1, 300, 30.5), "temperature_c": (-60, 400),
    }, "Moisture.even"),
    Call(of_bins, {"temperature_c": 20.0, "humidity_pct": 40.0}, {
        "temperature_c": (-60, 400), "humidity_pct": (-1, 101, 300),
    }, "AirSeries.of_bins"),
    Call(diffusivity_m2_s, {"mc_pct": 8.0, "temperature_c": 20.0, **{k: BOARD[k] for k in list(BOARD)[1:]}}, {
        "mc_pct": (-1, 31, 300), "temperature_c": (-60, 400), "specific_gravity": (0, 1.2, 470.0),
        "volumetric_shrinkage": (-0.1, 11.5),
    }),
    Call(boards_settled, {"from_pct": 8.0, **AIR, "days": 0, "start_half_pct": 0.0}, {
        "from_pct": (-1, 300), "temperature_c": (-60, 400), "rh": (-0.1, 1.1, 30.0), "days": (-1, 100_000),
        "start_half_pct": (-1, 300),
    }, "settle"),
    Call(growing_edges, {"days": 1}, {"days": (-1, 100_000)}),
    Call(partial(cup_course, Piece(0.02, 0.47, 0.115), coefficient=0.00248), {
        "from_pct": 8.0, **AIR, "width_m": 0.15, "days": 0,
    }, {
        "from_pct": (-1, 300), "temperature_c": (400,), "rh": (-0.1, 30.0), "width_m": (0, -0.1, 15.24, 150.0),
        "days": (-1, 100_000),
    }, "cup_course"),
    Call(partial(cup_mm, BOARDS, EVEN.profile_pct, 0.00248), {"width_m": 0.15}, {"width_m": (0, -1, 15.24)}, "cup_mm"),
    Call(Year, {
        "dry_rh": 0.3, "damp_rh": 0.6, "dry_c": 20.0, "damp_c": 20.0, "driest_day": 46.0, "dampest_day": 228.0
    }, {
        "dry_rh": (-0.1, 0.7, 30.0), "damp_rh": (0.1, 60.0), "dry_c": (-60, 400), "damp_c": (-60, 400),
        "driest_day": (-1, 400, 220.0), "dampest_day": (-1, 400, 50.0),
    }),
    Call(partial(Panel, front=covers.find("bare"), back=covers.find("bare")), BOARD, {
        "thickness_m": (0, -0.02, 25.0), "specific_gravity": (0, 470.0), "volumetric_shrinkage": (-0.1, 11.5),
    }, "Panel"),
    Call(partial(panel_year, Panel(**BOARD, front=covers.find("bare"), back=covers.find("bare")), YEAR), {
        "made_pct": 8.0,
    }, {"made_pct": (-1, 300)}, "panel_year"),
    Call(partial(held, CHERRY, FLAT, 0.0), {"made_pct": 8.0, "low_pct": 6.0, "high_pct": 10.0}, {
        "made_pct": (-1, 300), "low_pct": (-1, 300), "high_pct": (-1, 300),
    }, "held"),
    Call(ring_curvature_per_m, {"tangential_strain": 0.01, "radial_strain": 0.005, "ring_radius_m": 0.1}, {
        "ring_radius_m": (0, -0.1),
    }),
    Call(shape_of, {"widths_m": [0.1, 0.1], "curvature_per_m": [0.1, -0.1]}, {
        "widths_m": ([0.0, 0.1], [2.0, 2.0], []),
    }),
    Call(
        ring_bend_per_m,
        {"tangential_strain": 0.01, "radial_strain": 0.005, "ring_angle_deg": 0.0, "ring_radius_m": 0.1},
        {"ring_angle_deg": (-1, 91), "ring_radius_m": (0, -0.1)},
    ),
    Call(ring_cup_mm, {"tangential_strain": 0.01, "radial_strain": 0.005, "ring_radius_m": 0.1, "width_m": 0.15}, {
        "ring_radius_m": (0, -0.1), "width_m": (0, 15.24),
    }),
    Call(partial(milling.mill, Piece(0.02, 0.47, 0.115), top_m=0.002, bottom_m=0.002), {
        "from_pct": 8.0, **AIR, "stood_days": 1.0, "coefficient": 0.00248, "width_m": 0.15,
    }, {
        "from_pct": (-1, 300), "temperature_c": (400,), "rh": (-0.1, 30.0), "stood_days": (-1, 100_000),
        "coefficient": (-0.001, 0.248), "width_m": (0, 15.24),
    }, "mill"),
    Call(milling.rip_crook_mm, {"test_crook_mm": 1.0, "test_length_m": 0.6, "length_m": 1.2}, {
        "test_crook_mm": (-1,), "test_length_m": (0, -1), "length_m": (0, -1),
    }),
    Call(milling.rip_oversize_mm, {"crook_mm": 1.0, "pass_mm": 1.0}, {"crook_mm": (-1,), "pass_mm": (-1,)}),
    Call(partial(change, FLAT), {"dimension": 300.0, "from_pct": 8.0, "to_pct": 12.0}, {
        "dimension": (-1,), "from_pct": (-1, 300), "to_pct": (-1, 300),
    }, "change"),
    Call(partial(across_width, CHERRY), {"ring_angle_deg": 0.0}, {"ring_angle_deg": (-1, 91)}, "across_width"),
    Call(partial(diamond_rad, CHERRY), {"ring_angle_deg": 45.0, "from_pct": 8.0, "to_pct": 12.0}, {
        "ring_angle_deg": (-1, 91), "from_pct": (-1, 300), "to_pct": (-1, 300),
    }, "diamond_rad"),
    Call(partial(slot_mm, FLAT), {
        "width_mm": 300.0, "now_pct": 8.0, "low_pct": 6.0, "high_pct": 10.0, "screw_mm": 5.0,
    }, {"width_mm": (0, -1, 15_240), "now_pct": (-1, 300), "low_pct": (-1, 300), "high_pct": (-1, 300)}, "slot_mm"),
    Call(partial(meter.for_temperature, 10.0), {"wood_c": 20.0}, {"wood_c": (-40, 90)}, "meter.for_temperature"),
    Call(partial(salts.salt("NaCl").air), {"temperature_c": 20.0}, {"temperature_c": (-1, 101)}, "Salt.air"),
    Call(partial(sheet_goods.emc_of_product_pct, "mdf"), AIR, {
        "temperature_c": (-60, 400), "rh": (-0.1, 30.0),
    }, "emc_of_product_pct"),
    Call(partial(sheet_goods.length_change_mm, "mdf"), {"length_mm": 1000.0, "from_pct": 8.0, "to_pct": 9.0}, {
        "length_mm": (0, -1, 15_240), "from_pct": (-1, 300), "to_pct": (-1, 300),
    }, "length_change_mm"),
    Call(partial(adhesive.family("pva").judge), {"mean_pct": 8.0, "wood_temperature_c": 20.0, "apart_pct": 1.0}, {
        "mean_pct": (-1, 300), "wood_temperature_c": (-60, 400), "apart_pct": (-1, 300),
    }, "Family.judge"),
    Call(partial(adhesive.family("pva").needs, "clamp"), {"wood_temperature_c": 20.0}, {
        "wood_temperature_c": (-60, 400),
    }, "Family.needs"),
    Call(Sheet, {"lowest_c": 5.0, "rest_days": 3.0}, {"lowest_c": (-60, 90), "rest_days": (-1, 1000)}),
    Call(partial(glass.surface_c, glass.GLAZINGS["single"]), {"indoor_c": 20.0, "outdoor_c": -10.0}, {
        "indoor_c": (-60, 90), "outdoor_c": (-60, 90),
    }, "glass.surface_c"),
    Call(mould.can_grow, {"surface_c": 10.0, "surface_rh": 0.8}, {"surface_c": (-60, 400), "surface_rh": (-1, 80.0)}),
    Call(rust.time_constant_s, {"mass_kg": 20.0, "area_m2": 1.0}, {"mass_kg": (0, -1, 1e6), "area_m2": (0, -1, 1e6)}),
    Call(partial(rust.iron_in, [0.0, 60.0], tau_s=3600.0), {
        "air_c": [20.0, 21.0], "rh": [0.5, 0.5], "start_c": 20.0,
    }, {"air_c": ([20.0, 90.0],), "rh": ([0.5, 50.0],), "start_c": (-60, 400)}, "iron_in"),
    Call(water.Room, {"volume_m3": 150.0, "air_changes_per_h": 0.5}, {
        "volume_m3": (0, -1, 1e9), "air_changes_per_h": (-1, 100),
    }),
    Call(partial(water.water_kg_per_day, water.Room(150.0, 0.5)), {
        "indoor_c": 20.0, "rh": 0.4, "outdoor_c": -5.0, "outdoor_rh": 0.8,
    }, {"indoor_c": (-60, 90), "rh": (-1, 40.0), "outdoor_c": (-60, 90), "outdoor_rh": (-1, 80.0)}, "water_kg_per_day"),
    Call(water.temperature_holding_c, {"aim_pct": 7.0, "pressure_pa": 760.0}, {
        "aim_pct": (0, 30, 300), "pressure_pa": (-1, 1e6),
    }),
    Call(Offer, {"label": "Oak", "quarters": 4, "width_in": 6.0, "length_in": 96.0, "price_per_bf": 5.0}, {
        "quarters": (0, 100), "width_in": (0, -1, 600.0), "length_in": (0, 1e4), "price_per_bf": (-1, 1e9),
    }),
    Call(partial(cost, Offer("Oak", 4, 6, 96, 5)), {"need_mm": 20.0, "kerf_mm": 1.5, "planing_mm": 5.0}, {
        "need_mm": (0, -1, 15_240), "kerf_mm": (-1, 100), "planing_mm": (-1, 100),
    }, "cost"),
]  # fmt: skip
TRIED = [
    pytest.param(call, argument, wrong, id=f"{call.name or call.of.__name__}-{argument}-{wrong}")  # type: ignore[attr-defined]
    for call in CALLS
    for argument, wrongs in call.bad.items()
    for wrong in (*wrongs, *(NO_NUMBER if not isinstance(call.good[argument], list) else ([np.nan, 1.0],)))
    if not (call.of is of_bins and np.isnan(wrong))  # an empty bin
    if not (argument == "ring_radius_m" and wrong == np.inf)  # rings that are straight
    if not (argument == "cover_m2_s_pa_kg" and wrong == np.inf)  # a cover that passes nothing
]


@pytest.mark.parametrize("call", CALLS, ids=lambda c: c.name or c.of.__name__)
def test_the_good_call_is_answered(call: Call) -> None:
    assert call.of(**call.good) is not None, "else its refusals would say nothing of the argument that was changed"


@pytest.mark.parametrize(("call", "argument", "wrong"), TRIED)
def test_what_cannot_be_is_refused_by_name(call: Call, argument: str, wrong: Any) -> None:
    with pytest.raises(ValueError, match=SAID):
        call.of(**{**call.good, argument: wrong})


@pytest.mark.parametrize(
    "lookup",
    [species.find, covers.find, salts.salt, sheet_goods.product, adhesive.family],
    ids=lambda f: f"{f.__module__}.{f.__name__}",
)
def test_a_word_that_no_table_has_is_refused_with_those_near_it(lookup: Callable[[str], Any]) -> None:
    for wrong in ("", "no such thing", "x" * 50):
        with pytest.raises(ValueError, match=SAID):
            lookup(wrong)


def test_text_where_a_number_belongs_is_named() -> None:
    with pytest.raises(ValueError, match=r"^width_m: found '600in'; would be right: 0.001 to 3 m \(1 to 3,000 mm\)$"):
        cup_mm(BOARDS, EVEN.profile_pct, 0.00248, "600in")
    with pytest.raises(ValueError, match=r"^mass_kg: found \[1, 'two'\]; would be right: above 0 to 5,000 kg$"):
        rust.time_constant_s([1, "two"], 1.0)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("times", "says"),
    [
        ([0, 60, 60], "found 60 s after 60 s; would be right: times that rise"),
        ([0, 60, 30], "found 30 s after 60 s; would be right: times that rise"),
        ([0, 60, np.nan], "found a time that is not a number; would be right: seconds, finite and rising"),
        ([0, 60, np.inf], "found a time that is not a number"),
        ([0, 60], "would be right: 2 of each"),
        ([0], "found 1 of them; would be right: two or more"),
    ],
)
def test_times_that_go_back_or_do_not_fit(times: list[float], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        AirSeries.between_records(times, [20.0, 20.0, 20.0], [40.0, 40.0, 40.0])
    with pytest.raises(ValueError, match="time_s: found"):
        first_order(times if len(times) > 2 else [0.0, 60.0, 60.0], [1.0, 1.0, 1.0], 60.0)


@pytest.mark.parametrize("step", [0.0, -1.0, np.nan])
def test_a_step_that_is_none_is_refused(step: float) -> None:
    with pytest.raises(ValueError, match=r"longest_step_s: found .* would be right: above 0 s"):
        advance(BOARDS, EVEN, DAY, longest_step_s=step)


def test_humidity_in_per_cent_where_a_fraction_belongs() -> None:
    with pytest.raises(ValueError, match=r"rh: found 50..50; would be right: 0..1 \(a fraction, not per cent\)"):
        emc_pct(20.0, 50.0)
