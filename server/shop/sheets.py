"""What happens to sheets, and to nothing else: what is laid on their faces when they come, later on, and taken off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from server.shop.construction import Face, OnFace, left_of, wood_mm
from server.shop.entries import Milled, Ripped, Veneered
from server.shop.journal import Fact, FindSpecies, NotPossible, named_species
from server.shop.lot import Lot
from server.wood import covers, species

LEAST_CORE_MM = 0.3


def as_received(fact: Fact, lot: Lot, find: FindSpecies) -> Lot:
    """A lot that came in, with what it is made of; without a construction a sheet is its product alone. Raises
    NotPossible for a construction of solid wood, species and covers nobody knows, and more wood than the sheet is
    thick."""
    told = lot.received.construction
    if told is None:
        return lot
    if lot.received.sheet is None:
        found = f"a construction of solid wood, {lot.species}"
        raise NotPossible(fact.id, "construction", found, "none; or a sheet product in place of the species")
    for where, one in _each(told.top, told.bottom):
        _known(fact, where, one, find)
    each = sorted(_each(told.top, told.bottom), key=lambda pair: pair[1].thickness_mm or 0.0)
    if each:
        _has_core(fact, f"construction.{each[-1][0]}.thickness_mm", lot.thickness_mm, told.top, told.bottom)
    return replace(lot, top_plies=told.top, bottom_plies=told.bottom, edges=told.edges)


def _each(top: Face | None, bottom: Face | None) -> Iterator[tuple[str, OnFace]]:
    for name, face in (("top", top), ("bottom", bottom)):
        yield from ((f"{name}.{i}", one) for i, one in enumerate(face or ()))


def _known(fact: Fact, where: str, one: OnFace, find: FindSpecies) -> None:
    if one.species is not None:
        try:
            find(one.species)
        except species.UnknownSpecies as unknown:
            right = f"one of {', '.join(unknown.nearest)}" if unknown.nearest else "a key that book species knows"
            raise NotPossible(fact.id, f"construction.{where}.species", repr(one.species), right) from None
    if one.cover is None:
        return
    try:
        known = covers.find(one.cover)
    except covers.UnknownCover as unknown:
        right = f"one of {', '.join(unknown.near)}; or none, where it is not known"
        raise NotPossible(fact.id, f"construction.{where}.cover", repr(one.cover), right) from None
    if known.kind == "none":
        raise NotPossible(fact.id, f"construction.{where}.cover", repr(one.cover), "something that covers, or none")


def _has_core(fact: Fact, field: str, thickness_mm: float, *faces: Face | None) -> None:
    laid = wood_mm(*faces)
    if laid and thickness_mm - laid < LEAST_CORE_MM:
        found = f"{laid:g} mm of wood in all on a sheet of {thickness_mm:g} mm"
        right = f"at most {max(0.0, thickness_mm - LEAST_CORE_MM):g} mm: the sheet's thickness is that of all of it"
        raise NotPossible(fact.id, field, found, right)


def veneered(fact: Fact, lot: Lot, deed: Veneered, find: FindSpecies) -> Lot:
    """With veneer on one face or both: the sheet is thicker by it. Raises NotPossible for solid wood, a species nobody
    knows, a face that is covered, or of which nobody told what lies on it."""
    if lot.received.sheet is None:
        found = f"{lot.id!r}, which is solid wood"
        raise NotPossible(fact.id, "lot", found, "a lot of sheet goods: veneer on solid wood is not kept")
    named_species(find, fact.id, deed.species)
    one = OnFace(laid="veneer", species=deed.species, thickness_mm=deed.thickness_mm, grain=deed.grain)
    faces = {"top": (lot.top_plies, lot.top_finish), "bottom": (lot.bottom_plies, lot.bottom_finish)}
    for name in ("top", "bottom") if deed.faces == "both" else (deed.faces,):
        plies, finish = faces[name]
        if plies is None:
            found = f"{name}, of which it is not told what lies on it"
            raise NotPossible(fact.id, "faces", found, "a face that is told; correct the entry of its coming in")
        over = next((ply.laid for ply in plies if not ply.wooden), None if finish == "bare" else finish)
        if over is not None:
            raise NotPossible(fact.id, "faces", f"{name}, which has {over} on it", "a face of bare wood or board")
        faces[name] = (*plies, one), finish
    (top, _), (bottom, _) = faces["top"], faces["bottom"]
    return replace(lot, thickness_mm=lot.core_mm + wood_mm(top, bottom), top_plies=top, bottom_plies=bottom)


def after_milling(fact: Fact, lot: Lot, deed: Milled) -> Lot:
    """A lot that is as thin by now as it was milled, without what came off its faces. Raises NotPossible where nothing
    of the core would be left below what lies on it."""
    top, bottom = left_of(lot.top_plies, deed.take_top_mm), left_of(lot.bottom_plies, deed.take_bottom_mm)
    _has_core(fact, "take_top_mm", lot.thickness_mm, top, bottom)
    return replace(lot, top_plies=top, bottom_plies=bottom)


def after_ripping(lot: Lot, deed: Ripped) -> Lot:
    """A rip opens the edges."""
    return replace(lot, edges="open") if lot.edges is not None and deed.width_mm < lot.width_mm else lot


def refuse_resawing(fact: Fact, lot: Lot) -> None:
    """Raises NotPossible where the halves would not be alike."""
    if lot.top_plies or lot.bottom_plies:
        laid = ", ".join(sorted({one.laid for _, one in _each(lot.top_plies, lot.bottom_plies)}))
        found = f"{lot.id!r}, a sheet with {laid} on it"
        raise NotPossible(fact.id, "lot", found, "solid wood, or a sheet with nothing on its faces")
