"""A lot as advice sees it, made the real way: entries folded, the model run through made-up air, its view taken."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from server.advice.base import Held, LotView
from server.advice.view import veneers_of
from server.bins import BIN_MS
from server.lot_outlook import expected_air
from server.model.air import ShopAir
from server.model.run import Run, run
from server.model.unseen import ZoneHours, unseen
from server.model.woods import NONE, of_each
from server.reading import Aim
from server.shop.entries import Entry
from server.shop.journal import facts
from server.shop.lots import fold
from server.wood import species
from server.wood.air import saturation_pressure_pa
from server.wood.believed import settle_believed
from server.wood.emc import emc_pct
from server.wood.season import Season, season_of
from server.words import Telling

START_MS = 1_799_755_200_000
DAY_MS = 86_400_000
AIM = Aim(6.0, 10.0, "Heated rooms", "Wood Handbook FPL-GTR-190 Table 13-2")
BOARD: dict[str, Any] = {
    "kind": "received", "lot": "b-1", "name": "Rails", "species": "cherry_black", "thickness_mm": 25, "pieces": 8,
    "width_mm": 150, "length_mm": 2200, "zone": "bench", "start": {"kind": "metered", "mc_pct": 8.0},
    "aim": {"dry_limit_pct": 6, "damp_limit_pct": 10},
}  # fmt: skip
AirOf = Callable[[float], tuple[float, float]]


def told(day: float, number: int, deed: dict[str, Any]) -> Entry:
    """An entry so many days after the start."""
    t_ms = START_MS + round(day * DAY_MS)
    return Entry.model_validate({"id": f"entry-{number:03d}", "t_ms": t_ms, "recorded_ms": t_ms, "deed": deed})


def seen(
    *deeds: tuple[float, dict[str, Any]], days: float, air: AirOf = lambda _: (21.0, 30.0), aim: Aim = AIM,
    lot: str = "b-1", received: dict[str, Any] | None = None, loft: tuple[float, float] | None = None,
    season: Season | None = None,
) -> LotView:  # fmt: skip
    """The view of a lot after ``days`` in ``air`` (day -> °C, % RH), and of nobody knowing the air after that but by
    its ``season``. The ``loft`` has air of its own, or the same."""
    every = [(0.0, {**BOARD, **(received or {})}), *deeds]
    shop = fold(facts(told(day, i, deed) for i, (day, deed) in enumerate(every)))
    one, telling = shop.lots[lot], Telling(START_MS + round(days * DAY_MS), "Europe/Oslo", {"bench": "Bench room"})
    known = species.find(one.species) if one.species else None
    now_ms = START_MS + round(days * DAY_MS / BIN_MS) * BIN_MS
    programs = {name: each.acts for name, each in shop.lots.items() if each.acts}
    others = [other for other in shop.lots.values() if other.id != lot]
    alike = tuple(other for other in others if other.received.log and other.received.log == one.received.log)
    kin = tuple(other for other in others if other.received.lot == one.received.lot)
    if lot not in programs or now_ms == START_MS or one.ended:
        veneers = veneers_of(one, species.find)
        return LotView(one, aim, now_ms, telling, species=known, alike=alike, kin=kin, veneers=veneers)
    recorded = constant(air, START_MS, now_ms, loft)
    wood = run(Run(START_MS, NONE), programs, recorded, now_ms).woods.one(lot).caught_up()
    ahead = expected_air(constant(air, now_ms - 7 * DAY_MS, now_ms), "bench", (), season)
    off = unseen([one], of_each({lot: wood}), shop.away, now_ms, hours(recorded)).get(lot)
    found = settle_believed(
        wood.stock, wood.belief, ahead, aim_pct=(aim.dry_limit_pct, aim.damp_limit_pct), astray=off
    )  # fmt: skip
    held = Held(wood, ahead, found, off)
    return LotView(one, aim, now_ms, telling, held, known, alike, kin, away=shop.away)


def constant(air: AirOf, from_ms: int, to_ms: int, loft: tuple[float, float] | None = None) -> ShopAir:
    """The air of both zones, half hour by half hour."""
    ends = range(from_ms, to_ms + 1, BIN_MS)
    rows = np.array([air(max(0, end - START_MS) / DAY_MS) for end in ends])
    other = rows if loft is None else np.tile(np.array(loft, np.float64), (len(rows), 1))
    c, rh = (np.stack([rows[:, i], other[:, i]], axis=1) for i in (0, 1))
    pa = saturation_pressure_pa(c) * rh / 100.0
    return ShopAir(from_ms, ("bench", "loft"), c, pa, np.ones(c.shape, np.bool_))


def year_of(mean_pct: float, swing_pct: float) -> Season:
    """A season at 20 °C that was driest a year before the start of all lots here, with a month's worth of weather."""
    day = START_MS / DAY_MS + np.arange(-400.0, 0.0) + 0.5
    turn = 2.0 * np.pi * (day - START_MS / DAY_MS) / 365.2425
    weather = 0.5 * np.sin(day / 9.0)
    found = season_of(day, np.full(day.size, 20.0), mean_pct - swing_pct * np.cos(turn) + weather)
    assert found is not None
    return found


def hours(air: ShopAir) -> ZoneHours:
    """The same air as the record sums it up, here every half hour."""
    begins = air.from_ms + BIN_MS * np.arange(len(air.temperature_c) - 1)
    emc = emc_pct(air.temperature_c, air.pressure_pa / saturation_pressure_pa(air.temperature_c))[1:]
    sums = np.concatenate([np.zeros((1, emc.shape[1])), np.cumsum(emc, axis=0)])
    return ZoneHours({zone: (begins, sums[:, i]) for i, zone in enumerate(air.zones)})


def views() -> Iterator[LotView]:
    """Lots in every state that a sentence is made for."""
    damp = {"start": {"kind": "unknown", "mc_pct": 14.0}}
    yield seen(days=0)
    yield seen(days=1 / 24)
    yield seen(days=3, received={"species": None, "sheet": "particleboard"})
    yield seen(days=1, air=lambda _: (21, 40), received={"start": {"kind": "unknown", "mc_pct": 7.6}})
    yield seen(days=40, air=lambda _: (21, 40), received={"start": {"kind": "unknown", "mc_pct": 7.6}})
    yield seen(days=20, air=lambda _: (21, 40), received=damp)
    yield seen(days=20, air=lambda _: (21, 12), received=damp)
    yield passing()
    yield seen(
        (0.2, {"kind": "wrapped", "lot": "b-1"}), (0.3, {"kind": "confirmed", "lot": "b-1"}), days=12,
        air=lambda _: (21, 18), received={"start": {"kind": "metered", "mc_pct": 7.0}},
    )  # fmt: skip
    yield seen(days=2, air=lambda _: (21, 40), received={**damp, "thickness_mm": 100})
    yield seen(days=2, season=year_of(7.5, 1.5))
    yield from (seen(*deeds, days=days, received=received) for days, received, *deeds in _CAME_IN)
    yield from (seen(MILLED, laid("one-face"), days=1 / 12, received=wide) for wide in ({}, {"width_mm": 250}))


EVERYTHING = {
    "face_checks": "many", "twist": "some", "bow": "some", "loose_knots": "some", "bug_holes": "many",
    "sapwood": "some", "stain": "some", "damaged_edges": "many", "ends_sealed": False,
}  # fmt: skip
NOTHING_SEEN = {
    **dict.fromkeys(EVERYTHING, "none"), "ends_sealed": True,
}  # fmt: skip
FORK = (0.5, {"kind": "fork-tested", "lot": "b-1", "prongs": "pinch"})
MATE = (0.2, {**BOARD, "lot": "b-2", "name": "Stiles", "log": "log-7"})
SHEET: dict[str, Any] = {"species": None, "sheet": "particleboard"}
MDF: dict[str, Any] = {
    "species": None, "sheet": "mdf", "thickness_mm": 18.6, "width_mm": 600, "length_mm": 1200,
    "start": {"kind": "heated-store"},
}  # fmt: skip
VENEER: dict[str, Any] = {"laid": "veneer", "species": "cherry_black", "thickness_mm": 0.6}
_PAINT = {"laid": "paint", "cover": "alkyd-oil-paint"}
_MADE: tuple[dict[str, Any], ...] = (
    {"top": [VENEER], "bottom": [], "edges": "open"}, {"top": [VENEER], "bottom": [VENEER]},
    {"top": [_PAINT], "bottom": []}, {"top": [VENEER, _PAINT], "bottom": []}, {"top": [{"laid": "foil"}], "bottom": []},
    {"top": [{"laid": "laminate"}], "bottom": []}, {"top": [{"laid": "foil"}], "bottom": [_PAINT]},
    {"top": [{**VENEER, "thickness_mm": 0.1}], "bottom": [{**VENEER, "thickness_mm": 0.101}]}, {"top": []},
    {"bottom": []}, {"edges": "lipped"},
)  # fmt: skip
_OPEN = {"checklist": {"ends_sealed": False}}
_CAME_IN: tuple[Any, ...] = (
    (1, {"checklist": EVERYTHING, "log": "log-7"}, FORK, MATE),
    (1, {"checklist": NOTHING_SEEN, "log": "log-7"}),
    (1, {**SHEET, "checklist": {"sheet_flat": False}}),
    *((1, {**MDF, "construction": made}) for made in _MADE),
    (1, {**MDF, "checklist": {"sheet_flat": False}, "construction": {"edges": "lipped"}}),
    (1, {**MDF, "sheet": "osb", "construction": {"top": [VENEER], "bottom": []}}),
    (0, _OPEN),
    (3, {**_OPEN, "lying": "wrapped"}),
    (60, {**_OPEN, "thickness_mm": 5}),
)


MILLED = (1 / 24, {"kind": "milled", "lot": "b-1", "take_top_mm": 1.5, "take_bottom_mm": 1.5})


def passing() -> LotView:
    """Thin stock that dries through its aim and out of it."""
    return seen(
        days=1, air=lambda _: (21, 25), received={"thickness_mm": 12, "start": {"kind": "metered", "mc_pct": 12.0}}
    )


def laid(kind: str, day: float = 1 / 24) -> tuple[float, dict[str, Any]]:
    """How it lies from then on."""
    return day, {"kind": kind, "lot": "b-1"}


def ripped(day: float, crook_mm: float, *, knot: bool = False, **more: Any) -> tuple[float, dict[str, Any]]:
    """A test strip of 60 mm, ripped out of the lot itself unless ``more`` says otherwise."""
    strip = {"kind": "ripped", "lot": "b-1", "width_mm": 60, "pieces": 8, "crook_mm": crook_mm, "knot": knot}
    return day, {**strip, "test_length_mm": 1100, **more}


def asked() -> Iterator[tuple[LotView, str, dict[str, Any]]]:
    """Lots, and questions with something said, for what is not said otherwise."""
    straight = [ripped(0.1 * i, 0.1) for i in range(3)]
    yield seen(days=1), "received", {"fresh_dust": True}
    yield thick(7, 12.0, FORK), "received", {}
    for deeds in ([ripped(0.5, 1.0), ripped(0.6, 2.0, knot=True)], straight):
        for given in ({}, {"width_mm": 40}):
            yield seen(*deeds, days=1), "rip", given
    yield seen(ripped(0.5, 100.0), days=1), "rip", {}
    metered = {"start": {"kind": "metered", "mc_pct": 10.0}}
    for days, received, given in (
        (7, {}, {"take_top_mm": 4}),
        (7, {}, {"lying": "one-face", "allow_bow_mm": 0.5}),
        (7, {"lying": "one-face"}, {}),
        (3, {"thickness_mm": 12, "width_mm": 250, "lying": "one-face"}, {}),
        (7, {"checklist": {"twist": "some"}}, {}),
        *(
            (7, {"width_mm": 250, **pct}, {"bark_face": "top"})
            for pct in ({}, {"start": {"kind": "metered", "mc_pct": 4}})
        ),
        (7, {"width_mm": 250}, {}),
    ):
        yield seen(days=days, received={**metered, **received}), "faces", given
    bent = seen(MILLED, laid("one-face"), days=4)
    for tolerance_mm in (0.05, 1.0):
        yield bent, "stop-now", {"tolerance_mm": tolerance_mm}
    yield from _resawn()
    yield from _counted_back()


def thick(days: float, pct: float, *deeds: tuple[float, dict[str, Any]], mm: float = 50, **more: Any) -> LotView:
    """A lot of thick stock, metered at ``pct`` when it came."""
    return seen(*deeds, days=days, received={"thickness_mm": mm, "start": {"kind": "metered", "mc_pct": pct}}, **more)


def _resawn() -> Iterator[tuple[LotView, str, dict[str, Any]]]:
    for given in ({}, {"need_mm": 23}, {"lying": "one-face"}, {"top_half_mm": 12, "lying": "one-face"}):
        yield thick(7, 12.0), "resaw", given
    yield thick(7, 12.0, FORK), "resaw", {}
    for days in (7, 1 / 24):
        yield thick(days, 7.9), "resaw", {}
    yield thick(7, 25.0, mm=100), "resaw", {}


def elsewhere(view: LotView, **airs: tuple[float, float]) -> LotView:
    """With what the other zones' air is expected to be, °C and % RH."""
    found = {
        zone: expected_air(constant(lambda _, a=air: a, view.at_ms - 7 * DAY_MS, view.at_ms), "loft", ())
        for zone, air in airs.items()
    }
    return replace(view, elsewhere=lambda: found)


def damp(days: float = 20, **received: Any) -> LotView:
    """Metered at 14 % when it came, in 21 °C / 40 % RH: good to mill after some weeks."""
    start = {"start": {"kind": "metered", "mc_pct": 14.0}}
    return elsewhere(seen(days=days, air=lambda _: (21, 40), received={**start, **received}), loft=(27.0, 41.0))


def _counted_back() -> Iterator[tuple[LotView, str, dict[str, Any]]]:
    one, dead = damp(), damp(2, lying="dead-stacked")
    for view, days in ((one, 60), (one, 20), (one, 300), (dead, 40)):
        yield view, "count-back", {"delivery_ms": view.at_ms + days * DAY_MS}
    even = seen(days=40, air=lambda _: (21, 40), received={"start": {"kind": "metered", "mc_pct": 7.6}})
    yield even, "count-back", {}
