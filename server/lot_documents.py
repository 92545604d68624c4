"""Lots as the wall and the page are told of them: what is known of each, and what is held of its moisture."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict
from typing import Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict

from server.model.woods import Wood
from server.panel_documents import PanelPart, panel_part
from server.reading import Aim, JournalEntry
from server.shop.construction import OnFace
from server.shop.entries import Entry, as_given
from server.shop.journal import Fact, FindSpecies, NotPossible
from server.shop.lot import Lot
from server.wood.air import Floats
from server.wood.astray import Astray
from server.wood.belief import boards_of, sigma_of
from server.wood.ensemble import END_OF_80
from server.wood.movement import RING_ANGLE_DEG, across_width
from server.wood.species import NotPublished, UnknownSpecies
from server.wood.straightedge import cup_now_mm


class Held(BaseModel):
    """A moisture, % MC, and the ends of its central 80 %."""

    model_config = ConfigDict(extra="forbid")
    pct: float
    low_pct: float
    high_pct: float


class MoistureDocument(BaseModel):
    """What is held of a lot at a closed half hour: mean of all of it, shell and core; ``rate_factor`` is how much
    faster than the formula its water moves, ``rests_above_curve_pct`` how far above the handbook's curve it rests;
    ``depth_mm`` and ``profile_pct`` from its top face to its bottom."""

    model_config = ConfigDict(extra="forbid")
    at_ms: int
    mean: Held
    shell: Held
    core: Held
    rate_factor: float
    rests_above_curve_pct: float
    depth_mm: list[float]
    profile_pct: list[float]


class CupDocument(BaseModel):
    """How hollow a piece is across its width, mm, by what is held of its moisture, and the ends of its central 80 %:
    positive where the top is hollow, as it lies. Counted from when its faces were last cut flat, or measured; what its
    rings do as all of it dries is not in it. An upper bound: wood creeps."""

    model_config = ConfigDict(extra="forbid")
    mm: float
    low_mm: float
    high_mm: float


class EndGrainDocument(BaseModel):
    """Which face looks to the bark, as it lies, its rings' radius there, and the entry that says so."""

    model_config = ConfigDict(extra="forbid")
    bark_face: Literal["top", "bottom"]
    ring_radius_mm: float
    entry: str


class OnFaceDocument(BaseModel):
    """One thing on a sheet's face; None is what such a thing does not have, or is not told."""

    model_config = ConfigDict(extra="forbid")
    laid: str
    species: str | None
    thickness_mm: float | None
    grain: str | None
    cover: str | None


class ConstructionDocument(BaseModel):
    """What a sheet is made of by now: its product and how thick that is, what lies on each face from the core outward
    (empty: nothing; None: not told), its edges."""

    model_config = ConfigDict(extra="forbid")
    core: str
    core_mm: float
    top: list[OnFaceDocument] | None
    bottom: list[OnFaceDocument] | None
    edges: str | None


class LotDocument(BaseModel):
    """A lot as it stands. ``construction`` is None of solid wood, ``panel`` of what no glue-up made. ``moisture`` is
    None before its first half hour, and for what the model does not carry, of which ``not_modelled`` says why. What was
    ``confirmed`` of how it lies holds until ``confirmed_until_ms``; from then on the ends of its moisture lie further
    apart. ``dry_limit_pct`` and ``damp_limit_pct`` are as they were told; ``aim_low_pct`` and ``aim_high_pct`` what its
    destination asks for now, None where that is there no more. ``cup`` is None where nothing is held of it or no
    movement of its wood is published, ``end_grain`` where nobody looked."""

    model_config = ConfigDict(extra="forbid")
    id: str
    name: str
    species: str | None
    sheet: str | None
    construction: ConstructionDocument | None
    panel: PanelPart | None
    cut: str
    thickness_mm: float
    width_mm: float
    length_mm: float
    pieces: int
    zone: str
    lying: str
    rack: str
    cost: float | None
    log: str | None
    picture: str | None
    destination: str | None
    dry_limit_pct: float | None
    damp_limit_pct: float | None
    aim_low_pct: float | None
    aim_high_pct: float | None
    received_ms: int
    confirmed_ms: int
    confirmed_by: str
    confirmed_until_ms: int
    lies_so_since_ms: int
    milled_ms: int | None
    prongs: str | None
    ended: str
    ended_ms: int | None
    parent: str | None
    not_modelled: str
    end_grain: EndGrainDocument | None
    moisture: MoistureDocument | None
    cup: CupDocument | None


class EntryDocument(BaseModel):
    """One entry of the journal as it was written. A deed about the shop itself has a ``subject``, and what was changed
    there ``from`` and ``to``."""

    model_config = ConfigDict(extra="forbid")
    id: str
    t_ms: int
    recorded_ms: int
    who: str
    note: str
    deed: dict[str, Any]


def lot_document(
    lot: Lot, wood: Wood | None, at_ms: int, holds_until_ms: int, astray: Astray | None = None, *,
    find: FindSpecies | None = None, aim_of: Callable[[Lot], Aim] | None = None,
) -> LotDocument:  # fmt: skip
    """A lot with what is held of it at ``at_ms``, if anything is; ``astray`` is how far off it may be for lying
    otherwise than is written. Without ``find`` it has no cup, without ``aim_of`` no aim."""
    received, aim = lot.received, lot.received.aim
    wanted = None if aim_of is None else _aim(lot, aim_of)
    seen = lot.end_grain
    return LotDocument(
        id=lot.id, name=lot.name, species=received.species, sheet=received.sheet,
        panel=None if lot.panel is None else panel_part(lot.panel),
        construction=_construction(lot), cut=received.cut,
        thickness_mm=round(lot.thickness_mm, 3), width_mm=lot.width_mm, length_mm=received.length_mm, pieces=lot.pieces,
        zone=lot.zone, lying=lot.lying, rack=lot.rack, cost=_money(lot.cost), log=received.log,
        destination=aim.destination, dry_limit_pct=aim.dry_limit_pct,
        damp_limit_pct=aim.damp_limit_pct, aim_low_pct=None if wanted is None else wanted.dry_limit_pct,
        aim_high_pct=None if wanted is None else wanted.damp_limit_pct, received_ms=lot.received_ms,
        confirmed_ms=lot.confirmed_ms, confirmed_by=lot.seen.who, confirmed_until_ms=holds_until_ms,
        lies_so_since_ms=lot.laid_ms, milled_ms=lot.milled_ms, prongs=lot.prongs, ended=lot.ended,
        ended_ms=lot.ended_ms, parent=lot.parent, picture=received.picture, not_modelled=lot.not_modelled,
        end_grain=None if seen is None else EndGrainDocument(**asdict(seen)),
        moisture=None if wood is None else moisture_document(wood, at_ms, astray),
        cup=None if wood is None or find is None else _cup(lot, wood, find),
    )  # fmt: skip


def _aim(lot: Lot, aim_of: Callable[[Lot], Aim]) -> Aim | None:
    try:
        return aim_of(lot)
    except NotPossible:
        return None


def _cup(lot: Lot, wood: Wood, find: FindSpecies) -> CupDocument | None:
    try:
        across = across_width(find(lot.species or ""), RING_ANGLE_DEG[lot.received.cut])
    except (NotPublished, UnknownSpecies):
        return None
    members = cup_now_mm(wood.stock, wood.belief, across.coefficient, lot.width_mm / 1000)
    middle, half = float(members[0]), END_OF_80 * float(sigma_of(members))
    return CupDocument(mm=middle, low_mm=middle - half, high_mm=middle + half)


def _construction(lot: Lot) -> ConstructionDocument | None:
    core = lot.received.sheet
    if core is None:
        return None
    top, bottom = (
        None if face is None else [_on_face(one) for one in face] for face in (lot.top_plies, lot.bottom_plies)
    )
    return ConstructionDocument(core=core, core_mm=round(lot.core_mm, 3), top=top, bottom=bottom, edges=lot.edges)


def _on_face(one: OnFace) -> OnFaceDocument:
    return OnFaceDocument(
        laid=one.laid, species=one.species, thickness_mm=one.thickness_mm, grain=one.grain if one.wooden else None,
        cover=one.cover,
    )  # fmt: skip


def _money(cost: float | None) -> float | None:
    return None if cost is None else round(cost, 2)


def moisture_document(wood: Wood, at_ms: int, astray: Astray | None) -> MoistureDocument:
    """What is held of one lot at a closed half hour; ``astray`` is how far off it may be for lying otherwise."""
    off = astray or Astray.none(1)
    boards, held = boards_of(wood.stock, wood.belief), wood.belief.held_pct()[0]
    depth_m = np.cumsum(boards.widths_m[0]) - 0.5 * boards.widths_m[0]
    return MoistureDocument(
        at_ms=at_ms, mean=_held(boards.mean_pct(held), off.mean_pct[0]),
        shell=_held(boards.shell_pct(held), off.shell_pct[0]),
        core=_held(boards.core_pct(held), off.core_pct[0]), rate_factor=float(np.exp(wood.belief.ln_rate[0, 0])),
        rests_above_curve_pct=float(wood.belief.curve_pct[0, 0]), depth_mm=(1000 * depth_m).tolist(),
        profile_pct=held[0].tolist(),
    )  # fmt: skip


def _held(members: Floats, off_pct: Floats) -> Held:
    """By squares: what is not known of its wood has nothing to do with how it lies."""
    middle, half = float(members[0]), END_OF_80 * float(sigma_of(members))
    low, high = (math.hypot(half, off) for off in off_pct)
    return Held(pct=middle, low_pct=max(0.0, middle - low), high_pct=middle + high)


def told_document(entry: JournalEntry) -> EntryDocument:
    """An entry about the shop itself (a zone, a setting, a sensor's place); its deed says the kind and of what."""
    data = dict(entry.data)
    recorded_ms, who, note = data.pop("recorded_ms", entry.t_ms), data.pop("who", ""), data.pop("note", "")
    assert isinstance(recorded_ms, int)  # noqa: S101 - ours
    deed = {"kind": entry.kind, "subject": entry.subject, **data}
    return EntryDocument(
        id=entry.id, t_ms=entry.t_ms, recorded_ms=recorded_ms, who=str(who), note=str(note), deed=deed
    )  # fmt: skip


def entry_document(entry: Entry) -> EntryDocument:
    """An entry, its deed with the fields that were given."""
    return EntryDocument(
        id=entry.id, t_ms=entry.t_ms, recorded_ms=entry.recorded_ms, who=entry.who, note=entry.note,
        deed=as_given(entry.deed),
    )  # fmt: skip


def fact_document(fact: Fact) -> EntryDocument:
    """What counts of an entry, with the id it was written under: its last correction's figures, if it has any."""
    return EntryDocument(
        id=fact.id, t_ms=fact.t_ms, recorded_ms=fact.recorded_ms, who=fact.who, note=fact.note,
        deed=as_given(fact.deed),
    )  # fmt: skip
