"""Advice as clients are told of it."""

from __future__ import annotations

from typing import Any

from server.advice.asking import Advice
from server.advice.base import Line
from server.documents import Document, Said
from server.reading import Lean, Word
from server.snapshot import Speaker


class LimitDocument(Document):
    """What a figure is held against, and where that comes from."""

    said: Said
    figures: dict[str, float]
    source: str


class LineDocument(Document):
    """One question answered: ``word`` is None where it does not bear on the lot's verdict. Keys of ``figures`` end in
    their unit; ``_low`` and ``_high`` are the ends of a figure's central 80 %. ``entries`` are those of the journal
    that it rests on."""

    question: str
    word: Word | None
    title: Said | None
    asked: Said
    said: list[Said]
    figures: dict[str, Any]
    limit: LimitDocument | None
    sources: list[str]
    caution: Said | None
    entries: list[str]


class AdviceDocument(Document):
    """What to do with a lot, by what is held of it at ``at_ms``. One verdict, the same on every screen;
    ``if_still`` is what it rests on where nobody has confirmed that for too long."""

    lot: str
    at_ms: int
    word: Word
    lean: Lean
    title: Said
    why: Said
    if_still: Said | None
    lines: list[LineDocument]


def advice_document(lot: str, at_ms: int, advice: Advice, speaker: Speaker) -> AdviceDocument:
    """All of it."""
    return AdviceDocument(
        lot=lot, at_ms=at_ms, word=advice.word, lean=advice.lean, title=speaker.say(advice.title),
        why=speaker.say(advice.why), if_still=speaker.maybe(advice.if_still),
        lines=[line_document(line, speaker) for line in advice.lines],
    )  # fmt: skip


def line_document(line: Line, speaker: Speaker) -> LineDocument:
    """One line of it."""
    limit = line.limit
    return LineDocument(
        question=line.question, word=line.word, title=speaker.maybe(line.title), asked=speaker.say(line.asked),
        said=[speaker.say(sentence) for sentence in line.said], figures=dict(line.figures),
        limit=None if limit is None else LimitDocument(
            said=speaker.say(limit.said), figures=dict(limit.figures), source=limit.source
        ),
        sources=list(line.sources), caution=speaker.maybe(line.caution), entries=list(line.entries),
    )  # fmt: skip


class VerdictDocument(Document):
    """A lot's verdict, the same as its advice says, of ``at_ms``; ``if_still`` is what it rests on that nobody
    confirmed in time."""

    at_ms: int
    word: Word
    lean: Lean
    title: Said
    why: Said
    if_still: Said | None


def verdict_document(advice: Advice, at_ms: int, speaker: Speaker) -> VerdictDocument:
    """In a language and units."""
    return VerdictDocument(
        at_ms=at_ms, word=advice.word, lean=advice.lean, title=speaker.say(advice.title), why=speaker.say(advice.why),
        if_still=speaker.maybe(advice.if_still),
    )  # fmt: skip
