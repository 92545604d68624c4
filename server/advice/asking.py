"""The one way to ask of a lot: every question of the catalogue, or one with what is planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from server.advice.base import Decision, Line, LotView, NotToBeAsked, OfMany, decision_of
from server.advice.catalog import QUESTIONS, questions_of
from server.advice.confirmed import if_still
from server.advice.view import Seeing
from server.reading import Lean, Word
from server.shop.lot import Lot
from server.stores.port import StoreError
from server.words import Sentence

NOT_WORKED_OUT = Sentence("lot-not-worked-out-title"), Sentence("lot-not-worked-out")
"""Title and reason where a bug of ours left no verdict."""
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


def advise(view: LotView) -> Advice:
    """Every question that can be asked of the lot, in the catalogue's order. The worst word decides, of two alike the
    first; a lot of which nothing is held waits."""
    asked = (question.answer(view, question.inputs()) for question in questions_of(view.lot).values())
    lines = tuple(line for line in asked if line is not None)
    return _verdict(view, [decision for line in lines if (decision := decision_of(line))], lines)


def verdicts(views: Sequence[LotView]) -> list[Advice]:
    """Of each of them what :func:`advise` says, without the lines: only what may decide is asked. Least dear of lots
    that lie in one zone, one after the other."""
    decided: list[list[Decision]] = [[] for _ in views]
    for question in (question for question in QUESTIONS.values() if question.decides):
        which = [i for i, view in enumerate(views) if question.name in questions_of(view.lot)]
        some = [views[i] for i in which]
        each = (
            question.decisions(some)
            if isinstance(question, OfMany)
            else [decision_of(question.answer(view, question.inputs())) for view in some]
        )
        for i, decision in zip(which, each, strict=True):
            if decision is not None:
                decided[i].append(decision)
    return [_verdict(view, mine, ()) for view, mine in zip(views, decided, strict=True)]


@dataclass(frozen=True, slots=True)
class Asked:
    """A lot's verdict, of what was held of it then; where a bug of ours left none, its ``fault`` and no ``view``."""

    advice: Advice
    view: LotView | None = None
    fault: Exception | None = None


def verdicts_of(seeing: Seeing, lots: Sequence[Lot]) -> dict[str, Asked]:
    """Of each of them that has an aim what :func:`verdicts` says. A lot that cannot be worked out for a bug of ours
    says so, and costs no other lot its verdict. Reads the record. Raises StoreError."""
    try:
        views = list(seeing.views(lots))
        return {view.lot.id: Asked(advice, view) for view, advice in zip(views, verdicts(views), strict=True)}
    except StoreError:
        raise
    except Exception as fault:  # noqa: BLE001 - it is handed on with the lot
        if len(lots) == 1:
            return {lots[0].id: Asked(Advice("look", "none", *NOT_WORKED_OUT, ()), fault=fault)}
        half = len(lots) // 2
        return verdicts_of(seeing, lots[:half]) | verdicts_of(seeing, lots[half:])


def _verdict(view: LotView, decided: Sequence[Decision], lines: tuple[Line, ...]) -> Advice:
    if not decided:
        why = {"why": view.lot.not_modelled or "not-yet"}
        title, said = Sentence("lot-nothing-held-title", why), Sentence("lot-nothing-held", why)
        return Advice("wait", "none", title, said, lines, if_still(view))
    word, title, said = min(decided, key=lambda one: RANK[one[0]])
    lean: Lean = "none" if word == "ready" else view.lean()
    return Advice(word, lean, title, said, lines, if_still(view))


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
