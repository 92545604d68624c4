"""What readings changed of a lot: what each said, what was expected of it, what was believed, and the lot before and
after it. Worked out again when asked for, by the run that made the lot what it is."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Literal

import numpy as np

from server.documents import Document, Said
from server.lot_documents import EntryDocument, fact_document
from server.model.again import Changed, heard_again, lineage, programs_of
from server.model.recorded import RecordedShelf, recorded_air
from server.model.run import programs
from server.model.woods import Wood, witness_of
from server.shop.acts import Hear, Lie
from server.shop.journal import Fact, facts
from server.snapshot import Speaker
from server.stockroom import Stockroom
from server.wood.air import Floats
from server.wood.belief import boards_of, sigma_of
from server.wood.ensemble import END_OF_80
from server.wood.witness import Reason
from server.words import Sentence

Kind = Literal["pins", "dielectric", "wrap", "scale", "straightedge"]
UNITS: Mapping[Kind, str] = {"pins": "% MC", "dielectric": "% MC", "wrap": "% MC", "scale": "kg", "straightedge": "mm"}
SOURCES: Mapping[Kind, str] = {
    "pins": "Wood Handbook FPL-GTR-190 chapter 13; James 1988, FPL-GTR-6 Table 1 (from memory)",
    "dielectric": "Wood Handbook FPL-GTR-190 chapter 13; depth of 22 mm recalled of James 1988, FPL-GTR-6; spread: "
    "common practice, no source",
    "wrap": "Wood Handbook FPL-GTR-282, equation 4-5; steadiness: common practice, no source",
    "scale": "Conservation of the dry mass",
    "straightedge": "Bending of a free strip by its strain (Timoshenko, J. Opt. Soc. Am. 11, 1925, for two layers); "
    "flatness and creep: common practice, no source",
}
LEARNING_SOURCE = (
    "Least-variance estimate (Kalman, J. Basic Eng. 82, 1960), by the square root of its covariance, recalled"
)
_ONLY_BOUND = {"seven-or-less", "beyond-what-pins-tell", "below-what-it-tells", "beyond-what-it-tells"}
_FIRST = {"first-weighing", "first-straightedge"}


class Known(Document):
    """A figure and the ends of its central 80 %."""

    middle: float
    low: float
    high: float


class Standing(Document):
    """What was held of a lot at a moment: mean, shell and core, % MC; by what factor its water moves faster than the
    formula has it; how far above the handbook's curve it rests, % MC."""

    mean_pct: Known
    shell_pct: Known
    core_pct: Known
    rate_factor: Known
    rests_above_curve_pct: Known


class ReadingDocument(Document):
    """One reading. ``read`` and ``expected`` are in ``unit``, a hollow positive on the top face; ``expected`` is None
    of the first of its kind. ``outcome`` says what became of it, and ``believed`` whether it moved what is held. It was
    heard at ``heard_ms``, the beginning of its half hour; ``lot`` is the one it was about, from which this lot may have
    been made."""

    lot: str
    entry: EntryDocument
    heard_ms: int
    kind: Kind
    unit: str
    read: Known
    expected: Known | None
    off_sigmas: float | None
    outcome: Reason
    believed: bool
    before: Standing
    after: Standing
    said: Said
    sources: list[str]


class ReadingsDocument(Document):
    """The readings of a lot, the newest first; ``earlier`` says how many more there are. ``open`` are the entries whose
    half hour has not closed: they count at once, and are heard again when it closes, after its air."""

    lot: str
    at_ms: int
    readings: list[ReadingDocument]
    earlier: int
    open: list[str]


def readings_of(stockroom: Stockroom, lot: str, most: int, speaker: Speaker) -> ReadingsDocument:
    """The last ``most`` readings of a lot and of those it was made from. Blocks: a reading costs what stepping the lot
    costs since the midnight before it. Raises KeyError for a lot nobody received."""
    at_ms, every_lot = stockroom.course.at_ms, programs(stockroom.shop)
    kin = programs_of(lineage(lot, every_lot), every_lot)
    every = [done for program in kin.values() for done in program]
    zones = sorted({done.act.zone for done in every if isinstance(done.act, Lie)})
    air_of, shelf = partial(recorded_air, stockroom.history, zones), RecordedShelf(stockroom.history)
    words = [done for done in every if isinstance(done.act, Hear)]
    there = {fact.id: fact for fact in facts(stockroom.written().values())}
    changed = heard_again(kin, air_of, shelf, at_ms, most=most)
    found = [
        reading_document(one, there[one.done.entry], speaker) for one in reversed(changed) if one.done.entry in there
    ]
    open_ = [done.entry for done in words if done.edge_ms >= at_ms]
    return ReadingsDocument(lot=lot, at_ms=at_ms, readings=found, earlier=len(words) - len(changed), open=open_)


def reading_document(changed: Changed, fact: Fact, speaker: Speaker) -> ReadingDocument:
    """What one word changed; ``fact`` is what counts of the entry that told it."""
    act = changed.done.act
    assert isinstance(act, Hear)  # noqa: S101 - of words alone
    witness, wood = witness_of(act), changed.before
    boards, told = boards_of(wood.stock, wood.belief), changed.told
    own = END_OF_80 * witness.sigma(boards, wood.belief)
    first = told.reason in _FIRST
    expected = None if first else _known(witness.expected(boards, wood.belief))
    standings = standing(changed.before), standing(changed.after)
    return ReadingDocument(
        lot=changed.lot, entry=fact_document(fact), heard_ms=changed.done.edge_ms, kind=act.kind,
        unit=UNITS[act.kind], read=Known(middle=witness.value, low=witness.value - own, high=witness.value + own),
        expected=expected, off_sigmas=None if first else told.off_sigmas, outcome=told.reason, believed=told.used,
        before=standings[0], after=standings[1],
        said=speaker.say(sentence(act.kind, told.reason, witness.value, expected, standings)),
        sources=[SOURCES[act.kind], LEARNING_SOURCE],
    )  # fmt: skip


def sentence(
    kind: Kind, reason: Reason, read: float, expected: Known | None, standings: tuple[Standing, Standing]
) -> Sentence:
    """What a reading changed, in one sentence."""
    if reason == "not-steady":
        return Sentence("lot-reading-not-steady")
    if reason in _FIRST or expected is None:
        return Sentence("lot-reading-first", {"kind": kind})
    said = {"kind": kind, "read": read, "expected": expected.middle}
    if reason == "absurd":
        return Sentence("lot-reading-absurd", said)
    if reason == "shape-anew":
        return Sentence("lot-reading-shape-anew", said)
    was, now = (one.mean_pct for one in standings)
    sure = {"sure_before_pct": (was.high - was.low) / 2, "sure_after_pct": (now.high - now.low) / 2}
    if reason in _ONLY_BOUND:
        return Sentence("lot-reading-bound", {"reason": reason, **sure})
    key = "lot-reading-second-alike" if reason == "second-alike" else "lot-reading-used"
    return Sentence(key, {**said, "before_pct": was.middle, "after_pct": now.middle, **sure})


def standing(wood: Wood) -> Standing:
    """What is held of one lot."""
    boards, one = boards_of(wood.stock, wood.belief), wood.belief
    held = one.held_pct()[0]
    ln_rate, sigma = float(one.ln_rate[0, 0]), float(sigma_of(one.ln_rate[0]))
    ends = np.exp(ln_rate + END_OF_80 * sigma * np.array([0.0, -1.0, 1.0]))
    return Standing(
        mean_pct=_known(boards.mean_pct(held)), shell_pct=_known(boards.shell_pct(held)),
        core_pct=_known(boards.core_pct(held)), rests_above_curve_pct=_known(one.curve_pct[0]),
        rate_factor=Known(middle=ends[0], low=ends[1], high=ends[2]),
    )  # fmt: skip


def _known(members: Floats) -> Known:
    middle, half = float(members[0]), END_OF_80 * float(sigma_of(members))
    return Known(middle=middle, low=middle - half, high=middle + half)
