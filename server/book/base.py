"""What a question is, and the one way to ask it: command, API and screen all come through :func:`ask`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

ESTIMATE_CAUTION = "An estimate for dry lumber under roof, not for green or structural wood."


class Request(BaseModel):
    """A question's input. A field's description states meaning, range and unit: it is help text and error text both."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


R_contra = TypeVar("R_contra", bound=Request, contravariant=True)


@dataclass(frozen=True, slots=True)
class Answer:
    """Figures unrounded, their keys ending in their unit; None where there is no such figure.

    ``flags`` say in fixed words why a figure is less than usual; ``sentence`` says it all to a person.
    """

    figures: Mapping[str, Any]
    sentence: str
    source: str
    caution: str | None = None
    flags: tuple[str, ...] = ()

    def document(self) -> dict[str, Any]:
        """One flat JSON object: the figures, and ``flags``, ``sentence``, ``source``, ``caution``."""
        words = {"sentence": self.sentence, "source": self.source, "caution": self.caution}
        return {**self.figures, "flags": list(self.flags), **words}


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


def shown(value: float, digits: int = 1) -> str:
    """A number as a sentence shows it: so many decimals, a real minus sign, no minus before a zero."""
    text = f"{value:.{digits}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")


def _mistake(question: Question[Any], error: dict[str, Any]) -> Mistake:
    key = str(error["loc"][0]) if error["loc"] else question.name
    known = question.request.model_fields.get(key)
    if known is None:
        return Mistake(key, "a field nobody asked for", f"one of {', '.join(question.request.model_fields)}")
    found = "nothing" if error["type"] == "missing" else repr(error["input"])
    return Mistake(key, found, known.description or str(error["msg"]))
