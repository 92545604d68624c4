"""What was told, with what it comes to, folded on from where it stands: a telling costs by how far back it reaches, not
by all that was ever told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from server.shop.entries import Corrected, Entry, Undone
from server.shop.journal import Fact, FindSpecies, fact_of, facts
from server.shop.lots import Shop, fold

EVERY = 1000
"""A shop is kept after so many facts each: two dozen of a full record, and none is folded from further back."""


@dataclass(frozen=True, slots=True)
class Standing:
    """``entries`` by id and the ``facts`` of them; ``marks`` are shops after so many of those, the last one after all.
    A value."""

    entries: Mapping[str, Entry] = field(default_factory=dict)
    facts: tuple[Fact, ...] = ()
    marks: tuple[tuple[int, Shop], ...] = ((0, Shop()),)

    @property
    def shop(self) -> Shop:
        """After all of it."""
        return self.marks[-1][1]

    def told(self, new: Iterable[Entry], find: FindSpecies) -> Standing:
        """With entries of ids that it has not; the same as of all entries at once. Raises NotPossible."""
        more = {entry.id: entry for entry in new}
        entries = {**self.entries, **more}
        if any(isinstance(entry.deed, Undone | Corrected) for entry in more.values()):
            told = facts(entries.values())
        else:
            told = tuple(sorted([*self.facts, *map(fact_of, more.values())], key=lambda fact: fact.order))
        pairs = enumerate(zip(self.facts, told, strict=False))
        alike = next((i for i, (a, b) in pairs if a.versions != b.versions), min(len(self.facts), len(told)))
        marks = [mark for mark in self.marks if mark[0] <= alike]
        while marks[-1][0] < len(told):
            done, shop = marks[-1]
            until = min((done // EVERY + 1) * EVERY, len(told))
            marks.append((until, fold(told[done:until], find, shop)))
        kept = [mark for mark in marks[:-1] if mark[0] % EVERY == 0]
        return Standing(entries, told, (*kept, marks[-1]))
