"""The lots of the shop as the journal makes them: a fold over facts, each refused where it cannot be.

Pure: the same facts give the same lots. Beside what people see, each lot carries its acts, which are what the moisture
model runs (:mod:`server.shop.acts`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from server.shop import entries as e
from server.shop import panels, sheets
from server.shop.acts import Act, Begin, Done, End, From, Halve, Hear, Lie, Mill, Reweigh, edge_of
from server.shop.deed import Lying, OfLot
from server.shop.gluing import Crated, Glued
from server.shop.hearing import Wooden, heard
from server.shop.journal import Fact, FindSpecies, NotPossible, named_species
from server.shop.lot import SAME_THICKNESS_MM, Ended, Lot, RipTest, Seen
from server.shop.lying import behind
from server.shop.offering import Offered, OfferWithdrawn
from server.shop.offers import HeldOffer, standing_offers
from server.shop.receiving import Received
from server.shop.starts import level_and_sigma
from server.wood import covers, species

LEAST_LEFT_MM = 0.3


@dataclass(frozen=True, slots=True)
class Shop:
    """Everything the journal says: lots and offers by id, and the spans of time in which nobody was there."""

    lots: Mapping[str, Lot] = field(default_factory=dict)
    away: tuple[tuple[int, int], ...] = ()
    offers: Mapping[str, HeldOffer] = field(default_factory=dict)


def fold(facts: Iterable[Fact], find: FindSpecies = species.find, onto: Shop | None = None) -> Shop:
    """The shop after all ``facts``, which come in the order they happened, and none before what ``onto`` is of.
    ``find`` looks a species up.

    Raises NotPossible, naming the entry that cannot hold.
    """
    before = onto or Shop()
    told, folding = tuple(facts), _Folding(find, before)
    for fact in told:
        folding.take(fact)
    return Shop(folding.lots, tuple(folding.away), standing_offers(told, find, before.offers))


class _Folding:
    def __init__(self, find: FindSpecies, onto: Shop) -> None:
        self.lots: dict[str, Lot] = dict(onto.lots)
        self.away: list[tuple[int, int]] = list(onto.away)
        self._find = find
        self._acts_of_fact = 0

    def take(self, fact: Fact) -> None:
        self._acts_of_fact = 0
        match fact.deed:
            case e.Away() as away:
                self.away.append((away.from_ms, away.to_ms))
            case Offered() | OfferWithdrawn():
                pass  # no lot's
            case Received() as deed:
                self._received(fact, deed)
            case e.Split() as deed:
                self._split(fact, deed)
            case e.Joined() as deed:
                self._joined(fact, deed)
            case Glued() as deed:
                self._glued(fact, deed)
            case e.CustomerRead() as deed:
                self._read_there(fact, deed)
            case e.UsedUp() as deed:
                self._end(fact, self._here(fact, deed.lot), deed.kind)
            case e.Delivered() as deed:
                self._end(fact, panels.delivered(fact, self._here(fact, deed.lot), deed), deed.kind)
            case deed:
                lot = self._here(fact, deed.lot)
                entry_of = {**lot.entry_of, deed.kind: fact.id}
                lot = panels.after(fact, self._changed(fact, lot, deed), deed)
                self.lots[lot.id] = replace(lot, seen=Seen.of(fact), entry_of=entry_of)

    def _changed(self, fact: Fact, lot: Lot, deed: OfLot) -> Lot:
        """What happened to one lot and no other."""
        match deed:
            case e.Moved():
                rack = lot.rack if deed.rack is None else deed.rack
                there = replace(lot, zone=deed.zone, lying=deed.lying or lot.lying, rack=rack, laid_ms=fact.t_ms)
                lot = self._lies(fact, there)
            case e.Laid() | Crated():
                lot = self._lies(fact, replace(lot, lying=_laid(deed, lot), laid_ms=fact.t_ms))
            case e.Finished():
                lot = self._finished(fact, lot, deed)
            case e.Milled():
                lot = self._milled(fact, lot, deed)
            case e.Resawn():
                lot = self._resawn(fact, lot, deed)
            case e.Ripped():
                lot = self._ripped(fact, lot, deed)
            case e.Veneered():
                lot = sheets.veneered(fact, lot, deed, self._find)
            case e.ForkTested():
                lot = replace(lot, prongs=deed.prongs)
            case e.Metered() | e.InWrap() | e.Weighed() | e.Straightedged() if lot.acts:
                lot = self._act(fact, lot.with_end_grain(deed, fact.versions[-1]), self._heard(fact, lot, deed))
        return lot

    def _heard(self, fact: Fact, lot: Lot, deed: e.MeterSaid | e.InWrap | e.Weighed | e.Straightedged) -> Hear:
        width = getattr(deed, "width_mm", None)
        if width is not None and width > lot.width_mm:
            raise NotPossible(fact.id, "width_mm", f"{width:g} mm", f"up to the lot's {lot.width_mm:g} mm")
        depth = getattr(deed, "depth_mm", None)
        if depth is not None and depth > lot.thickness_mm:
            raise NotPossible(fact.id, "depth_mm", f"{depth:g} mm", f"up to the lot's {lot.thickness_mm:g} mm")
        if isinstance(deed, e.InWrap) and lot.lying != "wrapped":
            right = "a lot that is wrapped; say first since when it is"
            raise NotPossible(fact.id, "lot", f"{lot.id!r}, which is {lot.lying} then", right)
        wooden = Wooden(self._find(lot.species or ""), lot.received.cut, lot.thickness_mm, lot.width_mm)
        try:
            return heard(deed, wooden)
        except species.NotPublished as lacks:
            raise NotPossible(fact.id, "lot", f"{lot.id!r}: {lacks.found}", lacks.right) from None

    def _received(self, fact: Fact, deed: Received) -> None:
        if deed.lot in self.lots:
            raise NotPossible(fact.id, "lot", f"{deed.lot!r}, which is there already", "an id no lot has had")
        lot = Lot(
            deed.lot, deed.name, deed, fact.t_ms, deed.thick_mm, deed.width_mm, deed.pieces, deed.zone, deed.lying,
            deed.rack, Seen.of(fact), fact.t_ms, deed.cost, entry_of={deed.kind: fact.id},
        )  # fmt: skip
        lot = sheets.as_received(fact, lot, self._find)
        begin, why = self._begin(fact, lot)
        lot = replace(lot, not_modelled=why)
        self.lots[lot.id] = lot if begin is None else self._lies(fact, self._act(fact, lot, begin))

    def _begin(self, fact: Fact, lot: Lot) -> tuple[Begin | None, str]:
        deed = lot.received
        if deed.species is None:
            return None, "sheet-goods"
        known = named_species(self._find, fact.id, deed.species)
        try:
            gravity = deed.specific_gravity or known.gravity()
        except species.NotPublished:
            return None, "no-specific-gravity"
        shrinkage = known.shrinkage_volumetric_pct
        volumetric = species.SHRINKAGE_PER_GRAVITY * gravity if shrinkage is None else shrinkage / 100
        level, sigma = level_and_sigma(deed.start)
        return Begin(lot.thickness_mm / 1000, gravity, volumetric, level, sigma), ""

    def _split(self, fact: Fact, deed: e.Split) -> None:
        lot = self._here(fact, deed.lot)
        if not deed.pieces < lot.pieces:
            right = (
                f"1 to {lot.pieces - 1}, fewer than the lot has" if lot.pieces > 1 else "a lot of two pieces or more"
            )
            raise NotPossible(fact.id, "pieces", str(deed.pieces), right)
        if deed.into in self.lots:
            raise NotPossible(fact.id, "into", f"{deed.into!r}, which is there already", "an id no lot has had")
        share = deed.pieces / lot.pieces
        new = replace(
            lot, id=deed.into, name=deed.name, pieces=deed.pieces, parent=lot.id, seen=Seen.of(fact), acts=(),
            received_ms=lot.received_ms, cost=None if lot.cost is None else lot.cost * share,
        )  # fmt: skip
        if lot.acts:
            new = self._lies(fact, self._act(fact, new, From((lot.id,), (1.0,))))
        self.lots[deed.into] = new
        cost = None if lot.cost is None else lot.cost * (1 - share)
        self.lots[lot.id] = replace(lot, pieces=lot.pieces - deed.pieces, cost=cost, seen=Seen.of(fact))

    def _joined(self, fact: Fact, deed: e.Joined) -> None:
        lot = self._here(fact, deed.lot)
        others = [self._here(fact, other, "others") for other in deed.others]
        for other in others:
            self._alike(fact, lot, other)
        if len({lot.id, *deed.others}) <= len(others):
            raise NotPossible(fact.id, "others", ", ".join(deed.others), "each other lot once")
        every = [lot, *others]
        amounts = [one.pieces * one.width_mm for one in every]
        shares = tuple(amount / sum(amounts) for amount in amounts)
        if lot.acts:
            lot = self._lies(fact, self._act(fact, lot, From(tuple(one.id for one in every), shares)))
        cost = None if any(one.cost is None for one in every) else sum(one.cost or 0.0 for one in every)
        alike = replace(lot, end_grain=lot.end_grain if len({one.end_grain for one in every}) == 1 else None)
        self.lots[lot.id] = replace(alike, pieces=sum(o.pieces for o in every), cost=cost, seen=Seen.of(fact))
        for other in others:
            self._end(fact, other, "joined")

    def _glued(self, fact: Fact, deed: Glued) -> None:
        if deed.lot in self.lots:
            raise NotPossible(fact.id, "lot", f"{deed.lot!r}, which is there already", "an id no lot has had")
        boards = [self._here(fact, taken.lot, "boards") for taken in deed.boards]
        panel = panels.glued(fact, deed, boards)
        if not panel.not_modelled:
            made_of = panels.shares(panel)
            panel = self._act(fact, panel, From(tuple(made_of), tuple(made_of.values()), glued=True))
            panel = self._lies(fact, panel)
        self.lots[panel.id] = panel
        for rest in panels.rests(fact, deed, boards):
            self.lots[rest.id] = rest
            if not rest.pieces:
                self._end(fact, rest, "glued")

    def _read_there(self, fact: Fact, deed: e.CustomerRead) -> None:
        lot = panels.at_home(fact, deed.lot, self.lots)
        if lot.acts:
            self.lots[lot.id] = panels.read_there(fact, lot, deed, self._heard(fact, lot, deed))

    def _alike(self, fact: Fact, lot: Lot, other: Lot) -> None:
        for one in (lot, other):
            if one.panel is not None:
                raise NotPossible(fact.id, "others", f"{one.id!r}, which is a panel", "lots of boards; glue panels")
        mine = (lot.species, lot.received.sheet, lot.received.cut)
        theirs = (other.species, other.received.sheet, other.received.cut)
        if (lot.top_plies, lot.bottom_plies) != (other.top_plies, other.bottom_plies):
            found = f"{other.id!r}, with other things on its faces"
            raise NotPossible(fact.id, "others", found, f"sheets with the same on their faces as {lot.id!r} has")
        if mine != theirs or abs(lot.thickness_mm - other.thickness_mm) > SAME_THICKNESS_MM:
            found = f"{other.id!r}: {theirs[0] or theirs[1]}, {theirs[2]}, {other.thickness_mm:g} mm"
            right = f"{mine[0] or mine[1]}, {mine[2]}, {lot.thickness_mm:g} mm as {lot.id!r} is"
            raise NotPossible(fact.id, "others", found, right)

    def _milled(self, fact: Fact, lot: Lot, deed: e.Milled) -> Lot:
        left = lot.thickness_mm - deed.take_top_mm - deed.take_bottom_mm
        if left == lot.thickness_mm:
            raise NotPossible(fact.id, "take_top_mm", "0 and 0 mm", "what came off, above 0 mm on one face or both")
        if left < LEAST_LEFT_MM:
            found = f"{deed.take_top_mm:g} and {deed.take_bottom_mm:g} mm off {lot.thickness_mm:g} mm"
            raise NotPossible(fact.id, "take_top_mm", found, f"{LEAST_LEFT_MM:g} mm or more left")
        top, bottom = ("bare" if took else was for took, was in
                       ((deed.take_top_mm, lot.top_finish), (deed.take_bottom_mm, lot.bottom_finish)))  # fmt: skip
        lot = replace(lot, thickness_mm=left, milled_ms=fact.t_ms, top_finish=top, bottom_finish=bottom)
        lot = sheets.after_milling(fact, lot, deed)
        act = Mill(deed.take_top_mm / 1000, deed.take_bottom_mm / 1000)
        return self._lies(fact, self._act(fact, lot, act))

    def _resawn(self, fact: Fact, lot: Lot, deed: e.Resawn) -> Lot:
        sheets.refuse_resawing(fact, lot)
        left = (lot.thickness_mm - deed.kerf_mm) / 2
        if left < LEAST_LEFT_MM:
            found = f"{deed.kerf_mm:g} mm out of {lot.thickness_mm:g} mm"
            raise NotPossible(fact.id, "kerf_mm", found, f"two halves of {LEAST_LEFT_MM:g} mm or more left")
        lot = replace(lot, thickness_mm=left, pieces=2 * lot.pieces, milled_ms=fact.t_ms, bottom_finish="bare")
        return self._lies(fact, self._act(fact, lot, Halve(deed.kerf_mm / 1000)))

    def _ripped(self, fact: Fact, lot: Lot, deed: e.Ripped) -> Lot:
        if deed.width_mm > lot.width_mm:
            raise NotPossible(fact.id, "width_mm", f"{deed.width_mm:g} mm", f"up to the lot's {lot.width_mm:g} mm")
        most = int(lot.width_mm // deed.width_mm) * lot.pieces
        if deed.pieces > most:
            found = f"{deed.pieces} strips of {deed.width_mm:g} mm"
            right = f"at most {most} out of {lot.pieces} of {lot.width_mm:g} mm"
            raise NotPossible(fact.id, "pieces", found, right)
        lot = sheets.after_ripping(lot, deed)
        rips = lot.rips
        if deed.crook_mm is not None:
            length = deed.test_length_mm or lot.received.length_mm
            rips = (*rips, RipTest(fact.t_ms, deed.crook_mm, length, deed.knot, deed.width_mm, fact.id))
        return self._act(fact, replace(lot, width_mm=deed.width_mm, pieces=deed.pieces, rips=rips), Reweigh())

    def _finished(self, fact: Fact, lot: Lot, deed: e.Finished) -> Lot:
        try:
            covers.find(deed.cover)
        except covers.UnknownCover as unknown:
            raise NotPossible(fact.id, "cover", repr(deed.cover), f"one of {', '.join(unknown.near)}") from None
        bottom = deed.cover if deed.faces == "both" else lot.bottom_finish
        lot = self._act(fact, replace(lot, top_finish=deed.cover, bottom_finish=bottom), Reweigh())
        return self._lies(fact, lot)

    def _lies(self, fact: Fact, lot: Lot) -> Lot:
        """With an act that says in which air its faces are, where that is not what they were in already."""
        return self._act(fact, lot, Lie(lot.zone, *behind(lot.lying, lot.top_finish, lot.bottom_finish)))

    def _end(self, fact: Fact, lot: Lot, how: Ended) -> None:
        ended = replace(lot, ended=how, ended_ms=fact.t_ms)
        self.lots[lot.id] = self._act(fact, ended, End())

    def _act(self, fact: Fact, lot: Lot, act: Act) -> Lot:
        if not lot.acts and not isinstance(act, Begin | From):
            return lot
        self._acts_of_fact += 1
        done = Done(edge_of(fact.t_ms), (*fact.order, self._acts_of_fact), fact.id, act)
        return replace(lot, acts=(*lot.acts, done))

    def _here(self, fact: Fact, name: str, field_name: str = "lot") -> Lot:
        """A lot that is in the shop at that moment."""
        lot = self.lots.get(name)
        if lot is None:
            raise NotPossible(fact.id, field_name, f"{name!r}, which was not there then", "a lot received before")
        if lot.ended:
            raise NotPossible(fact.id, field_name, f"{name!r}, {lot.ended} before", "a lot that is in the shop")
        return lot


def _laid(deed: e.Laid | Crated, lot: Lot) -> Lying:
    if isinstance(deed, Crated):
        return "wrapped" if deed.wrapped else lot.lying
    return "stickered" if deed.kind == "unwrapped" else deed.kind
