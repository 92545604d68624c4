"""The one way to ask of a glue-up: every question, the verdict, when it will be, and what brings it soonest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from server.advice.asking import RANK
from server.advice.base import Line
from server.advice.confirmed import if_still
from server.advice.glue_up.base import GlueView
from server.advice.glue_up.catalog import OF_BOARDS, QUESTIONS
from server.advice.glue_up.sooner import Way, ways
from server.advice.glue_up.when import boards_days, ready_days
from server.advice.time_words import counted
from server.reading import Lean, Word
from server.wood.ensemble import Spread
from server.wood.outcome import SEASON_DAYS
from server.words import Sentence


@dataclass(frozen=True, slots=True)
class GlueAdvice:
    """A glue-up's verdict, with title and first sentence of the line that made it, and all lines. ``days`` is until
    nothing that passes by itself stands against it (nan: never as far as is looked), ``when`` says so; ``sooner`` what
    would bring it nearer. ``if_still`` is what it rests on that nobody has confirmed for too long, by lot."""

    word: Word
    lean: Lean
    title: Sentence
    why: Sentence
    lines: tuple[Line, ...]
    days: Spread
    when: Sentence | None
    sooner: tuple[Way, ...]
    if_still: tuple[tuple[str, Sentence], ...]

    @property
    def not_this_season(self) -> bool:
        """Whether no days are to be counted for the boards' sake."""
        return self.when is not None and self.when.key == "glue-when-season"

    @property
    def against(self) -> tuple[Line, ...]:
        """The lines that speak against gluing now."""
        return tuple(line for line in self.lines if line.word not in {None, "ready"})


def advise(view: GlueView) -> GlueAdvice:
    """Every question, in the catalogue's order. The boards decide first: as long as they are not where they belong, or
    not even, that is the verdict. Of the others the worst word is, of two alike the first."""
    lines = tuple(question.answer(view) for question in QUESTIONS)
    boards = next((line for line in lines[:OF_BOARDS] if line.word != "ready"), None)
    first = boards or min(
        (line for line in lines if line.word is not None), key=lambda line: RANK[line.word or "ready"]
    )
    assert first.word is not None and first.title is not None  # noqa: S101, PT018 - the first question has both
    days = ready_days(view)
    word = first.word
    wait = word != "ready" and float(np.nan_to_num(days.middle[0], nan=1.0)) > 0.0
    found = ways(view, days) if wait else ()
    still = tuple((board.id, said) for board in view.boards if (said := if_still(board.view)) is not None)
    return GlueAdvice(
        word, _lean(view, word), _title(first.title, days), first.said[0], lines, days,
        _when(view, days) if wait else None, found, still,
    )  # fmt: skip


def _title(title: Sentence, days: Spread) -> Sentence:
    """What is counted in it is until all of it is good, as ``when`` says, and not only what its line asks for."""
    if title.key != "glue-wait-title" or not float(days.middle[0]) <= SEASON_DAYS:
        return title
    count = counted(days)
    return Sentence(title.key, {key: count[key] for key in ("count", "unit")})


def _when(view: GlueView, days: Spread) -> Sentence:
    if float(days.middle[0]) <= SEASON_DAYS:
        return Sentence("glue-when", counted(days))
    boards, zone = boards_days(view), {"zone": view.name(view.room.zone)}
    if float(boards.middle[0]) > 0.0 and float(boards.middle[0]) <= SEASON_DAYS:
        return Sentence("glue-when-heated-by-then", {**zone, **counted(boards)})
    return Sentence("glue-when-heated", zone) if float(boards.middle[0]) == 0.0 else Sentence("glue-when-season")


def _lean(view: GlueView, word: Word) -> Lean:
    """To the side of the first board that is off."""
    if word == "ready":
        return "none"
    return next((lean for board in view.boards if (lean := board.view.lean()) != "none"), "none")
