"""What a rule sees of one lot: figures that were worked out beside the loop, at a half hour that closed."""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Literal, Self

from server.reading import Aim, Lean, Word

Leaving = Literal["as-it-lies", "stickered", "wrapped", "turned"]
Face = Literal["top", "bottom"]


@dataclass(frozen=True, slots=True)
class Band:
    """A figure and the ends of its central 80 %."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Point:
    """A lot at one moment to come: ``cup_mm`` over its width without its sign, the danger of checks (None without
    published strength), and the mean, % MC."""

    t_ms: int
    cup_mm: Band
    danger: Band | None
    mean_pct: Band


@dataclass(frozen=True, slots=True)
class Column:
    """A figure at each moment of a course, with the ends of its central 80 %."""

    middle: array[float]
    low: array[float]
    high: array[float]

    @classmethod
    def of(cls, bands: Sequence[Band]) -> Self:
        """One band a moment."""
        columns = (array("d", (getattr(one, end) for one in bands)) for end in ("middle", "low", "high"))
        return cls(*columns)

    def at(self, i: int) -> Band:
        """At one moment."""
        return Band(self.middle[i], self.low[i], self.high[i])


@dataclass(frozen=True, slots=True)
class Course:
    """What comes of leaving a lot in one way, at the moments ``t_ms`` in order, the first of now; ``danger`` is None
    without published strength.

    Columns and no points: of five hundred lots those would be two hundred thousand objects, which the turn that drops
    them has to free, and each search for garbage to look through."""

    leaving: Leaving
    t_ms: Sequence[int]
    cup_mm: Column
    danger: Column | None
    mean_pct: Column

    @classmethod
    def of(cls, leaving: Leaving, points: Sequence[Point]) -> Self:
        """Of its points, one at the least."""
        dangers = [one.danger for one in points if one.danger is not None]
        return cls(
            leaving,
            array("q", (one.t_ms for one in points)),
            Column.of([one.cup_mm for one in points]),
            Column.of(dangers) if len(dangers) == len(points) else None,
            Column.of([one.mean_pct for one in points]),
        )

    @property
    def points(self) -> tuple[Point, ...]:
        """The same, moment by moment."""
        return tuple(self.by(t_ms) for t_ms in self.t_ms)

    def by(self, t_ms: int) -> Point:
        """At a moment, straight between two points; at the last one beyond it, for no more is known."""
        danger = None if self.danger is None else self._band(self.danger, t_ms)
        return Point(t_ms, self._band(self.cup_mm, t_ms), danger, self._band(self.mean_pct, t_ms))

    def mean_by(self, t_ms: int) -> float:
        """The mean at a moment, in the middle."""
        return self._at(self.mean_pct.middle, t_ms)

    def worst_cup(self, until_ms: int) -> Band:
        """The greatest from its first point to a moment, by the middle."""
        cups = self.cup_mm
        before = cups.middle[: bisect_left(self.t_ms, until_ms)]
        worst = max(before, default=-inf)
        if self._at(cups.middle, until_ms) > worst:
            return self._band(cups, until_ms)
        return cups.at(before.index(worst))

    def worst_danger(self, until_ms: int) -> float:
        """The greatest likewise, in the middle; 0 where none is known."""
        if self.danger is None:
            return 0.0
        middle = self.danger.middle
        return max(self._at(middle, until_ms), *middle[: bisect_left(self.t_ms, until_ms)], -inf)

    def _band(self, column: Column, t_ms: int) -> Band:
        return Band(*(self._at(end, t_ms) for end in (column.middle, column.low, column.high)))

    def _at(self, values: array[float], t_ms: int) -> float:
        after = bisect_left(self.t_ms, t_ms)
        if after == 0 or after == len(values):
            return values[0 if after == 0 else -1]
        before, from_ms = values[after - 1], self.t_ms[after - 1]
        return before + (t_ms - from_ms) / (self.t_ms[after] - from_ms) * (values[after] - before)


@dataclass(frozen=True, slots=True)
class Wrap:
    """The air in the wrap of a lot against the wrap itself, at the worst until the evening after: ``margin_k`` is how
    far the film stays above the dew point within, negative where it sweats; ``measured`` says that a sensor in the wrap
    told of its air within a day, else what its shells draw it to."""

    margin_k: Band
    dew_point_c: float
    film_c: float
    at_ms: int
    humidity_pct: float
    measured: bool


@dataclass(frozen=True, slots=True)
class LotView:
    """One lot as a rule sees it, by what was held of it at ``at_ms``. Figures are None, and ``courses`` empty, where
    none could be worked out.

    ``verdict`` is its word and ``title`` the key of the question that decided it, with ``figures``. ``holds_ms`` is
    until when it holds how it was last said to lie; ``look`` says that its verdict may be another one if it does not.
    ``hollow`` is the face that is hollow, or will be; ``tolerance_mm`` how much is tolerated over ``width_mm``.
    ``danger`` is the tension index of its shell, which ranks dangers and promises nothing, and
    ``danger_per_pct`` what it is of a shell 1 % MC below the mean. ``open`` says that air
    reaches its faces. ``good`` to mill, by that question alone, ``good_since_ms`` as far as it is known. Of a ``panel``
    more is said elsewhere; what is not ``worked_out`` was stopped by a bug of ours.
    """

    id: str
    name: str
    zone: str
    aim: Aim
    at_ms: int
    lying: str
    laid_ms: int
    confirmed_ms: int
    holds_ms: int
    width_mm: float
    tolerance_mm: float
    verdict: Word = "wait"
    lean: Lean = "none"
    title: str = ""
    figures: Mapping[str, object] = field(default_factory=dict)
    look: bool = False
    milled_ms: int | None = None
    fresh: bool = False
    ends_sealed: bool | None = None
    mean_pct: Band | None = None
    cup_mm: Band | None = None
    hollow: Face | None = None
    danger: Band | None = None
    danger_per_pct: float | None = None
    courses: tuple[Course, ...] = ()
    wrap: Wrap | None = None
    good: bool | None = None
    good_since_ms: int | None = None
    panel: bool = False
    worked_out: bool = True

    @property
    def open(self) -> bool:
        """Whether air reaches it through nothing but what is on its faces."""
        return self.lying != "wrapped"

    def course(self, leaving: Leaving) -> Course | None:
        """What comes of leaving it so."""
        for one in self.courses:
            if one.leaving == leaving:
                return one
        return None
