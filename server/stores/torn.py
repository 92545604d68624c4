"""Where rows are missing from a table, told by how its pages fit together.

A table WITHOUT ROWID is one tree (sqlite.org, "Database File Format", 1.6): along its key come the rows of a leaf, then
one row that lies on an inner page, the rows of the next leaf, one inner row, and so on, with a leaf at either end. So
two leaves without a row between them, or two inner rows without a leaf between them, say exactly between which two
keys something is gone, whatever the rows themselves look like and however few of them are left. Where an inner page is
lost and a leaf beside one of its rows, that alone looks whole; there the order of the inner pages tells. Of two inner
rows one after the other both lie on the same page right above leaves, or just one of them on such a page: else the
seams between them are :attr:`Seam.doubtful`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any, NamedTuple

Key = tuple[int, int]
"""Of a reading or an hour: (series, t_ms)."""


class Stretch(NamedTuple):
    """Rows that lie beside each other on one page, so that nothing is missing between them. ``open_start`` and
    ``open_end``: rows of the same page could not be read there. ``above`` is the number of an inner page right above
    leaves, 0 for one higher up."""

    first: Key
    last: Key
    is_inner: bool = False
    open_start: bool = False
    open_end: bool = False
    above: int = 0


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
    if None not in keys and all(a < b for a, b in pairwise(keys)):
        return list(range(len(keys)))
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


def stretches(keys: Sequence[Any], kept: Sequence[int], inner: int | None) -> Iterator[Stretch]:
    """Of one page with these keys, of which those at the indexes ``kept`` are believed. A page on which most rows make
    no sense gives none: what is believed there may be chance. ``inner`` is None of a leaf, else what
    :attr:`Stretch.above` is to be."""
    if 2 * len(kept) <= len(keys):
        return
    believed = set(kept)
    runs = [[index] for index in kept] if inner is not None else []
    for _, pairs in groupby(enumerate(kept if inner is None else ()), key=lambda pair: pair[1] - pair[0]):
        runs.append([index for _, index in pairs])
    for run in runs:
        yield Stretch(
            keys[run[0]], keys[run[-1]], inner is not None,
            open_start=run[0] > 0 and run[0] - 1 not in believed,
            open_end=run[-1] < len(keys) - 1 and run[-1] + 1 not in believed,
            above=inner or 0,
        )  # fmt: skip


def seams(found: list[Stretch]) -> Iterator[Seam]:
    """Every place where two stretches meet, and the two ends. Sorts ``found``."""
    found.sort()
    row = list(_apart(found))
    doubtful = _doubtful(row)
    torn = [_is_torn(*pair) for pair in pairwise([None, *row, None])]
    for at, (before, after) in enumerate(pairwise([None, *row, None])):
        beside = any(torn[max(0, at - 1) : at + 2])
        yield Seam(
            before.last if before else None, after.first if after else None,
            torn[at], not torn[at] and (beside or at in doubtful),
        )  # fmt: skip


def _doubtful(row: list[Stretch]) -> set[int]:
    """The seams, by number, between two inner rows that do not follow each other in a whole tree."""
    found: set[int] = set()
    since, above, is_open = 0, 0, False
    for at, one in enumerate([*row, Stretch((0, 0), (0, 0), is_inner=True)]):
        if not one.is_inner:
            continue
        follows = (above == 0) != (one.above == 0) or (above == one.above != 0)
        if not follows or is_open or one.open_start:
            found.update(range(since, at + 1))
        since, above, is_open = at + 1, one.above, one.open_end
    return found


def _apart(found: list[Stretch]) -> Iterator[Stretch]:
    """Those that do not overlap: a page that was given up long ago may still lie in the file."""
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


def _is_torn(before: Stretch | None, after: Stretch | None) -> bool:
    return (
        (before is not None and before.open_end and not before.is_inner)
        or (after is not None and after.open_start and not after.is_inner)
        or (before is None or before.is_inner) == (after is None or after.is_inner)
    )
