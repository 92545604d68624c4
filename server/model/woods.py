"""Every lot the model carries, in one batch: what it is made of, where it lies, and what is held of it."""

from __future__ import annotations

import struct
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from server.shop.acts import Act, Begin, End, From, Halve, Hear, Lie, Mill, Reweigh
from server.wood.assimilation import Told, assimilate
from server.wood.belief import MEMBERS, Belief, boards_of, deviations, rebuilt, state_of
from server.wood.boards import film_through
from server.wood.carry import caught_up
from server.wood.members import fewer
from server.wood.meter import Corrected
from server.wood.milling import middle_of
from server.wood.moisture import Moisture
from server.wood.stock import Stock
from server.wood.straightedge import Straightedge, bend_pct, means_pct, shape_of_all, shaped, unshaped
from server.wood.witness import Dielectric, Pins, Weighing, Witness, WrapSensor

_HEAD = struct.Struct("<H")


@dataclass(frozen=True, slots=True)
class Wood:
    """One lot: its stock and belief, each of one, and the zone it lies in ("" before it was laid anywhere)."""

    stock: Stock
    belief: Belief
    zone: str = ""

    def caught_up(self) -> Wood:
        """With its members brought up to its middle: to look at, or before an act."""
        return replace(self, belief=caught_up(self.stock, self.belief))

    def to_bytes(self) -> bytes:
        """To keep: little-endian, every bit of it."""
        zone = self.zone.encode()
        values = np.concatenate([getattr(self.stock, f.name) for f in fields(Stock)]).astype("<f8")
        return _HEAD.pack(len(zone)) + zone + values.tobytes() + self.belief.to_bytes()

    @classmethod
    def from_bytes(cls, kept: bytes) -> Wood:
        """What :meth:`to_bytes` gave. Raises ValueError where it is something else or was cut short."""
        n = len(fields(Stock))
        start = _HEAD.size + (_HEAD.unpack_from(kept)[0] if len(kept) >= _HEAD.size else 0)
        if len(kept) < start + 8 * n:
            raise ValueError(f"wood: found {len(kept)} bytes; would be right: what to_bytes gave")
        values = np.frombuffer(kept, "<f8", n, start).astype(np.float64)
        belief = Belief.from_bytes(kept[start + 8 * n :])
        return cls(Stock(*(values[i : i + 1] for i in range(n))), belief, kept[_HEAD.size : start].decode())


@dataclass(frozen=True, slots=True)
class Woods:
    """Many lots in one batch: ``names`` and ``zones`` in the order of ``stock`` and ``belief``. A value: what changes
    it gives another one."""

    names: tuple[str, ...]
    zones: tuple[str, ...]
    stock: Stock
    belief: Belief

    def __contains__(self, name: str) -> bool:
        return name in self.names

    def caught_up(self) -> Woods:
        """With all members brought up to their middles, to look at."""
        return replace(self, belief=caught_up(self.stock, self.belief)) if self.names else self

    def each_to_bytes(self) -> list[bytes]:
        """:meth:`Wood.to_bytes` of each lot, in their order."""
        stock = np.stack([getattr(self.stock, f.name) for f in fields(Stock)], axis=1).astype("<f8")
        zones = [zone.encode() for zone in self.zones]
        each = zip(zones, stock, self.belief.each_to_bytes(), strict=True)
        return [_HEAD.pack(len(zone)) + zone + row.tobytes() + belief for zone, row, belief in each]

    def one(self, name: str) -> Wood:
        """One lot. Raises KeyError."""
        return self.at(self._place(name))

    def at(self, i: int) -> Wood:
        """The one at this place."""
        return Wood(self.stock.take([i]), self.belief.take([i]), self.zones[i])

    def with_one(self, name: str, wood: Wood) -> Woods:
        """With this lot in its place, or behind the others where it is new."""
        return Acting(self, {name: wood}).ended()

    def take(self, names: Container[str]) -> Woods:
        """Those of these names that are there."""
        i = np.array([k for k, name in enumerate(self.names) if name in names], np.intp)
        return Woods(
            tuple(self.names[k] for k in i), tuple(self.zones[k] for k in i), self.stock.take(i), self.belief.take(i)
        )  # fmt: skip

    def without(self, names: Container[str]) -> Woods:
        """All but those."""
        return self.take({name for name in self.names if name not in names})

    def _place(self, name: str) -> int:
        return _places(self.names)[name]


@lru_cache(maxsize=8)
def _places(names: tuple[str, ...]) -> dict[str, int]:
    return {name: i for i, name in enumerate(names)}


def of_each(woods: Mapping[str, Wood]) -> Woods:
    """Single lots as one batch."""
    parts = [Woods((name,), (wood.zone,), wood.stock, wood.belief) for name, wood in woods.items()]
    return joined(parts) if parts else NONE


NONE = Woods((), (), Stock.none(), Belief.none())


def joined(parts: Sequence[Woods]) -> Woods:
    """Several batches as one, in their order."""
    stock, belief = Stock.joined([p.stock for p in parts]), Belief.joined([p.belief for p in parts])
    return Woods(tuple(n for p in parts for n in p.names), tuple(z for p in parts for z in p.zones), stock, belief)


class Acting:
    """Woods while acts take place: the lots they touch lie apart, and come back into the batch all at once."""

    def __init__(self, woods: Woods, apart: Mapping[str, Wood] = MappingProxyType({})) -> None:
        self._woods = woods
        self._places = _places(woods.names)
        self._apart: dict[str, Wood | None] = dict(apart)

    def __contains__(self, name: str) -> bool:
        return self._apart[name] is not None if name in self._apart else name in self._places

    def one(self, name: str) -> Wood:
        """One lot as it is by now. Raises KeyError."""
        found = self._apart[name] if name in self._apart else self._woods.at(self._places[name])
        if found is None:
            raise KeyError(name)
        return found

    def after(self, lot: str, act: Act) -> Told | None:
        """One act upon ``lot`` takes place; what became of a witness's word."""
        told: Told | None = None
        match act:
            case Begin():
                wood = _begun(act)
            case From():
                wood = _from([self.one(name).caught_up() for name in act.lots], act)
                wood = replace(wood, belief=unshaped(wood.belief)) if act.glued else wood
            case End():
                self.one(lot)
                self._apart[lot] = None
                return None
            case Lie():
                wood = _laid(self.one(lot).caught_up(), act)
            case Mill():
                wood = _milled(self.one(lot).caught_up(), act)
            case Halve():
                wood = self.one(lot).caught_up()
                wood = _cut(wood, 0.0, 0.5 * (float(wood.stock.thickness_m[0]) + act.kerf_m))
                wood = replace(wood, belief=unshaped(wood.belief))
            case Reweigh():
                wood = self.one(lot)
                wood = replace(wood, belief=_unweighed(wood.belief))
            case Hear():
                wood = self.one(lot)
                witness = witness_of(act)
                belief, told = assimilate(wood.stock, wood.belief, 0, witness)
                if isinstance(witness, Straightedge):
                    belief = witness.from_here(wood.stock, belief)
                wood = replace(wood, belief=belief)
        self._apart[lot] = wood
        return told

    def ended(self) -> Woods:
        """The batch with all that took place: lots in their places, new ones behind the others."""
        woods, places = self._woods, self._places
        there = {places[name]: wood for name, wood in self._apart.items() if wood is not None and name in places}
        if there:
            put, zones = of_each({str(i): wood for i, wood in there.items()}), list(woods.zones)
            for i, wood in there.items():
                zones[i] = wood.zone
            at = list(there)
            stock, belief = woods.stock.put(at, put.stock), woods.belief.put(at, put.belief)
            woods = Woods(woods.names, tuple(zones), stock, belief)
        gone = {name for name, wood in self._apart.items() if wood is None}
        new = {name: wood for name, wood in self._apart.items() if wood is not None and name not in places}
        parts = [woods.without(gone) if gone else woods, of_each(new)]
        return joined(parts) if new else parts[0]


def after_act(woods: Woods, lot: str, act: Act) -> tuple[Woods, Told | None]:
    """The woods after one act upon ``lot``, and what became of a witness's word."""
    acting = Acting(woods)
    told = acting.after(lot, act)
    return acting.ended(), told


def _laid(wood: Wood, act: Lie) -> Wood:
    top, bottom = (np.atleast_1d(film_through(r)) for r in (act.top_m2_s_pa_kg, act.bottom_m2_s_pa_kg))
    return replace(wood, zone=act.zone, stock=replace(wood.stock, top_film=top, bottom_film=bottom))


def _begun(act: Begin) -> Wood:
    stock = Stock.of(
        thickness_m=act.thickness_m, specific_gravity=act.specific_gravity,
        volumetric_shrinkage=act.volumetric_shrinkage,
    )  # fmt: skip
    return Wood(stock, Belief.begin(stock, act.level_pct, act.sigma_pct))


def _from(each: Sequence[Wood], act: From) -> Wood:
    """The first of them, or what a piece drawn from all of them by share is held to be: their mean, with as much not
    known as was of the one it may be of, and what they differ by (the square of a mixture, so no sign of theirs plays
    a part)."""
    first = each[0]
    if len(act.lots) == 1:
        return replace(first, belief=_unweighed(first.belief))
    shares = np.array(act.shares)
    bend, level, per_m = shape_of_all([wood.belief for wood in each], shares)
    temperature = np.tensordot(shares, [wood.belief.moisture.temperature_c for wood in each], 1)
    moisture = replace(first.belief.moisture, temperature_c=temperature)
    one = replace(
        _unweighed(first.belief), moisture=moisture, shape_bend_pct=bend, shape_pct=level, shape_per_m=per_m,
    )  # fmt: skip
    parts = [_unweighed(wood.belief) for wood in each]
    states = np.array([state_of(part) for part in parts])
    state = np.tensordot(shares, states, 1)
    columns = [
        np.sqrt(share) * np.column_stack([deviations(part), own - state])
        for share, part, own in zip(shares, parts, states, strict=True)
    ]
    return replace(first, belief=rebuilt(first.stock, one, state, fewer(np.column_stack(columns), MEMBERS - 1)))


def _milled(wood: Wood, act: Mill) -> Wood:
    """Faces that are both cut come out flat while the board stands as its profile bends it; else nobody knows its
    shape."""
    after = _cut(wood, act.top_m, act.bottom_m)
    if not (act.top_m > 0 and act.bottom_m > 0):
        return after if act.top_m == act.bottom_m else replace(after, belief=unshaped(after.belief))
    before, left = boards_of(wood.stock, wood.belief), boards_of(after.stock, after.belief)
    bend = bend_pct(before, wood.belief) * left.thickness_m / before.thickness_m
    return replace(after, belief=shaped(after.belief, bend, means_pct(left, after.belief), 0.0))


def _cut(wood: Wood, top_m: float, bottom_m: float) -> Wood:
    """What is left of it when so much comes off its faces."""
    stock = replace(wood.stock, thickness_m=wood.stock.thickness_m - top_m - bottom_m)
    belief = _unweighed(wood.belief)
    before, after = boards_of(wood.stock, belief), boards_of(stock, belief)
    profile = middle_of(before, belief.moisture.profile_pct, after, np.full(MEMBERS, top_m))
    moisture = Moisture.of_profile(after, profile, belief.moisture.temperature_c)
    moisture = replace(moisture, unknown_s=belief.moisture.unknown_s)
    return replace(wood, stock=stock, belief=replace(belief, moisture=moisture))


def _unweighed(belief: Belief) -> Belief:
    """Pieces cut, coated or parted weigh something else: the next weighing is a first one."""
    return replace(belief, weighed_kg=np.full(1, np.nan), weighed_pct=np.full((1, MEMBERS), np.nan))


def witness_of(act: Hear) -> Witness:
    """Who spoke, and what."""
    values: tuple[object, ...] = act.values
    match act.kind:
        case "pins":
            mc, spread, bound, depth, insulated = values
            return Pins(Corrected(float(mc), float(spread), bound), float(depth), bool(insulated))  # type: ignore[arg-type]
        case "dielectric":
            return Dielectric(*(float(v) for v in values))  # type: ignore[arg-type]
        case "straightedge":
            hollow, width, per_pct, by_rings, rings_per_m, resolution = values
            rings = None if rings_per_m is None else float(rings_per_m)  # type: ignore[arg-type]
            four = [float(v) for v in (hollow, width, per_pct, by_rings)]  # type: ignore[arg-type]
            return Straightedge(four[0], four[1], four[2], four[3], rings, float(resolution))  # type: ignore[arg-type]
        case "wrap":
            return WrapSensor(*(float(v) for v in values))  # type: ignore[arg-type]
        case "scale":
            return Weighing(*(float(v) for v in values))  # type: ignore[arg-type]
