"""Lots as the model sees them: what does not change while their moisture moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.boards import AIR_FILM_KG_M2_S_PA, Boards

FEW = 16
"""The boards of so few lots are kept for a while: an act and its witness ask for the same ones again and again."""


@dataclass(frozen=True, slots=True)
class Stock:
    """n lots as pieces, each array (n,): thickness, m; basic specific gravity; volumetric shrinkage, a fraction; what
    top and bottom face pass, kg/(m² s Pa), covers included. Ranges as :data:`server.wood.boards.LIMITS`."""

    thickness_m: Floats
    specific_gravity: Floats
    volumetric_shrinkage: Floats
    top_film: Floats
    bottom_film: Floats

    @classmethod
    def of(
        cls, *, thickness_m: ArrayLike, specific_gravity: ArrayLike, volumetric_shrinkage: ArrayLike,
        top_film: ArrayLike = AIR_FILM_KG_M2_S_PA, bottom_film: ArrayLike = AIR_FILM_KG_M2_S_PA,
    ) -> Stock:  # fmt: skip
        """Each one number or n. Raises ValueError as :meth:`Boards.of` does."""
        given = (thickness_m, specific_gravity, volumetric_shrinkage, top_film, bottom_film)
        boards = Boards.of(
            thickness_m=thickness_m, specific_gravity=specific_gravity, volumetric_shrinkage=volumetric_shrinkage,
            top_film=top_film, bottom_film=bottom_film,
        )  # fmt: skip
        return cls(*(np.array(np.broadcast_to(np.asarray(value, np.float64), len(boards))) for value in given))

    def __len__(self) -> int:
        return int(self.thickness_m.size)

    def take(self, which: ArrayLike) -> Stock:
        """Some of them, by number or by a mask."""
        i = np.asarray(which)
        return Stock(**{field.name: getattr(self, field.name)[i] for field in fields(self)})

    def put(self, lots: Sequence[int], other: Stock) -> Stock:
        """With those of ``other`` in place of ``lots``."""
        after = {field.name: getattr(self, field.name).copy() for field in fields(self)}
        for name, values in after.items():
            values[lots] = getattr(other, name)
        return Stock(**after)

    @classmethod
    def joined(cls, parts: Sequence[Stock]) -> Stock:
        """Several one after the other."""
        return cls(**{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(cls)})

    @classmethod
    def none(cls) -> Stock:
        """No lots."""
        return cls(*(np.empty(0) for _ in fields(cls)))

    def boards(self, rate_factor: ArrayLike = 1.0) -> Boards:
        """Each lot as one board, ``rate_factor`` times as fast as the formula has it."""
        values = np.empty((len(fields(self)) + 1, len(self)))
        values[0] = rate_factor
        for row, field in zip(values[1:], fields(self), strict=True):
            row[:] = getattr(self, field.name)
        return _made(values.tobytes()) if len(self) <= FEW else _latest.boards(values)


def _boards(values: Floats) -> Boards:
    rate, thickness, gravity, shrinkage, top, bottom = values
    return Boards.of(
        thickness_m=thickness, specific_gravity=gravity, volumetric_shrinkage=shrinkage, rate_factor=rate,
        top_film=top, bottom_film=bottom,
    )  # fmt: skip


class _Latest:
    """The boards of the last large batch. An act changes few of its lots, so only those are made anew."""

    def __init__(self) -> None:
        self._kept: tuple[Floats, Boards] | None = None

    def boards(self, values: Floats) -> Boards:
        """Of ``values``, a column each. From any thread: at worst all are made anew."""
        kept, n = self._kept, values.shape[1]
        made = self._put_right(*kept, values) if kept is not None and kept[0].shape[1] <= n else _boards(values)
        self._kept = values, made
        return made

    def one(self, column: Floats) -> Boards | None:
        """The board of these values, (values, 1), where the last batch had it: before an act a lot is what it was."""
        if self._kept is None:
            return None
        values, boards = self._kept
        i = int((values == column).all(axis=0).argmax()) if values.shape[1] else -1
        return boards.take([i]) if i >= 0 and (values[:, i] == column[:, 0]).all() else None

    @staticmethod
    def _put_right(known: Floats, boards: Boards, values: Floats) -> Boards:
        other = np.ones(values.shape[1], np.bool_)
        other[: len(boards)] = (values[:, : len(boards)] != known).any(axis=0)
        which = np.flatnonzero(other)
        if not which.size:
            return boards
        few = 4 * which.size <= other.size
        return boards.put(which, _boards(values[:, which]), other.size) if few else _boards(values)


_latest = _Latest()


@lru_cache(maxsize=512)
def _made(values: bytes) -> Boards:
    columns = np.frombuffer(values).reshape(len(fields(Stock)) + 1, -1)
    found = _latest.one(columns) if columns.shape[1] == 1 else None
    return found or _boards(columns)
