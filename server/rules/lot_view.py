"""What a rule sees of one lot: figures that were worked out beside the loop, at a half hour that closed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

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
class Course:
    """What comes of leaving a lot in one way: ``points`` in order, the first of now."""

    leaving: Leaving
    points: tuple[Point, ...]

    def by(self, t_ms: int) -> Point:
        """At a moment, straight between two points; at the last one beyond it, for no more is known."""
        before = self.points[0]
        for after in self.points:
            if after.t_ms >= t_ms:
                return _between(before, after, t_ms)
            before = after
        return before

    def worst_cup(self, until_ms: int) -> Band:
        """The greatest from its first point to a moment, by the middle."""
        worst, last = self.points[0].cup_mm, self.by(until_ms).cup_mm
        for point in self.points:
            if point.t_ms >= until_ms:
                break
            if point.cup_mm.middle > worst.middle:
                worst = point.cup_mm
        return last if last.middle > worst.middle else worst

    def worst_danger(self, until_ms: int) -> float:
        """The greatest likewise, in the middle; 0 where none is known."""
        last = self.by(until_ms).danger
        if last is None:
            return 0.0
        worst = last.middle
        for point in self.points:
            if point.t_ms >= until_ms:
                break
            if point.danger is not None and point.danger.middle > worst:
                worst = point.danger.middle
        return worst


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
        return next((one for one in self.courses if one.leaving == leaving), None)


def _between(one: Point, other: Point, t_ms: int) -> Point:
    share = 1.0 if other.t_ms <= one.t_ms else min(1.0, max(0.0, (t_ms - one.t_ms) / (other.t_ms - one.t_ms)))
    danger = None if one.danger is None or other.danger is None else _part(one.danger, other.danger, share)
    return Point(
        t_ms, _part(one.cup_mm, other.cup_mm, share), danger, _part(one.mean_pct, other.mean_pct, share)
    )  # fmt: skip


def _part(one: Band, other: Band, share: float) -> Band:
    pairs = ((one.middle, other.middle), (one.low, other.low), (one.high, other.high))
    return Band(*(a + share * (b - a) for a, b in pairs))
