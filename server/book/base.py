"""What a question is, and the one way to ask it: command, API and screen all come through :func:`ask`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Protocol, TypeVar

from pydantic import BaseModel, ConfigDict, PrivateAttr, ValidationError

from server.wood.species import NotPublished, Species, Table, all_species, coefficients, doubtful
from server.words import Sentence, Units, Words, render

ESTIMATE_CAUTION = Sentence("book-caution-estimate")
YOURS, DOUBTFUL, BY_SHRINKAGE = "own-species", "doubtful-figure", "no-coefficient"
RestsOn = tuple[Species, str]
"""A species of which an answer uses a group of figures: a key of its ``sources``, or another word for all of them."""
_LONGEST_FOUND = 100
"""Characters of what somebody sent that are repeated to them."""


class Request(BaseModel):
    """A question's input. A field's description states meaning, range and unit: it is help text and error text both."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    _known: Table = PrivateAttr(default_factory=all_species)

    def model_post_init(self, context: Any, /) -> None:
        """The context of a check is the table of species that this shop knows; the published ones where none is given.

        A request carries it, so that an answer follows from the request alone."""
        if context is not None:
            self._known = context

    @property
    def known(self) -> Table:
        """The species that may be asked for."""
        return self._known


R_contra = TypeVar("R_contra", bound=Request, contravariant=True)


@cache
def _english() -> Words:
    return Words("en")


@dataclass(frozen=True, slots=True)
class Answer:
    """Figures unrounded, their keys ending in their unit; None where there is no such figure.

    ``flags`` say in fixed words why a figure is less than usual; ``said`` are the sentences that tell a person, in no
    language yet. ``sources`` are where the figures come from, a line each. ``rests_on`` is whose figures it used:
    :func:`ask` says what a person must know about those.
    """

    figures: Mapping[str, Any]
    said: tuple[Sentence, ...]
    sources: tuple[str, ...]
    caution: Sentence | None = None
    flags: tuple[str, ...] = ()
    rests_on: tuple[RestsOn, ...] = ()
    table: tuple[tuple[Sentence, ...], ...] = ()
    """What is best read in columns, its head first. A person's only: the figures hold the same."""

    def text(self, words: Words | None = None, units: Units = "metric") -> str:
        """The sentences, said one after the other; in English unless told otherwise."""
        return " ".join(self.lines(words, units))

    def lines(self, words: Words | None = None, units: Units = "metric") -> list[str]:
        """The sentences, said, one by one."""
        return [_text(sentence, words, units) for sentence in self.said]

    @property
    def source(self) -> str:
        """Where the figures come from, in one text."""
        return " ".join(self.sources)

    def table_text(self, words: Words | None = None, units: Units = "metric") -> str:
        """The table, a line a row, its columns under each other; empty where there is none."""
        cells = [[_text(cell, words, units) for cell in row] for row in self.table]
        widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
        lines = ("  ".join(map(str.ljust, row, widths)) for row in cells)
        return "\n".join(line.rstrip() for line in lines)

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

    def __post_init__(self) -> None:
        if len(self.found) > _LONGEST_FOUND:
            object.__setattr__(self, "found", self.found[: _LONGEST_FOUND - 1] + "…")

    def __str__(self) -> str:
        return f"{self.field}: found {self.found}; would be right: {self.would_be_right}"


@dataclass
class BadRequest(Exception):
    """The request cannot be answered. ``mistakes`` holds all that is wrong with it."""

    mistakes: tuple[Mistake, ...] = field(default_factory=tuple)

    def __str__(self) -> str:
        return "\n".join(str(m) for m in self.mistakes)


def ask(
    question: Question[Any], given: Mapping[str, Any], known: Table | None = None, *, as_json: bool = False
) -> Answer:
    """Check what was given, all of it, then answer. ``known`` are the species of this shop, its own among them; the
    published ones where nothing is given. ``as_json``: a number must be one and not a text that reads like one, as
    words on a command line are. Raises BadRequest."""
    no_answers = (key for key, value in given.items() if isinstance(value, bool) and not _asks_yes(question, key))
    truths = {key: str(given[key]) for key in no_answers}
    try:
        if as_json:
            request = question.request.model_validate_json(json.dumps(given), strict=True, context=known)
        else:
            request = question.request.model_validate({**given, **truths}, context=known)
    except ValidationError as refused:
        raise BadRequest(tuple(_mistake(question, dict(e)) for e in refused.errors())) from None
    return _remarked(question.answer(request))


def _remarked(answer: Answer) -> Answer:
    """With what a person must know about the figures it rests on, whichever question it answers."""
    remarks: dict[str, list[Sentence]] = {YOURS: [], DOUBTFUL: [], BY_SHRINKAGE: []}
    for species, figure in answer.rests_on:
        name = {"name": species.common_name}
        if species.own:
            remarks[YOURS].append(Sentence("book-own-species", name))
        if figure in species.sources and doubtful(species, figure):
            remarks[DOUBTFUL].append(Sentence("book-doubtful", {**name, "figure": figure}))
        if figure == "coefficient" and not _has_coefficient(species):
            remarks[BY_SHRINKAGE].append(Sentence("book-by-shrinkage", {**name, "group": species.group}))
    said = {str(s): s for found in remarks.values() for s in found}  # one remark once, whoever asks for it
    flags = (*answer.flags, *(flag for flag, found in remarks.items() if found))
    return replace(answer, said=(*answer.said, *said.values()), flags=flags)


def _has_coefficient(species: Species) -> bool:
    try:
        return coefficients(species).published
    except NotPublished:
        return True  # nothing that shrinkage could stand in for


def _asks_yes(question: Question[Any], key: str) -> bool:
    """Whether true and false are answers to a field: elsewhere pydantic would take them for 1 and 0."""
    known = question.request.model_fields.get(key)
    return known is not None and known.annotation is bool


def _mistake(question: Question[Any], error: dict[str, Any]) -> Mistake:
    key = str(error["loc"][0]) if error["loc"] else question.name
    known = question.request.model_fields.get(key)
    if known is None:
        return Mistake(key, "a field nobody asked for", f"one of {', '.join(question.request.model_fields)}")
    found = "nothing" if error["type"] == "missing" else repr(error["input"])
    return Mistake(key, found, known.description or str(error["msg"]))
