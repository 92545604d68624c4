"""Where rows are missing from a table, told by how its pages fit together.

A table WITHOUT ROWID is one tree (sqlite.org, "Database File Format", 1.6): along its key come the rows of a leaf, then
one row that lies on an inner page, the rows of the next leaf, one inner row, and so on, with a leaf at either end. So
two leaves without a row between them, or two inner rows without a leaf between them, say exactly between which two
keys something is gone, whatever the rows themselves look like and however few of them are left. What this cannot see
is the loss of an inner row and of the leaf beside it together, which takes two pages, one of them inner: there the
seams beside a tear are given as :attr:`Seam.doubtful`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, NamedTuple

Key = tuple[int, int]
"""Of a reading or an hour: (series, t_ms)."""


class Stretch(NamedTuple):
    """Rows that lie beside each other on one page, so that nothing is missing between them. ``open_start`` and
    ``open_end``: rows of the same page could not be read there."""

    first: Key
    last: Key
    is_inner: bool = False
    open_start: bool = False
    open_end: bool = False


@dataclass(frozen=True, slots=True)
class Seam:
    """Two keys with nothing salvaged between them from the pages; None is an end of the table. ``torn``: rows were
    there; ``doubtful``: some may have been, beside a tear."""

    before: Key | None
    after: Key | None
    torn: bool
    doubtful: bool = False


def in_order(keys: Sequence[Any]) -> list[int]:
    """Indexes of a longest strictly ascending run of these keys, gaps allowed; None is no key. On a page that is whole
    that is every one, so that what falls out was made up by damage."""
    ends: list[Any] = []
    at: list[int] = []
    came_from: list[int] = []
    for index, key in enumerate(keys):
        if key is None:
            came_from.append(-1)
            continue
        place = bisect_left(ends, key)
        came_from.append(at[place - 1] if place else -1)
        ends[place : place + 1] = [key]
        at[place : place + 1] = [index]
    found: list[int] = []
    index = at[-1] if at else -1
    while index >= 0:
        found.append(index)
        index = came_from[index]
    return found[::-1]


def stretches(keys: Sequence[Any], kept: Sequence[int], *, is_inner: bool) -> Iterator[Stretch]:
    """Of one page with these keys, of which those at the indexes ``kept`` are believed. A page on which most rows make
    no sense gives none: what is believed there may be chance."""
    if 2 * len(kept) <= len(keys):
        return
    if is_inner:
        yield from (Stretch(keys[index], keys[index], is_inner=True) for index in kept)
        return
    for _, run in groupby(enumerate(kept), key=lambda pair: pair[1] - pair[0]):
        indexes = [index for _, index in run]
        yield Stretch(
            keys[indexes[0]], keys[indexes[-1]],
            open_start=indexes[0] > 0, open_end=indexes[-1] < len(keys) - 1,
        )  # fmt: skip


def seams(found: list[Stretch]) -> Iterator[Seam]:
    """Every place where two stretches meet, and the two ends. Sorts ``found``."""
    found.sort()
    last_torn = False
    held: Seam | None = None
    before: Stretch | None = None
    for after in _apart(found):
        seam = _seam(before, after)
        if held is not None:
            yield _beside(held, last_torn or seam.torn)
            last_torn = held.torn
        held, before = seam, after
    if held is not None:
        yield _beside(held, last_torn)


def _beside(seam: Seam, torn: bool) -> Seam:
    return seam if seam.torn or not torn else Seam(seam.before, seam.after, torn=False, doubtful=True)


def _apart(found: list[Stretch]) -> Iterator[Stretch | None]:
    """Those that do not overlap, then the end: a page that was given up long ago may still lie in the file."""
    newest: Stretch | None = None
    for one in found:
        if newest is None or one.first > newest.last:
            if newest is not None:
                yield newest
            newest = one
        elif one.last > newest.last:
            newest = newest._replace(last=one.last, open_end=one.open_end, is_inner=False)
    if newest is not None:
        yield newest
    yield None


def _seam(before: Stretch | None, after: Stretch | None) -> Seam:
    torn = (
        (before is not None and before.open_end)
        or (after is not None and after.open_start)
        or (before is None or before.is_inner) == (after is None or after.is_inner)
    )
    return Seam(before.last if before else None, after.first if after else None, torn)
