"""Panels in the fold: what a glue-up makes of boards, and what later deeds make of a panel; each refused where it
cannot be.

The water that the glue brings is left out of the lot's moisture. The Forest Products Laboratory's No. 475 (Drying and
conditioning glued joints; its beginning was read, studylib.net/doc/10974532) says that animal and casein glues add
considerably and synthetic resins much less, at times practically nothing; its table by glue and thickness could not be
read. For scale: 150 g/m² of water in one line to every 100 mm of a board of 500 kg/m³ is 0.3 % MC of it (worked out,
not measured). What it does to the line itself, for which a panel rests before it is flattened, is
:mod:`server.wood.glue_line`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from server.shop import entries as e
from server.shop.acts import Hear
from server.shop.deed import OfLot
from server.shop.gluing import Crated, Fitted, Glued
from server.shop.journal import Fact, NotPossible
from server.shop.lot import SAME_THICKNESS_MM, Lot, Seen
from server.shop.panel import Board, Fitting, Home, Panel, ReadThere, Stage
from server.shop.receiving import Received, Start
from server.wood import adhesive


def glued(fact: Fact, deed: Glued, boards: Sequence[Lot]) -> Lot:
    """The panel, without its acts. ``boards`` are the lots it names, in its order. Raises NotPossible."""
    _check_boards(fact, deed, boards)
    _check_size(fact, deed, boards)
    family = None
    if deed.adhesive is not None:
        try:
            family = adhesive.family(deed.adhesive).key
        except adhesive.UnknownFamily as unknown:
            right = f"one of {', '.join(unknown.near)}"
            raise NotPossible(fact.id, "adhesive", repr(deed.adhesive), right) from None
    widths = [taken.pieces * lot.width_mm for taken, lot in zip(deed.boards, boards, strict=True)]
    made_of = tuple(
        Board(lot.id, taken.pieces, lot.width_mm, lot.received.cut, width / sum(widths))
        for taken, lot, width in zip(deed.boards, boards, widths, strict=True)
    )
    panel = Panel(
        fact.t_ms, fact.id, made_of, family, None if deed.sheet is None else deed.sheet.sheet(), deed.clamp_h,
        deed.rings, deed.against,
    )  # fmt: skip
    came = _as_if_received(deed, boards, made_of)
    unmodelled = next((lot.not_modelled for lot in boards if not lot.acts), "")
    return Lot(
        deed.lot, deed.name, came, fact.t_ms, came.thick_mm, deed.width_mm, 1, deed.zone, deed.lying, "",
        Seen.of(fact), fact.t_ms, _cost(deed, boards), not_modelled=unmodelled, panel=panel,
        entry_of={"received": fact.id, deed.kind: fact.id},
    )  # fmt: skip


def shares(panel: Lot) -> dict[str, float]:
    """Which share of a panel's width each lot makes."""
    return {} if panel.panel is None else {board.lot: board.share for board in panel.panel.boards}


def rests(fact: Fact, deed: Glued, boards: Sequence[Lot]) -> Iterator[Lot]:
    """What is left of each lot that boards were taken of; of one that went into the panel whole, no piece."""
    for taken, lot in zip(deed.boards, boards, strict=True):
        left = lot.pieces - taken.pieces
        cost = None if lot.cost is None else lot.cost * left / lot.pieces
        yield replace(lot, pieces=left, cost=cost, seen=Seen.of(fact))


def _as_if_received(deed: Glued, boards: Sequence[Lot], made_of: Sequence[Board]) -> Received:
    """What is said of every lot, for a panel: its wood is the boards', its cut that of most of its width."""
    first = boards[0].received
    widest = max(("flat", "rift", "quarter"), key=lambda cut: sum(b.share for b in made_of if b.cut == cut))
    logs = {lot.received.log for lot in boards}
    return Received(
        lot=deed.lot, name=deed.name, species=first.species, specific_gravity=first.specific_gravity, cut=widest,
        thickness_mm=boards[0].thickness_mm, pieces=1, width_mm=deed.width_mm, length_mm=deed.length_mm,
        sizes_checked=True, zone=deed.zone, lying=deed.lying, start=Start(kind="unknown"), aim=deed.aim,
        log=logs.pop() if len(logs) == 1 else None,
    )  # fmt: skip


def _cost(deed: Glued, boards: Sequence[Lot]) -> float | None:
    costs = [
        None if lot.cost is None else lot.cost * taken.pieces / lot.pieces
        for taken, lot in zip(deed.boards, boards, strict=True)
    ]
    return None if None in costs else sum(cost for cost in costs if cost is not None)


def _check_boards(fact: Fact, deed: Glued, boards: Sequence[Lot]) -> None:
    if len({lot.id for lot in boards}) < len(boards):
        raise NotPossible(fact.id, "boards", ", ".join(lot.id for lot in boards), "each lot once, with all its pieces")
    first = boards[0]
    for taken, lot in zip(deed.boards, boards, strict=True):
        if lot.species is None:
            raise NotPossible(fact.id, "boards", f"{lot.id!r}, which is {lot.received.sheet}", "lots of solid wood")
        if taken.pieces > lot.pieces:
            found = f"{taken.pieces} pieces of {lot.id!r}"
            raise NotPossible(fact.id, "boards", found, f"1 to {lot.pieces}, as many as the lot has")
        if lot.species != first.species:
            found = f"{lot.id!r} of {lot.species} with {first.id!r} of {first.species}"
            raise NotPossible(fact.id, "boards", found, "boards of one species: a panel is carried as one wood")
        if abs(lot.thickness_mm - first.thickness_mm) > SAME_THICKNESS_MM:
            found = f"{lot.id!r} of {lot.thickness_mm:g} mm with {first.id!r} of {first.thickness_mm:g} mm"
            right = f"boards within {SAME_THICKNESS_MM:g} mm of each other; mill them alike first"
            raise NotPossible(fact.id, "boards", found, right)


def _check_size(fact: Fact, deed: Glued, boards: Sequence[Lot]) -> None:
    thick, shortest = boards[0].thickness_mm, min(lot.received.length_mm for lot in boards)
    if deed.thickness_mm is not None and abs(deed.thickness_mm - thick) > SAME_THICKNESS_MM:
        right = f"the boards' {thick:g} mm; what is planed off afterwards is told as milled"
        raise NotPossible(fact.id, "thickness_mm", f"{deed.thickness_mm:g} mm", right)
    if deed.length_mm > shortest:
        right = f"up to the shortest board's {shortest:g} mm"
        raise NotPossible(fact.id, "length_mm", f"{deed.length_mm:g} mm", right)
    strips = [
        taken.pieces * int(lot.received.length_mm // deed.length_mm)
        for taken, lot in zip(deed.boards, boards, strict=True)
    ]
    if sum(strips) < 2:
        raise NotPossible(fact.id, "boards", f"one piece of {boards[0].id!r}", "two pieces or more to be glued")
    widest = sum(n * lot.width_mm for n, lot in zip(strips, boards, strict=True))
    if deed.width_mm > widest:
        right = f"up to {widest:g} mm, what the boards make side by side"
        raise NotPossible(fact.id, "width_mm", f"{deed.width_mm:g} mm", right)


def after(fact: Fact, lot: Lot, deed: OfLot) -> Lot:
    """A lot after a deed, as far as that says something of a panel. Raises NotPossible for a deed that only a panel
    can undergo."""
    if lot.panel is None:
        if isinstance(deed, Fitted | Crated):
            raise NotPossible(fact.id, "lot", f"{lot.id!r}, which is no panel", "a panel: a lot that was glued")
        return lot
    panel = lot.panel
    match deed:
        case e.Milled(take_top_mm=top, take_bottom_mm=bottom):
            if top and bottom:
                panel = replace(panel, stage="flattened", flattened_ms=fact.t_ms, finished_ms=None)
        case e.Finished():
            panel = replace(panel, stage="finished", finished_ms=fact.t_ms)
        case Fitted():
            fitting = Fitting(
                fact.t_ms, fact.id, deed.held, deed.fit, deed.clearance_mm, deed.slot_mm, deed.screw_mm, lot.width_mm,
                deed.slot_outside_mm, deed.fixed,
            )  # fmt: skip
            panel = replace(panel, stage="fitted", fitting=fitting)
        case Crated():
            panel = replace(panel, stage="crated", crated_ms=fact.t_ms, house=deed.house or panel.house)
        case e.Laid() | e.Moved() if panel.crated_ms is not None and getattr(deed, "lying", "said") is not None:
            panel = replace(panel, stage=_before_the_crate(panel), crated_ms=None)
    return replace(lot, panel=panel)


def _before_the_crate(panel: Panel) -> Stage:
    """How far a panel had come that is taken out of its crate."""
    fitted_ms = None if panel.fitting is None else panel.fitting.t_ms
    stages: tuple[Stage, ...] = ("glued", "flattened", "finished", "fitted")
    times = (panel.glued_ms, panel.flattened_ms, panel.finished_ms, fitted_ms)
    return max(zip(times, stages, strict=True), key=lambda one: -1 if one[0] is None else one[0])[1]


def delivered(fact: Fact, lot: Lot, deed: e.Delivered) -> Lot:
    """A panel with where it went. Raises NotPossible where something was said of the house of what is no panel."""
    if lot.panel is None:
        if deed.aim is not None or deed.house is not None:
            field = "aim" if deed.aim is not None else "house"
            right = "nothing: only of a panel it is kept where it lives"
            raise NotPossible(fact.id, field, f"something, and {lot.id!r} is no panel", right)
        return lot
    home = Home(fact.t_ms, fact.id, deed.to, deed.aim, deed.house or lot.panel.house)
    return replace(lot, panel=replace(lot.panel, stage="delivered", home=home))


def at_home(fact: Fact, name: str, lots: Mapping[str, Lot]) -> Lot:
    """A panel that was delivered. Raises NotPossible for anything else."""
    lot = lots.get(name)
    if lot is not None and lot.panel is not None and lot.ended == "delivered":
        return lot
    if lot is None:
        what = "which was not there then"
    elif lot.panel is None:
        what = "which is no panel"
    else:
        what = f"which was {lot.ended}" if lot.ended else "which is in the shop: say metered"
    raise NotPossible(fact.id, "lot", f"{name!r}, {what}", "a panel that was delivered before")


def read_there(fact: Fact, lot: Lot, deed: e.CustomerRead, act: Hear) -> Lot:
    """A delivered panel with what a meter said there."""
    assert lot.panel is not None  # noqa: S101 - looked at before
    read = ReadThere(fact.t_ms, fact.id, act, deed.temperature_c, deed.humidity_pct)
    return replace(lot, panel=replace(lot.panel, read_there=(*lot.panel.read_there, read)))
