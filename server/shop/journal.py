"""What the entries come to once corrections and undoing are taken into account: facts, in the order they happened.

Entries are never changed. One that is undone does not count, and undoing that undoing brings it back; of the
corrections of one entry the last written that counts stands in its place, at its own time. Nothing here depends on the
order in which entries are handed over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

from server.shop.entries import Corrected, Entry, Undone
from server.wood import species
from server.wood.species import Species

FindSpecies = Callable[[str], Species]

Fate = Literal["counts", "corrected", "corrects", "undone", "undoes"]
"""Of an entry: it stands as it was written; a correction stands in its place (also in that of an earlier correction);
it stands in the place of another; it was taken back; it takes another one back."""


@dataclass(eq=False)
class NotPossible(Exception):
    """What an entry says cannot be: ``field`` of it, what was ``found`` and what ``would_be_right``; ``entry`` is the
    id of the one that cannot hold, which may be a later one than the one just written."""

    entry: str
    field: str
    found: str
    would_be_right: str

    def __str__(self) -> str:
        return f"{self.field}: found {self.found}; would be right: {self.would_be_right} (entry {self.entry})"


@dataclass(frozen=True, slots=True)
class Fact:
    """An entry as it counts now: ``deed`` and ``t_ms`` are those of its last correction, ``versions`` the ids of all
    entries that made it so, the first its own."""

    id: str
    t_ms: int
    recorded_ms: int
    who: str
    note: str
    deed: Any
    versions: tuple[str, ...]

    @property
    def order(self) -> tuple[int, int, str]:
        """In which facts happened; of the same moment, the one written first comes first."""
        return self.t_ms, self.recorded_ms, self.id


def facts(entries: Iterable[Entry]) -> tuple[Fact, ...]:
    """Every entry that counts, in the order they happened.

    Raises NotPossible for an undoing or a correction of an entry that is not there, was written later, or is of another
    kind.
    """
    written = sorted(entries, key=lambda e: (e.recorded_ms, e.id))
    place = {entry.id: i for i, entry in enumerate(written)}
    counts = _that_count(written, place)
    last: dict[str, list[Entry]] = {}
    for entry in written:
        if counts[entry.id] and isinstance(entry.deed, Corrected):
            last.setdefault(_root(entry, written, place).id, []).append(entry)
    found = [
        fact_of(entry, last.get(entry.id, []))
        for entry in written
        if counts[entry.id] and not isinstance(entry.deed, Undone | Corrected)
    ]
    return tuple(sorted(found, key=lambda fact: fact.order))


def fates(entries: Iterable[Entry]) -> dict[str, tuple[Fate, str]]:
    """What has become of every entry, and by which other one ("" where by none). Raises as :func:`facts`."""
    every = tuple(entries)
    written = sorted(every, key=lambda e: (e.recorded_ms, e.id))
    place = {entry.id: i for i, entry in enumerate(written)}
    counts = _that_count(written, place)
    newest = {version: fact.versions[-1] for fact in facts(every) for version in fact.versions}
    found: dict[str, tuple[Fate, str]] = {}
    for entry in written:
        if isinstance(entry.deed, Undone) and counts[entry.id]:
            found[entry.id] = ("undoes", entry.deed.entry)
            found[entry.deed.entry] = ("undone", entry.id)
    for entry in written:
        last = newest.get(entry.id, entry.id)
        stands: tuple[Fate, str] = ("counts", "") if last == entry.id else ("corrected", last)
        if isinstance(entry.deed, Corrected) and last == entry.id:
            stands = ("corrects", entry.deed.entry)
        found.setdefault(entry.id, stands)
    return found


def undone_by(target: str, entries: Iterable[Entry]) -> Entry | None:
    """The undoing of an entry that counts, the last written of several; None where it is not undone."""
    undoings = [(entry, entry.deed.entry) for entry in entries if isinstance(entry.deed, Undone)]
    taken_back: set[str] = set()
    for entry, undone in sorted(undoings, key=lambda pair: (pair[0].recorded_ms, pair[0].id), reverse=True):
        if entry.id not in taken_back:
            if undone == target:
                return entry
            taken_back.add(undone)
    return None


def check_undoing(entry: Entry, written: Mapping[str, Entry]) -> None:
    """An entry is undone once; taking that undoing back is an undoing of its own. Raises NotPossible."""
    if not isinstance(entry.deed, Undone) or (by := undone_by(entry.deed.entry, written.values())) is None:
        return
    at, who = datetime.fromtimestamp(by.recorded_ms / 1000, UTC), by.who or "somebody unnamed"
    found = f"{entry.deed.entry!r}, already undone by entry {by.id!r} at {at:%Y-%m-%d %H:%M} UTC by {who}"
    right = f"an entry that still counts; to bring this one back, undo {by.id!r}"
    raise NotPossible(entry.id, "entry", found, right)


def lots_of(entry: Entry, written: Mapping[str, Entry]) -> set[str]:
    """Every lot an entry names, or the entry it undoes or corrects does."""
    target = written.get(getattr(entry.deed, "entry", ""))
    deed = getattr(entry.deed, "becomes", entry.deed)
    named = {getattr(deed, "lot", None), getattr(deed, "into", None), *getattr(deed, "others", ())}
    named |= {taken.lot for taken in getattr(deed, "boards", ())}
    found = {name for name in named if name is not None}
    return found if target is None else found | lots_of(target, written)


def _that_count(written: list[Entry], place: dict[str, int]) -> dict[str, bool]:
    """From the last to the first: what undoes has been judged before what it undoes."""
    counts = {entry.id: True for entry in written}
    for entry in reversed(written):
        if isinstance(entry.deed, Undone):
            _earlier(entry, entry.deed.entry, place)
            if counts[entry.id]:
                counts[entry.deed.entry] = False
    return counts


def _earlier(entry: Entry, target: str, place: dict[str, int]) -> int:
    i = place.get(target)
    if i is None or i >= place[entry.id]:
        raise NotPossible(entry.id, "entry", repr(target), "the id of an entry that was written before")
    return i


def _root(entry: Entry, written: list[Entry], place: dict[str, int]) -> Entry:
    """The entry that a correction is about, be it named by its own id or by that of an earlier correction."""
    target = entry
    while isinstance(target.deed, Corrected):
        target = written[_earlier(target, target.deed.entry, place)]
    becomes = entry.deed.becomes if isinstance(entry.deed, Corrected) else target.deed
    if target.deed.kind != becomes.kind:
        right = f"the same kind, {target.deed.kind}; else undo it and write another"
        raise NotPossible(entry.id, "becomes.kind", repr(becomes.kind), right)
    return target


def fact_of(entry: Entry, corrections: Sequence[Entry] = ()) -> Fact:
    """What an entry says as it counts after those ``corrections`` of it, in the order they were written."""
    versions = (entry.id, *(one.id for one in corrections))
    if not corrections:
        return Fact(entry.id, entry.t_ms, entry.recorded_ms, entry.who, entry.note, entry.deed, versions)
    newest = corrections[-1]
    deed = newest.deed
    assert isinstance(deed, Corrected)  # noqa: S101 - of the list of those
    return Fact(entry.id, deed.at_ms, entry.recorded_ms, newest.who, newest.note or entry.note, deed.becomes, versions)


def named_species(find: FindSpecies, entry: str, key: str) -> Species:
    """The species that an entry names. Raises NotPossible with the nearest keys."""
    try:
        return find(key)
    except species.UnknownSpecies as unknown:
        right = f"one of {', '.join(unknown.nearest)}" if unknown.nearest else "a key that book species knows"
        raise NotPossible(entry, "species", repr(key), right) from None
