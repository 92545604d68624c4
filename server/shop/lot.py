"""One lot as it stands, as a value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from server.shop.acts import Done
from server.shop.construction import Edges, Face, wood_mm
from server.shop.deed import Lying
from server.shop.journal import Fact
from server.shop.panel import Panel
from server.shop.receiving import Received

Ended = Literal["", "delivered", "used-up", "joined", "glued"]
SAME_THICKNESS_MM = 0.5
"""Lots further apart in thickness are not joined, nor glued into one panel: they do not settle alike."""


@dataclass(frozen=True, slots=True)
class RipTest:
    """What a test strip did: mm of crook over mm of length, whether a knot lay in its line, how wide it was; and the
    entry that says so."""

    t_ms: int
    crook_mm: float
    length_mm: float
    knot: bool
    width_mm: float
    entry: str


@dataclass(frozen=True, slots=True)
class EndGrain:
    """Which face looks to the bark, its rings' radius there, and the entry that says so."""

    bark_face: Literal["top", "bottom"]
    ring_radius_mm: float
    entry: str


@dataclass(frozen=True, slots=True)
class Seen:
    """When a person last had a lot in hand or said that it lies as it is written: who, by which entry and of which
    kind."""

    t_ms: int
    who: str
    entry: str
    kind: str

    @classmethod
    def of(cls, fact: Fact) -> Seen:
        """By a fact."""
        return cls(fact.t_ms, fact.who, fact.versions[-1], fact.deed.kind)


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot as it stands after the facts so far. ``seen`` is by whom it was last confirmed, ``laid_ms`` since when it
    lies where and as it does; ``milled_ms`` when its faces were last opened; ``top_finish`` and ``bottom_finish`` are
    keys of covers; ``top_plies`` and ``bottom_plies`` what a sheet has on its faces, from the core outward, None where
    it is not told. ``acts`` is empty for what the moisture model does not carry, and ``not_modelled`` says why.
    ``entry_of`` is the id of the last entry of each kind about it."""

    id: str
    name: str
    received: Received
    received_ms: int
    thickness_mm: float
    width_mm: float
    pieces: int
    zone: str
    lying: Lying
    rack: str
    seen: Seen
    laid_ms: int
    cost: float | None
    top_finish: str = "bare"
    bottom_finish: str = "bare"
    top_plies: Face | None = ()
    bottom_plies: Face | None = ()
    edges: Edges | None = None
    milled_ms: int | None = None
    prongs: str | None = None
    rips: tuple[RipTest, ...] = ()
    end_grain: EndGrain | None = None
    ended: Ended = ""
    ended_ms: int | None = None
    parent: str | None = None
    not_modelled: str = ""
    acts: tuple[Done, ...] = ()
    entry_of: Mapping[str, str] = field(default_factory=dict)
    panel: Panel | None = None

    def with_end_grain(self, deed: object, entry: str) -> Lot:
        """With what an entry's deed says of its rings, if it says anything."""
        face, radius = getattr(deed, "bark_face", None), getattr(deed, "ring_radius_mm", None)
        return self if face is None or radius is None else replace(self, end_grain=EndGrain(face, radius, entry))

    @property
    def confirmed_ms(self) -> int:
        """When a person last said, or saw, how it lies."""
        return self.seen.t_ms

    @property
    def ends_sealed(self) -> bool | None:
        """As last told; None where nobody looked."""
        return True if "ends-sealed" in self.entry_of else self.received.checklist.ends_sealed

    @property
    def core_mm(self) -> float:
        """How thick the product of a sheet is without what is known to lie on it."""
        return self.thickness_mm - wood_mm(self.top_plies, self.bottom_plies)

    @property
    def species(self) -> str | None:
        """The key of its species; None for sheet goods."""
        return self.received.species
