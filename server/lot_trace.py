"""What every figure of a lot rests on, in one document: entries, readings, air, checkpoint, species, equations, aim.

Whoever has it can work the lot's moisture out again: the entries that count make its acts, the stretches say in which
zone's half hours they ran. tests/unit/test_lot_trace.py does.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress

from server.documents import Document
from server.lot_documents import EntryDocument, MoistureDocument, entry_document, moisture_document
from server.lot_readings import ReadingsDocument, readings_of
from server.lot_sources import (
    EQUATIONS,
    EquationDocument,
    FigureDocument,
    constants,
    of_covers,
    of_species,
    of_start,
)
from server.model.again import FOR_EVER, Order, lineage, programs_of
from server.model.air_told import AirTold, Three, air_told
from server.model.run import Programs, programs
from server.model.unseen import of_record
from server.placing import KIND, Place, places
from server.shop.acts import Done, Lie
from server.shop.entries import Entry, Finished, Laid
from server.shop.journal import Fact, Fate, NotPossible, facts, fates, lots_of
from server.shop.lot import Lot
from server.shop.receiving import Received
from server.snapshot import Speaker
from server.stockroom import Stockroom
from server.stores.port import History
from server.wood.species import UnknownSpecies


class TracedEntry(EntryDocument):
    """An entry as it was written, what has become of it, and ``by`` which other one (of which one it ``corrects`` or
    ``undoes``); ``acts_ms`` is the half hour at whose beginning the model acts on it, None where it does not."""

    fate: Fate
    by: str
    acts_ms: int | None


class KinDocument(Document):
    """A lot this one was made from: what was told of it up to and with the entry ``until`` counts for this one."""

    lot: str
    until: str


class ExtentDocument(Document):
    """Least, mean and greatest of what the model took."""

    least: float
    mean: float
    greatest: float


class StoodDocument(Document):
    """A sensor and how long it stood there within the stretch."""

    sensor: str
    from_ms: int
    to_ms: int


class StretchDocument(Document):
    """Time in a zone's air behind one cover: the half hours that were ``recorded``, ``bridged`` by the last one before
    them, or ``unknown``; what the model took in them; the sensors that stood there; the zone's first and last stored
    value. Resistances are of what lies on each face, m² s Pa/kg, None where it passes nothing."""

    lot: str
    zone: str
    from_ms: int
    to_ms: int
    top_m2_s_pa_per_kg: float | None
    bottom_m2_s_pa_per_kg: float | None
    recorded: int
    bridged: int
    unknown: int
    temperature_c: ExtentDocument
    humidity_pct: ExtentDocument
    emc_pct: ExtentDocument
    first_ms: int | None
    last_ms: int | None
    sensors: list[StoodDocument]


class CheckpointDocument(Document):
    """The newest stored state of the lot: a midnight of UTC, before the acts of that half hour; ``sha256`` of its
    bytes."""

    at_ms: int
    sha256: str


class TracedAim(Document):
    """Where the lot's moisture belongs and where that comes from."""

    dry_limit_pct: float
    damp_limit_pct: float
    destination: str
    source: str


class TraceDocument(Document):
    """What the figures of a lot rest on. ``moisture`` is None of what the model does not carry, of which
    ``not_modelled`` says why, and of a lot that has left."""

    lot: str
    at_ms: int
    moisture: MoistureDocument | None
    not_modelled: str
    made_from: list[KinDocument]
    entries: list[TracedEntry]
    readings: ReadingsDocument
    air: list[StretchDocument]
    checkpoint: CheckpointDocument | None
    species: str | None
    figures: list[FigureDocument]
    equations: list[EquationDocument]
    aim: TracedAim | None


def trace_of(stockroom: Stockroom, lot: str, most: int, speaker: Speaker) -> TraceDocument:
    """The trace of a lot with its last ``most`` readings. Blocks: it reads the record of all the air the lot lay in.
    Raises KeyError for a lot nobody received."""
    course, known, written = stockroom.course, stockroom.shop.lots[lot], dict(stockroom.written())
    every_lot, held = programs(stockroom.shop), stockroom.present()
    counts = lineage(lot, every_lot)
    kin = programs_of(counts, every_lot)
    told = facts(written.values())
    mine = [fact for fact in told if any(_of(fact.deed, n) and _before(fact, at) for n, at in counts.items())]
    wood = held.one(lot).caught_up() if lot in held else None
    off = of_record(stockroom.history, stockroom.zones(), stockroom.shop, held, course.at_ms, [known]).get(lot)
    return TraceDocument(
        lot=lot, at_ms=course.at_ms, moisture=None if wood is None else moisture_document(wood, course.at_ms, off),
        not_modelled=known.not_modelled, made_from=list(_made_from(counts, kin)),
        entries=_entries(_glued_with(counts, told, every_lot), kin, written),
        readings=readings_of(stockroom, lot, most, speaker), air=list(_air(kin, course.at_ms, stockroom.history)),
        checkpoint=_checkpoint(stockroom.history, lot, course.at_ms),
        species=known.species, figures=_figures(stockroom, known, mine), equations=list(EQUATIONS),
        aim=_aim(stockroom, known),
    )  # fmt: skip


def _of(deed: object, lot: str) -> bool:
    named = {getattr(deed, "lot", None), getattr(deed, "into", None), *getattr(deed, "others", ())}
    return lot in named | {taken.lot for taken in getattr(deed, "boards", ())}


def _before(fact: Fact | Entry, until: Order) -> bool:
    """Whether it counts there: the fact that parts a lot from its kin is its own, too."""
    return (fact.t_ms, fact.recorded_ms, fact.id) <= until[:3]


def _made_from(counts: Mapping[str, Order], kin: Programs) -> Iterator[KinDocument]:
    for name, until in sorted(counts.items()):
        if until != FOR_EVER and name in kin:
            yield KinDocument(lot=name, until=until[2])


def _glued_with(counts: Mapping[str, Order], told: Sequence[Fact], programs: Programs) -> dict[str, Order]:
    """The lots of ``counts``, and all that gave boards to a panel together with one of them, until then: how many
    pieces a glue-up left of a lot cannot be told without the others."""
    found = dict(counts)
    for fact in reversed(told):
        boards = [taken.lot for taken in getattr(fact.deed, "boards", ())]
        if not any(name in found and _before(fact, found[name]) for name in boards):
            continue
        then: Order = (*fact.order, 0)
        for board in boards:
            for name, until in lineage(board, programs).items():
                found[name] = max(found.get(name, (-1, 0, "", 0)), min(until, then))
    return found


def _entries(counts: Mapping[str, Order], kin: Programs, written: Mapping[str, Entry]) -> list[TracedEntry]:
    """Those of the lot and of its kin as far as they count, in the order they were written."""
    became = fates(written.values())
    acts = {done.entry: done.edge_ms for program in kin.values() for done in program}
    found = []
    for entry in sorted(written.values(), key=lambda e: (e.recorded_ms, e.id)):
        about = lots_of(entry, written) & counts.keys()
        root = entry
        while hasattr(root.deed, "entry"):
            root = written[root.deed.entry]
        if any(_before(root, counts[name]) for name in about) or root.id in acts:
            fate, by = became[entry.id]
            document = entry_document(entry).model_dump()
            found.append(TracedEntry(**document, fate=fate, by=by, acts_ms=acts.get(entry.id)))
    return found


def _air(kin: Programs, at_ms: int, history: History) -> Iterator[StretchDocument]:
    stood = places(history.journal(KIND))
    for name, program in sorted(kin.items(), key=lambda pair: pair[1][0].order):
        for lie, from_ms, to_ms in _stretches(program, at_ms):
            told = air_told(history, lie.zone, from_ms, to_ms)
            sensors = [
                each for sensor, row in sorted(stood.items()) for each in _stood(sensor, row, lie, from_ms, to_ms)
            ]
            yield _stretch(name, lie, (from_ms, to_ms), told, sensors)


def _stretches(program: Sequence[Done], at_ms: int) -> Iterator[tuple[Lie, int, int]]:
    """How a lot lay from which edge to which; what only lasted within a half hour is left out."""
    lies = [(done.edge_ms, done.act) for done in program if isinstance(done.act, Lie)]
    end_ms = min(at_ms, program[-1].edge_ms if type(program[-1].act).__name__ == "End" else at_ms)
    open_: tuple[Lie, int] | None = None
    for edge_ms, lie in lies:
        if open_ is not None and open_[0] == lie:
            continue
        if open_ is not None and min(edge_ms, end_ms) > open_[1]:
            yield (*open_, min(edge_ms, end_ms))
        open_ = lie, edge_ms
    if open_ is not None and end_ms > open_[1]:
        yield (*open_, end_ms)


def _stood(sensor: str, row: Sequence[Place], lie: Lie, from_ms: int, to_ms: int) -> Iterator[StoodDocument]:
    ends = [*(place.from_ms for place in row[1:]), to_ms]
    for place, end_ms in zip(row, ends, strict=True):
        first, last = max(place.from_ms, from_ms), min(end_ms, to_ms)
        if place.zone == lie.zone and first < last:
            yield StoodDocument(sensor=sensor, from_ms=first, to_ms=last)


def _stretch(
    lot: str, lie: Lie, span: tuple[int, int], told: AirTold, sensors: list[StoodDocument]
) -> StretchDocument:  # fmt: skip
    top, bottom = (None if r == float("inf") else r for r in (lie.top_m2_s_pa_kg, lie.bottom_m2_s_pa_kg))
    return StretchDocument(
        lot=lot, zone=lie.zone, from_ms=span[0], to_ms=span[1], top_m2_s_pa_per_kg=top, bottom_m2_s_pa_per_kg=bottom,
        recorded=told.recorded, bridged=told.bridged, unknown=told.unknown, temperature_c=_extent(told.temperature_c),
        humidity_pct=_extent(told.humidity_pct), emc_pct=_extent(told.emc_pct), first_ms=told.first_ms,
        last_ms=told.last_ms, sensors=sensors,
    )  # fmt: skip


def _extent(three: Three) -> ExtentDocument:
    return ExtentDocument(least=three[0], mean=three[1], greatest=three[2])


def _checkpoint(history: History, lot: str, at_ms: int) -> CheckpointDocument | None:
    for edge_ms in history.checkpoint_edges(at_ms):
        for kept in history.checkpoints(edge_ms, [lot]):
            return CheckpointDocument(at_ms=edge_ms, sha256=hashlib.sha256(kept.state).hexdigest())
    return None


def _figures(stockroom: Stockroom, lot: Lot, mine: Sequence[Fact]) -> list[FigureDocument]:
    """Of the starts of all it was made from, its species, what covered it, and of every lot."""
    deeds = [fact.deed for fact in mine]
    found = [of_start(deed.start, f"{deed.lot}: ") for deed in deeds if isinstance(deed, Received)]
    if lot.species is not None:
        with suppress(UnknownSpecies):  # one of the shop's own that is no longer configured
            found += of_species(stockroom.find(lot.species), lot.received)
    covers = {deed.cover for deed in deeds if isinstance(deed, Finished)}
    wrapped = {"wrapped"} & {getattr(d, "lying", d.kind if isinstance(d, Laid) else None) for d in deeds}
    return [*found, *of_covers(covers | wrapped), *constants()]


def _aim(stockroom: Stockroom, lot: Lot) -> TracedAim | None:
    try:
        aim = stockroom.aim_of(lot)
    except NotPossible:  # a destination that is no longer configured
        return None
    return TracedAim(
        dry_limit_pct=aim.dry_limit_pct, damp_limit_pct=aim.damp_limit_pct, destination=aim.destination,
        source=aim.source,
    )  # fmt: skip
