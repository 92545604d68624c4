"""A sheet of plies: laminate theory in the plane, plane sheets behind covers, balance, mirrors, published limits."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from server.wood import covers
from server.wood.boards import film_through
from server.wood.faced_sheet import Bent, Ends, FacedSheet, Wooden, bent, has_figures, humidities
from server.wood.layers import Layer, laminate
from server.wood.plies import Ply, bend, settled_per_m, uptake
from server.wood.sheet_goods import product
from server.wood.species import NotPublished, find

MM = st.floats(0.3, 20).map(lambda mm: mm / 1000)
STIFF = st.floats(300, 15_000)
FREE = st.floats(-0.01, 0.01)
FILM = st.floats(1e-12, 1e-7)
CHERRY = find("cherry_black")
VENEER = Wooden(CHERRY, 0.0006, "along")


@st.composite
def plies(draw: st.DrawFn) -> Ply:
    t = draw(MM)
    along, across = (Layer(t, draw(STIFF), draw(FREE)) for _ in range(2))
    most = min(0.5, 0.9 * (along.modulus_mpa / across.modulus_mpa) ** 0.5)
    return Ply(along, across, draw(st.floats(1e7, 1e11)), draw(st.floats(1e-3, 1.0)), draw(st.floats(0, most)))


def of_core(thickness_m: float = 0.018, strain: float = -0.0006) -> Ply:
    layer = Layer(thickness_m, 3590, strain)
    return Ply(layer, layer, 25 * thickness_m / 1.95e-10, 800 * thickness_m * 0.02)


def test_one_veneer_on_a_core_is_timoshenkos_strip_both_ways() -> None:
    """J. Opt. Soc. Am. 11 (1925) p. 233, eq. 4 (memory), by hand along and across."""
    core = of_core()
    veneer = Ply(Layer(0.0006, 11_330, -0.00018), Layer(0.0006, 974, -0.0074), 1.5e8, 0.01)
    for way, found in zip(("along", "across"), settled_per_m([veneer, core]), strict=True):
        one, other = getattr(veneer, way), getattr(core, way)
        m, n = one.thickness_m / other.thickness_m, one.modulus_mpa / other.modulus_mpa
        h, apart = one.thickness_m + other.thickness_m, other.free_strain - one.free_strain
        by_hand = 6 * apart * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))
        assert found == pytest.approx(by_hand, rel=1e-9)


def in_the_plane(each: list[Ply]) -> np.ndarray:
    """Curvatures by the textbook's compliances, reduced stiffnesses and thermal loads, ply by ply with its faces' z.
    Written here from Jones, Mechanics of Composite Materials, ch. 2 and 4 (recalled)."""
    abd, loads, z0 = np.zeros((4, 4)), np.zeros(4), -0.5 * sum(ply.along.thickness_m for ply in each)
    for ply in each:
        e1, e2, z1 = ply.along.modulus_mpa, ply.across.modulus_mpa, z0 + ply.along.thickness_m
        q = np.linalg.inv([[1 / e1, -ply.poisson / e1], [-ply.poisson / e1, 1 / e2]])
        free = q @ [ply.along.free_strain, ply.across.free_strain]
        first, second, third = z1 - z0, (z1**2 - z0**2) / 2, (z1**3 - z0**3) / 3
        abd += np.block([[q * first, q * second], [q * second, q * third]])
        loads += np.concatenate([free * first, free * second])
        z0 = z1
    return np.linalg.solve(abd, loads)[2:]


@settings(max_examples=60)
@given(st.lists(plies(), min_size=1, max_size=5))
def test_it_is_laminate_theory_written_otherwise(every: list[Ply]) -> None:
    size = 0.03 / sum(p.along.thickness_m for p in every)
    assert settled_per_m(every) == pytest.approx(in_the_plane(every), rel=1e-6, abs=1e-8 * size)


@settings(max_examples=40)
@given(st.lists(plies(), min_size=1, max_size=5), st.floats(0.0, 0.45))
def test_limits_of_poissons_effect(every: list[Ply], ratio: float) -> None:
    """Without it, the strip of :mod:`server.wood.layers` both ways; and so, too, where all plies are alike both ways
    and have the same ratio, whatever that is."""
    size = 0.03 / sum(p.along.thickness_m for p in every)
    without = [replace(ply, poisson=0.0) for ply in every]
    strips = [laminate([getattr(ply, way) for ply in every]).curvature_per_m for way in ("along", "across")]
    assert settled_per_m(without) == pytest.approx(strips, rel=1e-6, abs=1e-8 * size)
    even = [replace(p, across=replace(p.along, free_strain=p.across.free_strain), poisson=ratio) for p in every]
    strips = [laminate([getattr(ply, way) for ply in even]).curvature_per_m for way in ("along", "across")]
    assert settled_per_m(even) == pytest.approx(strips, rel=1e-6, abs=1e-8 * size)


def test_what_poissons_effect_changes_of_a_veneered_sheet() -> None:
    """Black cherry's 0.428 (Wood Handbook Table 5-2, memory) on fibreboard with 0.25: 3 % of the hollow over the grain,
    a quarter of the weaker one along it, which is why it is in."""
    core = replace(of_core(strain=-0.00058), poisson=0.25)
    veneer = Ply(Layer(0.0006, 11_330, -0.00018), Layer(0.0006, 980, -0.0070), 1.5e8, 0.01, 0.428)
    along, across = settled_per_m([veneer, core])
    assert (along, across) == pytest.approx((-0.0077, 0.0200), abs=1e-4)


@settings(max_examples=40)
@given(st.lists(plies(), min_size=1, max_size=4), FILM, FILM)
def test_balanced_stays_flat_all_the_way_and_mirrored_bends_the_other_way(
    half: list[Ply], one: float, other: float
) -> None:  # fmt: skip
    balanced = [*half, *half[::-1]]
    found = bend(balanced, uptake(balanced, one, one, 500))
    size = 0.03 / sum(p.along.thickness_m for p in balanced)
    assert (*found.settled_per_m, *found.most_per_m) == pytest.approx((0, 0, 0, 0), abs=1e-6 * size)
    there, back = bend(half, uptake(half, one, other, 500)), bend(half[::-1], uptake(half[::-1], other, one, 500))
    for a, b in ((there.settled_per_m, back.settled_per_m), (there.most_per_m, back.least_per_m)):
        assert a == pytest.approx([-x for x in b], rel=2e-3, abs=1e-6 * size)


def test_a_sheet_on_a_bench_bends_as_the_series_has_it() -> None:
    """Crank 1975, eq. 2.67 (the plane sheet, one face sealed), its first moment summed here; the greatest of it is
    the same whatever the diffusivity. 32 cells are within half a per cent."""
    n = np.arange(400)
    b = (n + 0.5) * np.pi

    def moment(tau: float) -> float:
        # u = 1 - Σ 2 (-1)^n / b exp(-b² tau) cos(b x): ∫ u (x - 1/2) dx; sealed at x = 0
        of_cos = np.sin(b) / b * 0.5 + (np.cos(b) - 1) / b**2
        return float(-(2 * (-1.0) ** n / b * np.exp(-(b**2) * tau) * of_cos).sum())

    best = minimize_scalar(lambda ln: -moment(np.exp(ln)), bounds=(np.log(1e-3), np.log(2)), method="bounded")
    core = of_core()
    expected = 12 * moment(np.exp(best.x)) * core.along.free_strain / core.along.thickness_m
    found = bend([core], uptake([core], 0.0, 1.0, 500))
    assert found.settled_per_m == pytest.approx((0.0, 0.0), abs=1e-12)
    assert found.least_per_m == pytest.approx((expected, expected), rel=5e-3)
    assert found.most_per_m == (0.0, 0.0)
    assert expected < 0, "the bottom dries alone and goes hollow"
    diffusivity = core.along.thickness_m**2 * 500 / (core.resistance_m2_s_pa_kg * core.water_kg_m2)
    assert found.least_s[0] == pytest.approx(np.exp(best.x) * core.along.thickness_m**2 / diffusivity, rel=0.08)


def test_three_plies_behind_unlike_covers_take_up_what_scipy_says() -> None:
    """Independent: the same plies cut finely and stepped by scipy's LSODA, shares of each ply to 0.01."""
    veneer, core = Ply(Layer(0.003, 1000, -0.007), Layer(0.003, 1e4, 0.0), 6e8, 0.03), of_core(0.012)
    layers, films, step = [veneer, core, veneer], (3e-10, 2e-8), 500.0
    fine = 60
    r = np.repeat([p.resistance_m2_s_pa_kg / fine for p in layers], fine)
    c = np.repeat([p.water_kg_m2 / fine / step for p in layers], fine)
    g = np.concatenate([[1 / (1 / films[0] + r[0] / 2)], 2 / (r[1:] + r[:-1]), [1 / (1 / films[1] + r[-1] / 2)]])

    def rate(_: float, u: np.ndarray) -> np.ndarray:
        return np.diff(g * np.diff(np.concatenate([[1.0], u, [1.0]]))) / c

    taken = uptake(layers, *films, step)
    some = taken.times_s[80:220:20]
    solved = solve_ivp(
        rate, (0, some[-1]), np.zeros(len(c)), "LSODA", t_eval=some, rtol=1e-7, atol=1e-9, lband=1, uband=1
    )
    ends = np.cumsum((0, *taken.counts))
    ours = np.array([taken.shares[80:220:20, a:b].mean(axis=1) for a, b in pairwise(ends)])
    theirs = solved.y.T.reshape(len(some), 3, fine).mean(axis=2).T
    assert ours == pytest.approx(theirs, abs=0.01)
    assert theirs.max() > 0.9
    assert theirs.min() < 0.1


def of(**more: object) -> Bent:
    return bent(replace(FacedSheet(product("mdf"), 0.018), **more), 0.6, 0.4)  # type: ignore[arg-type]


def test_a_face_veneered_alone_goes_hollow_across_its_grain_as_it_dries() -> None:
    found = of(top=(VENEER,))
    assert found.across.settled.low > 0 > found.along.settled.high
    turned = of(top=(replace(VENEER, grain="across"),))
    assert turned.along.settled.middle == pytest.approx(found.across.settled.middle)
    below = of(bottom=(VENEER,))
    assert below.across.settled.middle == pytest.approx(-found.across.settled.middle)
    assert (found.across.worst[0], below.across.worst[0]) == ("top", "bottom")
    for ends in (found.along.settled, found.across.settled, found.across.top, found.across.bottom):
        assert ends.low <= ends.middle <= ends.high


def test_the_same_on_both_faces_leaves_it_flat_and_a_cover_on_one_bends_it_for_a_time() -> None:
    flat = of(top=(VENEER,), bottom=(VENEER,))
    for ends in (flat.along.settled, flat.across.settled, flat.along.top, flat.across.bottom):
        assert (ends.middle, ends.low, ends.high) == pytest.approx((0, 0, 0), abs=1e-9)
    r = covers.find("alkyd-oil-paint").resistance_m2_s_pa_kg
    paint = Ends(r, r / 2, 2 * r)
    painted = of(top_cover=paint)
    assert painted.across.settled.middle == pytest.approx(0.0, abs=1e-12)
    assert painted.across.bottom.low > painted.across.top.high, "the open bottom dries first and goes hollow"
    assert 0.2 < painted.across.bottom_days < 10
    both = of(top_cover=paint, bottom_cover=paint)
    assert both.across.worst[1].middle == pytest.approx(0.0, abs=1e-9)
    bench = of(top_cover=Ends(*(3 * [float("inf")])))
    assert bench.across.bottom.middle > painted.across.bottom.middle


def test_humidities_are_those_of_the_aim_as_far_as_the_core_is_published() -> None:
    dry, damp = humidities(product("mdf"), 6.0, 10.0) or (0.0, 0.0)
    assert (dry, damp) == pytest.approx((0.30, 0.54), abs=0.02)
    assert humidities(product("mdf"), 2.0, 4.0) is None, "below 30 % nothing is published"
    assert has_figures(product("plywood"))
    assert not has_figures(product("hardboard"))


def test_what_cannot_be_is_refused() -> None:
    core = of_core()
    with pytest.raises(ValueError, match="plies: found none; would be right: one or more"):
        uptake([], 1e-8, 1e-8, 500)
    with pytest.raises(ValueError, match="found 0 and 0; would be right: one face that passes something"):
        uptake([core], 0.0, 0.0, 500)
    with pytest.raises(ValueError, match="pressure_pa: found 0; would be right: above 0 to 10,000 Pa"):
        uptake([core], 1e-8, 1e-8, 0)
    with pytest.raises(ValueError, match="plies: found 2; would be right: 1, those whose uptake it is"):
        bend([core, core], uptake([core], 1e-8, 1e-8, 500))
    with pytest.raises(ValueError, match=r"across\.thickness_m: found 0\.01 and 0\.02 m"):
        Ply(Layer(0.01, 1000, 0.0), Layer(0.02, 1000, 0.0), 1e9, 0.1)
    with pytest.raises(ValueError, match="water_kg_m2: found -1"):
        replace(core, water_kg_m2=-1)
    with pytest.raises(ValueError, match=r"poisson: found 1\.2; would be right: 0 to 0\.99 by these moduli"):
        replace(core, poisson=1.2)
    with pytest.raises(ValueError, match="core: found 'osb'; would be right: a product whose movement is published"):
        of(core=product("osb"))
    with pytest.raises(ValueError, match=r"core_m: found 18; would be right: .*0\.3 to 300 mm"):
        of(core_m=18.0)
    with pytest.raises(ValueError, match=r"damp_rh, dry_rh: found 0\.4 and 0\.6; .*30 to 90 % as fractions"):
        bent(FacedSheet(product("mdf"), 0.018), 0.4, 0.6)
    with pytest.raises(NotPublished):
        of(top=(replace(VENEER, species=replace(CHERRY, specific_gravity=None)),))
    assert film_through(float("inf")) == 0.0
