"""Every lot the model carries, in one batch: what it is made of, where it lies, and what is held of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from server.shop.acts import Act, Begin, End, From, Halve, Hear, Lie, Mill
from server.wood.air import Floats
from server.wood.assimilation import Told, assimilate
from server.wood.belief import MEMBERS, Belief, boards_of, widened
from server.wood.boards import film_through
from server.wood.meter import Corrected
from server.wood.milling import middle_of
from server.wood.moisture import Moisture
from server.wood.stock import Stock
from server.wood.witness import Pins, Weighing, Witness, WrapSensor


@dataclass(frozen=True, slots=True)
class Wood:
    """One lot: its stock and belief, each of one, and the zone it lies in ("" before it was laid anywhere)."""

    stock: Stock
    belief: Belief
    zone: str = ""


Woods = Mapping[str, Wood]


def gathered(woods: Sequence[Wood]) -> tuple[Stock, Belief]:
    """Many lots as one batch, in their order."""
    stock = Stock(
        *(np.concatenate([getattr(w.stock, f.name) for w in woods]) for f in fields(Stock)),
    )
    moistures = [w.belief.moisture for w in woods]
    moisture = Moisture(*(np.concatenate([getattr(m, f.name) for m in moistures]) for f in fields(Moisture)))
    rest = [f.name for f in fields(Belief) if f.name != "moisture"]
    return stock, Belief(moisture, *(np.concatenate([getattr(w.belief, name) for w in woods]) for name in rest))


def after_act(woods: Woods, lot: str, act: Act) -> tuple[Wood | None, Told | None]:
    """The ``lot`` after one act, None where it is gone; and what became of a witness's word."""
    told: Told | None = None
    wood: Wood | None = woods.get(lot)
    match act:
        case Begin():
            wood = _begun(act)
        case From():
            wood = _from(woods, act)
        case End():
            wood = None
        case Lie():
            wood = _laid(woods[lot], act)
        case Mill():
            wood = _cut(woods[lot], woods[lot].stock.thickness_m - act.top_m - act.bottom_m, act.top_m)
        case Halve():
            wood = _cut(woods[lot], 0.5 * (woods[lot].stock.thickness_m - act.kerf_m), 0.0)
        case Hear():
            belief, told = assimilate(woods[lot].stock, woods[lot].belief, 0, _witness(act))
            wood = replace(woods[lot], belief=belief)
    return wood, told


def _laid(wood: Wood, act: Lie) -> Wood:
    top, bottom = (np.atleast_1d(film_through(r)) for r in (act.top_m2_s_pa_kg, act.bottom_m2_s_pa_kg))
    return replace(wood, zone=act.zone, stock=replace(wood.stock, top_film=top, bottom_film=bottom))


def _begun(act: Begin) -> Wood:
    stock = Stock.of(
        thickness_m=act.thickness_m, specific_gravity=act.specific_gravity,
        volumetric_shrinkage=act.volumetric_shrinkage,
    )  # fmt: skip
    return Wood(stock, Belief.begin(stock, act.level_pct, act.sigma_pct))


def _from(woods: Woods, act: From) -> Wood:
    """The first of them, or their mean by share; what they differ by is what is not known of any piece of it."""
    first = woods[act.lots[0]]
    if len(act.lots) == 1:
        return replace(first, belief=_unweighed(first.belief))
    shares = np.array(act.shares)
    _, every = gathered([woods[name] for name in act.lots])
    profiles = every.moisture.profile_pct.reshape(len(shares), MEMBERS, -1)
    mean = np.tensordot(shares, profiles, 1)
    rate, film, curve = (np.tensordot(shares, a, 1)[None] for a in (every.ln_rate, every.ln_film, every.curve_pct))
    belief = replace(_unweighed(first.belief), ln_rate=rate, ln_film=film, curve_pct=curve)
    temperature = np.tensordot(shares, every.moisture.temperature_c.reshape(len(shares), MEMBERS), 1)
    moisture = Moisture.of_profile(boards_of(first.stock, belief), mean, temperature)
    belief = replace(belief, moisture=replace(moisture, unknown_s=first.belief.moisture.unknown_s))
    held = every.held_pct()[:, 0]
    apart = np.sqrt(np.tensordot(shares, (held - np.tensordot(shares, held, 1)) ** 2, 1))
    return replace(first, belief=widened(first.stock, belief, 0, apart) if apart.any() else belief)


def _cut(wood: Wood, left_m: Floats, top_m: float) -> Wood:
    """What is left of it: ``left_m`` thick, from ``top_m`` below its top face on."""
    stock = replace(wood.stock, thickness_m=np.atleast_1d(left_m))
    belief = _unweighed(wood.belief)
    before, after = boards_of(wood.stock, belief), boards_of(stock, belief)
    profile = middle_of(before, belief.moisture.profile_pct, after, np.full(MEMBERS, top_m))
    moisture = Moisture.of_profile(after, profile, belief.moisture.temperature_c)
    moisture = replace(moisture, unknown_s=belief.moisture.unknown_s)
    return replace(wood, stock=stock, belief=replace(belief, moisture=moisture))


def _unweighed(belief: Belief) -> Belief:
    """Pieces cut or parted weigh something else: the next weighing is a first one."""
    return replace(belief, weighed_kg=np.full(1, np.nan), weighed_pct=np.full((1, MEMBERS), np.nan))


def _witness(act: Hear) -> Witness:
    values: tuple[object, ...] = act.values
    match act.kind:
        case "pins":
            mc, spread, bound, depth, insulated = values
            return Pins(Corrected(float(mc), float(spread), bound), float(depth), bool(insulated))  # type: ignore[arg-type]
        case "wrap":
            return WrapSensor(*(float(v) for v in values))  # type: ignore[arg-type]
        case "scale":
            return Weighing(*(float(v) for v in values))  # type: ignore[arg-type]
