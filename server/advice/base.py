"""What is asked of a lot, and what an answer is: figures with their spread, the limit they are held against, sources.

A question gets a :class:`LotView`, which is values, and calls nothing but what that holds. It says what a person should
do, and how that follows; where nothing stands behind a rule but habit, it says "common practice, no source".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeVar, runtime_checkable

import numpy as np
from pydantic import BaseModel, ConfigDict

from server.advice.looks import PanelLooks
from server.book.board_request import MODEL_SOURCES
from server.lot_documents import moisture_document
from server.lot_outlook import beyond_figures
from server.model.woods import Wood
from server.reading import Aim, Lean, Word
from server.shop.confirmed import holds_until_ms
from server.shop.lot import Lot
from server.wood.astray import Astray
from server.wood.ensemble import Spread
from server.wood.expected_air import ExpectedAir
from server.wood.movement import RING_ANGLE_DEG, Across, across_width
from server.wood.outcome import EVEN_WITHIN_PCT, Outcome
from server.wood.species import NotPublished, Species
from server.words import Sentence, Telling

PRACTICE = "Common practice, no source."
EMC_SOURCE, DIFFUSION_SOURCE = MODEL_SOURCES


@dataclass(frozen=True, slots=True)
class Held:
    """What the model holds of one lot: its ``wood``, the ``air`` its zone is expected to have from then on, and the
    ``outcome`` of that. ``astray`` is how far off it may be where nobody has seen it past its limit."""

    wood: Wood
    air: ExpectedAir
    outcome: Outcome
    astray: Astray | None = None

    @property
    def mean_pct(self) -> float:
        """The middle of its mean now."""
        return float(self.outcome.course.mean_pct[0, 0])


@dataclass(frozen=True, slots=True)
class LotView:
    """One lot at ``at_ms``, a closed half hour. ``held`` is None of what the model does not carry, and before its first
    half hour; ``species`` of sheet goods. ``alike`` are the other lots of its log that are in the shop, ``kin`` those
    that were parted from what came in with it, used up or not: what a test strip of one did holds for all.
    ``elsewhere`` looks up the air that the other zones are expected to have, by id: it reads the record.
    ``away`` are the times in which nobody was there. ``veneers`` are the species of what lies on a sheet's faces, by
    key, as far as they are known; ``looks`` is what can be looked up of a panel."""

    lot: Lot
    aim: Aim
    at_ms: int
    telling: Telling
    held: Held | None = None
    species: Species | None = None
    alike: tuple[Lot, ...] = ()
    kin: tuple[Lot, ...] = ()
    elsewhere: Callable[[], Mapping[str, ExpectedAir]] = dict
    away: Sequence[tuple[int, int]] = ()
    veneers: Mapping[str, Species] = field(default_factory=dict)
    looks: PanelLooks | None = None

    @property
    def holds_ms(self) -> int:
        """Until when it holds how it was last said to lie."""
        return holds_until_ms(self.lot, self.away)

    @property
    def unconfirmed(self) -> bool:
        """Whether it may lie otherwise by now than is written."""
        return self.holds_ms < self.at_ms

    @property
    def finished(self) -> bool:
        """Whether it is a panel that has its finish, or was fitted without: nothing is left open of it for a night, and
        film would stick to it."""
        return self.lot.panel is not None and self.lot.panel.stage not in {"glued", "flattened"}

    def across(self) -> Across | None:
        """How the width of its pieces moves; None where nothing is published."""
        if self.species is None:
            return None
        try:
            return across_width(self.species, RING_ANGLE_DEG[self.lot.received.cut])
        except NotPublished:
            return None

    def lean(self) -> Lean:
        """To which side a lot that is not ready is off: its mean against its aim; where that lies inside, what its air
        draws it to against the aim; where that does too, its core, which is behind, against its shell."""
        if self.held is None:
            return "none"
        course, low, high = self.held.outcome.course, self.aim.dry_limit_pct, self.aim.damp_limit_pct
        for pct in (self.held.mean_pct, float(self.held.outcome.target_pct.middle[0])):
            if not low <= pct <= high:
                return "dry" if pct < low else "damp"
        ahead = float(course.core_pct[0, 0] - course.shell_pct[0, 0])
        return "none" if abs(ahead) < EVEN_WITHIN_PCT else "damp" if ahead > 0 else "dry"


@dataclass(frozen=True, slots=True)
class Limit:
    """What a figure is held against, and where that comes from."""

    said: Sentence
    source: str
    figures: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Line:
    """One question answered: ``asked`` is it in words, ``said`` the answer. ``word`` is None where it does not bear on
    the lot's verdict; where it does, ``title`` says it in few letters. ``figures`` have keys that end in their unit,
    those with a spread their ``_low`` and ``_high`` (the central 80 %) beside them, None where there is none.
    ``entries`` are those of the journal that it rests on."""

    question: str
    word: Word | None
    asked: Sentence
    said: tuple[Sentence, ...]
    figures: Mapping[str, Any] = field(default_factory=dict)
    limit: Limit | None = None
    sources: tuple[str, ...] = ()
    caution: Sentence | None = None
    entries: tuple[str, ...] = ()
    title: Sentence | None = None


class Inputs(BaseModel):
    """What may be said with a question. Each field has a default, so that every question can be asked without any; a
    field's description states meaning, range and unit."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


@dataclass
class NotToBeAsked(Exception):
    """Inputs that are each in range and cannot be meant of this lot."""

    field: str
    found: str
    would_be_right: str


I_contra = TypeVar("I_contra", bound=Inputs, contravariant=True)


Decision = tuple[Word, Sentence, Sentence]
"""What a line decides: its word, its title and its first sentence."""


def decision_of(line: Line | None) -> Decision | None:
    """None of a line that has no part in the verdict."""
    return None if line is None or line.word is None or line.title is None else (line.word, line.title, line.said[0])


@runtime_checkable
class OfMany(Protocol):
    """A question that is dear, and cheaper of many lots at once."""

    def decisions(self, views: Sequence[LotView]) -> Sequence[Decision | None]:
        """What its answers to each of them, asked without any input, would decide."""


class LotQuestion(Protocol[I_contra]):
    """One question: its name on every door, a line saying what it answers, whether its answer may ``decide`` a lot's
    verdict (one that does is asked of every lot each half hour), what may be said with it, and a pure answer."""

    name: str
    summary: str
    decides: bool
    inputs: type[Inputs]

    def answer(self, view: LotView, given: I_contra, /) -> Line | None:
        """The answer; None where it makes no sense to ask this of the lot. Raises NotToBeAsked."""


NOTHING = Spread(*(np.full(1, np.nan) for _ in range(3)))
"""No figure at all."""


def ends(key: str, spread: Spread, of: int = 0) -> dict[str, float | None]:
    """A figure and its ends as a line holds them; nan is None."""
    named = (("", spread.middle), ("_low", spread.low), ("_high", spread.high))
    values = {end: float(value[of]) for end, value in named}
    return {f"{key}{end}": None if np.isnan(value) else value for end, value in values.items()}


def held_now(view: LotView, held: Held, *keys: str) -> dict[str, float]:
    """What a lot holds now with its ends, as its document has it: ``mean_pct``, ``shell_pct`` and ``core_pct``, or
    those of them that are named."""
    found = moisture_document(held.wood, view.at_ms, held.astray)
    every = {"mean_pct": found.mean, "shell_pct": found.shell, "core_pct": found.core}
    return {
        f"{key}{end}": value
        for key in keys or every
        for end, value in (("", every[key].pct), ("_low", every[key].low_pct), ("_high", every[key].high_pct))
    }


def beyond(view: LotView, held: Held) -> tuple[dict[str, Any], tuple[Sentence, ...]]:
    """What the air is taken from where no outlook reaches: figures, and the sentence that says so."""
    figures, of = beyond_figures(view.at_ms, held.air), held.air.beyond
    if of is None:
        return figures, ()
    at = view.telling.date(figures["air_beyond_from_ms"])
    return figures, (Sentence("lot-air-beyond", {"basis": of.basis, "at": at, "days": of.heard_days}),)
