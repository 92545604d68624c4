"""Who tells what a lot holds: pins, a dielectric meter, a sensor inside the wrap, a sample board on a scale.

A straightedge stands beside them in :mod:`server.wood.straightedge`.

Each says what it read, how surely, and what each member of a belief would have it read;
:mod:`server.wood.assimilation` weighs that against what is held. Each also knows when it must not be weighed so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, NamedTuple, Protocol

import numpy as np

from server.wood.air import Floats
from server.wood.belief import Belief, boards_of, widened
from server.wood.boards import Boards
from server.wood.ensemble import END_OF_80
from server.wood.meter import MEAN_DEPTH, Corrected
from server.wood.ranges import within
from server.wood.stock import Stock

STEADY_K = 2.0
"""In a wrap whose temperature moved by more within six hours the air is not yet in balance with the wood's face. Common
practice, no source."""
MOST_WIDENED_PCT = 3.0
"""No single bound makes a lot less sure by more."""
GATE = 3.0
"""A reading so many standard deviations off is not believed."""
FIELD_M = 0.0225
"""How deep the field of a dielectric meter reaches from the face it lies on: 20 to 25 mm. Recalled of James, FPL-GTR-6;
its readings lean further towards the face than the even mean that is taken here."""
DIELECTRIC_PCT = (4.0, 30.0)
"""What such a meter can tell (Wood Handbook FPL-GTR-190 ch. 13, read)."""
Reason = Literal[
    "used", "second-alike", "absurd", "seven-or-less", "beyond-what-pins-tell", "below-what-it-tells",
    "beyond-what-it-tells", "not-steady", "first-weighing", "first-straightedge", "shape-anew",
]  # fmt: skip


class Found(NamedTuple):
    """The one lot a reading is about, by how much it stands off what was expected, and that difference's standard
    deviation; both nan where nothing could be."""

    stock: Stock
    one: Belief
    off: float
    sigma: float


class Witness(Protocol):
    """A reading: what it says, how surely (one standard deviation), and what each member of a lot would have it say."""

    @property
    def value(self) -> float: ...

    def sigma(self, boards: Boards, one: Belief) -> float:
        """Of the reading itself, whatever is held; in the unit of ``value``."""

    def expected(self, boards: Boards, one: Belief) -> Floats:
        """(MEMBERS,), in the unit of ``value``."""

    def apart(self, found: Found) -> tuple[Belief, Reason] | None:
        """Where it must not be weighed against what is held: what is held after it all the same, and why."""


@dataclass(frozen=True, slots=True)
class Pins:
    """A corrected pin reading. ``depth`` is how deep the pins stood from the top face, a part of the thickness (0..1).

    Bare pins read the wettest wood they touch, insulated ones that at their tips. Readings one after the other are
    taken as independent: what several pieces of a lot say the same day is one reading, their mean. Raises ValueError
    out of range.
    """

    reading: Corrected
    depth: float = MEAN_DEPTH
    insulated: bool = False

    def __post_init__(self) -> None:
        within("depth", self.depth, 0, 1, "of the thickness (not mm)")
        within("reading", self.reading.mc_pct, 0, 60, "% MC")
        within("spread_pct", self.reading.spread_pct, 0, 20, "% MC", open_below=True)

    @property
    def value(self) -> float:
        return self.reading.mc_pct

    def sigma(self, boards: Boards, one: Belief) -> float:  # noqa: ARG002
        return self.reading.spread_pct / END_OF_80

    def expected(self, boards: Boards, one: Belief) -> Floats:
        profile = one.held_pct()[0]
        depth_m = self.depth * boards.thickness_m[0]
        middles = np.cumsum(boards.widths_m[0]) - 0.5 * boards.widths_m[0]
        tip = np.array([np.interp(depth_m, middles, p) for p in profile])
        touched = middles < depth_m
        if self.insulated or not touched.any():
            return tip
        return np.asarray(np.maximum(tip, profile[:, touched].max(axis=1)))

    def apart(self, found: Found) -> tuple[Belief, Reason] | None:
        """A bound never pulls; where it contradicts what is held, that becomes less sure, until it does no more."""
        if self.reading.bound is None:
            return None
        low = self.reading.bound == "at most"
        return _bounded(found, low=low), "seven-or-less" if low else "beyond-what-pins-tell"


def _bounded(found: Found, *, low: bool) -> Belief:
    needed = max(0.0, -found.off if low else found.off) / END_OF_80
    more = min(np.sqrt(max(needed * needed - found.sigma**2, 0.0)), MOST_WIDENED_PCT)
    return widened(found.stock, found.one, 0, more) if more else found.one


@dataclass(frozen=True, slots=True)
class Dielectric:
    """What a dielectric meter on the top face shows: the mean of the outer 22 mm, or of all of a thinner board.

    ``spread_pct`` is half the central 80 %. Below 4 % and above 30 % a reading is only a bound. Raises ValueError out
    of range.
    """

    mc_pct: float
    spread_pct: float

    def __post_init__(self) -> None:
        within("mc_pct", self.mc_pct, 0, 60, "% MC")
        within("spread_pct", self.spread_pct, 0, 20, "% MC", open_below=True)

    @property
    def value(self) -> float:
        return float(np.clip(self.mc_pct, *DIELECTRIC_PCT))

    def sigma(self, boards: Boards, one: Belief) -> float:  # noqa: ARG002
        return self.spread_pct / END_OF_80

    def expected(self, boards: Boards, one: Belief) -> Floats:
        deep = min(FIELD_M / float(boards.thickness_m[0]), 1.0)
        return boards.mean_between(one.held_pct()[0], 0.0, deep)

    def apart(self, found: Found) -> tuple[Belief, Reason] | None:
        """At an end of its range it is a bound, which never pulls."""
        least, most = DIELECTRIC_PCT
        if least < self.mc_pct < most:
            return None
        low = self.mc_pct <= least
        return _bounded(found, low=low), "below-what-it-tells" if low else "beyond-what-it-tells"


@dataclass(frozen=True, slots=True)
class WrapSensor:
    """What the air inside a wrap draws to, which at a steady temperature is what the wood's faces hold.

    ``spread_pct`` is half the central 80 % the sensor gives that figure; ``swing_k`` how far its temperature moved in
    the last six hours. Raises ValueError out of range.
    """

    emc_pct: float
    spread_pct: float
    swing_k: float = 0.0

    def __post_init__(self) -> None:
        within("emc_pct", self.emc_pct, 0, 30, "%")
        within("spread_pct", self.spread_pct, 0, 20, "% MC", open_below=True)
        within("swing_k", self.swing_k, 0, 100, "K")

    @property
    def value(self) -> float:
        return self.emc_pct

    def sigma(self, boards: Boards, one: Belief) -> float:  # noqa: ARG002
        return self.spread_pct / END_OF_80

    def expected(self, boards: Boards, one: Belief) -> Floats:  # noqa: ARG002  the others need them
        return np.asarray(one.held_pct()[0][:, [0, -1]].mean(axis=1))

    def apart(self, found: Found) -> tuple[Belief, Reason] | None:
        """While its temperature moves it does not speak of the wood."""
        return (found.one, "not-steady") if self.swing_k > STEADY_K else None


@dataclass(frozen=True, slots=True)
class Weighing:
    """A sample board on a scale that shows steps of ``resolution_kg``: with the first weighing it gives how the mean
    changed. Raises ValueError for a mass or a resolution that is not positive."""

    kg: float
    resolution_kg: float = 0.001

    def __post_init__(self) -> None:
        within("kg", self.kg, 0, 500, "kg", open_below=True)
        within("resolution_kg", self.resolution_kg, 0, 1, "kg", open_below=True)

    @property
    def value(self) -> float:
        return self.kg

    def sigma(self, boards: Boards, one: Belief) -> float:  # noqa: ARG002
        """Two roundings, each a rectangle of one step."""
        return float(self.resolution_kg / np.sqrt(6.0))

    def expected(self, boards: Boards, one: Belief) -> Floats:
        """The mass: the first one's, times what a dry mass of 1 weighs now over what it weighed then."""
        now = 1.0 + boards.mean_pct(one.held_pct()[0]) / 100.0
        return np.asarray(one.weighed_kg[0] * now / (1.0 + one.weighed_pct[0] / 100.0))

    def apart(self, found: Found) -> tuple[Belief, Reason] | None:
        """The first weighing is what later ones are compared with."""
        one = found.one
        if not np.isnan(one.weighed_kg[0]):
            return None
        means = boards_of(found.stock, one).mean_pct(one.held_pct()[0])
        return replace(one, weighed_pct=means[None], weighed_kg=np.array([self.kg])), "first-weighing"
