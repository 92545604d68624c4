"""What a question is, and the one way to ask it: command, API and screen all come through :func:`ask`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Protocol, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from server.words import Sentence, Units, Words, render

ESTIMATE_CAUTION = Sentence("book-caution-estimate")


class Request(BaseModel):
    """A question's input. A field's description states meaning, range and unit: it is help text and error text both."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


R_contra = TypeVar("R_contra", bound=Request, contravariant=True)


@cache
def _english() -> Words:
    return Words("en")


@dataclass(frozen=True, slots=True)
class Answer:
    """Figures unrounded, their keys ending in their unit; None where there is no such figure.

    ``flags`` say in fixed words why a figure is less than usual; ``said`` are the sentences that tell a person, in no
    language yet.
    """

    figures: Mapping[str, Any]
    said: tuple[Sentence, ...]
    source: str
    caution: Sentence | None = None
    flags: tuple[str, ...] = ()

    def text(self, words: Words | None = None, units: Units = "metric") -> str:
        """The sentences, said one after the other; in English unless told otherwise."""
        return " ".join(_text(sentence, words, units) for sentence in self.said)

    def caution_text(self, words: Words | None = None, units: Units = "metric") -> str | None:
        """The caution that belongs to the figures, said; None where there is none."""
        return None if self.caution is None else _text(self.caution, words, units)

    def document(self, words: Words | None = None, units: Units = "metric") -> dict[str, Any]:
        """One flat JSON object: the figures, and ``flags``, ``sentence``, ``source``, ``caution``."""
        texts = {"sentence": self.text(words, units), "source": self.source, "caution": self.caution_text(words, units)}
        return {**self.figures, "flags": list(self.flags), **texts}


def _text(sentence: Sentence, words: Words | None, units: Units) -> str:
    return str(render(sentence, words or _english(), units)["text"])


class Question(Protocol[R_contra]):
    """One question: its name on every door, a line saying what it answers, its input, and a pure answer."""

    name: str
    summary: str
    request: type[Request]

    def answer(self, request: R_contra, /) -> Answer:
        """The answer. Raises BadRequest where fields that are each in range cannot be meant together."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong with a request."""

    field: str
    found: str
    would_be_right: str

    def __str__(self) -> str:
        return f"{self.field}: found {self.found}; would be right: {self.would_be_right}"


@dataclass
class BadRequest(Exception):
    """The request cannot be answered. ``mistakes`` holds all that is wrong with it."""

    mistakes: tuple[Mistake, ...] = field(default_factory=tuple)

    def __str__(self) -> str:
        return "\n".join(str(m) for m in self.mistakes)


def ask(question: Question[Any], given: Mapping[str, Any]) -> Answer:
    """Check what was given, all of it, then answer. Raises BadRequest."""
    try:
        request = question.request.model_validate(dict(given))
    except ValidationError as refused:
        raise BadRequest(tuple(_mistake(question, dict(e)) for e in refused.errors())) from None
    return question.answer(request)


def _mistake(question: Question[Any], error: dict[str, Any]) -> Mistake:
    key = str(error["loc"][0]) if error["loc"] else question.name
    known = question.request.model_fields.get(key)
    if known is None:
        return Mistake(key, "a field nobody asked for", f"one of {', '.join(question.request.model_fields)}")
    found = "nothing" if error["type"] == "missing" else repr(error["input"])
    return Mistake(key, found, known.description or str(error["msg"]))
