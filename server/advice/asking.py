"""The one way to ask of a lot: every question of the catalogue, or one with what is planned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from server.advice.base import Line, LotView, NotToBeAsked
from server.advice.catalog import QUESTIONS
from server.advice.confirmed import if_still
from server.reading import Lean, Word
from server.words import Sentence

RANK: dict[Word, int] = {"act": 0, "look": 1, "wait": 2, "ready": 3}


@dataclass(frozen=True, slots=True)
class Advice:
    """A lot's verdict, with title and first sentence of the line that made it, and all its lines; of what the model
    does not carry, only those that need none. ``if_still`` is what it rests on that nobody has confirmed for too
    long."""

    word: Word
    lean: Lean
    title: Sentence
    why: Sentence
    lines: tuple[Line, ...]
    if_still: Sentence | None = None

    def alone(self) -> Advice:
        """Without its lines."""
        return replace(self, lines=())


def advise(view: LotView, *, verdict_only: bool = False) -> Advice:
    """Every question that can be asked of the lot, in the catalogue's order, or only those that may decide. The worst
    word decides, of two alike the first; a lot of which nothing is held waits."""
    some = (question for question in QUESTIONS.values() if question.decides or not verdict_only)
    asked = (question.answer(view, question.inputs()) for question in some)
    lines = tuple(line for line in asked if line is not None)
    deciding = [(line.word, line.title, line.said[0]) for line in lines if line.word is not None and line.title]
    if not deciding:
        why = Sentence("lot-nothing-held", {"why": view.lot.not_modelled or "not-yet"})
        return Advice("wait", "none", Sentence("lot-nothing-held-title"), why, lines, if_still(view))
    word, title, said = min(deciding, key=lambda one: RANK[one[0]])
    return Advice(word, view.lean(), title, said, lines, if_still(view))


def ask_one(view: LotView, name: str, given: Mapping[str, Any]) -> Line | None:
    """One question with what is said with it. Raises KeyError for no such question, NotToBeAsked."""
    question = QUESTIONS[name]
    try:
        inputs = question.inputs.model_validate(given)
    except ValidationError as refused:
        error = refused.errors()[0]
        key = str(error["loc"][0]) if error["loc"] else name
        known = question.inputs.model_fields
        if key not in known:
            right = f"one of {', '.join(known)}" if known else "nothing: this question takes no input"
            raise NotToBeAsked(key, "a field nobody asked for", right) from None
        found = "nothing" if error["type"] == "missing" else repr(error["input"])[:100]
        raise NotToBeAsked(key, found, known[key].description or str(error["msg"])) from None
    return question.answer(view, inputs)
