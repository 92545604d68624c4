"""A glue-up's advice as clients are told of it."""

from __future__ import annotations

from typing import Literal

from server.advice.base import ends
from server.advice.documents import LineDocument, line_document
from server.advice.glue_up.asking import GlueAdvice
from server.advice.glue_up.base import GlueView
from server.advice.glue_up.sooner import Way
from server.documents import Document, Said
from server.reading import Lean, Word
from server.snapshot import Speaker
from server.wood.ensemble import Spread
from server.wood.outcome import SEASON_DAYS

DAY_MS = 86_400_000


class AgainstDocument(Document):
    """One answer against gluing now, as the entry ``glued`` keeps it: the question, the key of what it said first, and
    its values."""

    question: str
    said: str
    values: dict[str, float | int | str]


class StillDocument(Document):
    """What the verdict rests on of a lot that nobody has confirmed for too long."""

    lot: str
    said: Said


class WayDocument(Document):
    """A way to be glued sooner; days from now, None where none are to be counted."""

    how: Literal["zone", "stickered", "wrapped"]
    zone: str
    said: Said
    days: dict[str, float | None]
    ready_ms: int
    saves_days: float | None


class WhenDocument(Document):
    """From when on nothing that passes by itself stands against it; ``ready_ms`` is None where no days are to be
    counted: ``not_this_season`` for the boards' sake, else only until the room is warmed."""

    said: Said
    days: dict[str, float | None]
    ready_ms: int | None
    not_this_season: bool
    sooner: list[WayDocument]


class GlueUpDocument(Document):
    """May these boards be glued, by what is held of them at ``at_ms``. One verdict; ``when`` is None where it is ready,
    or where nothing is wanting that comes by itself. ``against`` goes into the entry ``glued`` as it is."""

    at_ms: int
    word: Word
    lean: Lean
    title: Said
    why: Said
    if_still: list[StillDocument]
    width_mm: float
    thickness_mm: float
    strips: int
    zone: str
    lines: list[LineDocument]
    when: WhenDocument | None
    against: list[AgainstDocument]


def glue_up_document(view: GlueView, advice: GlueAdvice, speaker: Speaker) -> GlueUpDocument:
    """All of it."""
    still = [StillDocument(lot=lot, said=speaker.say(said)) for lot, said in advice.if_still]
    return GlueUpDocument(
        at_ms=view.at_ms, word=advice.word, lean=advice.lean, title=speaker.say(advice.title),
        why=speaker.say(advice.why), if_still=still, width_mm=view.width_mm, thickness_mm=view.thickness_mm,
        strips=len(view.strips_mm), zone=view.room.zone, lines=[line_document(line, speaker) for line in advice.lines],
        when=_when(view, advice, speaker),
        against=[_against(line.question, speaker.say(line.said[0])) for line in advice.against],
    )  # fmt: skip


def _against(question: str, said: Said) -> AgainstDocument:
    return AgainstDocument(question=question, said=said.key, values=said.values)


def _when(view: GlueView, advice: GlueAdvice, speaker: Speaker) -> WhenDocument | None:
    if advice.when is None:
        return None
    middle = float(advice.days.middle[0])
    counted = middle <= SEASON_DAYS
    return WhenDocument(
        said=speaker.say(advice.when), days=_days(advice.days), not_this_season=advice.not_this_season,
        ready_ms=view.at_ms + round(middle * DAY_MS) if counted else None,
        sooner=[_way(view, way, speaker) for way in advice.sooner],
    )  # fmt: skip


def _way(view: GlueView, way: Way, speaker: Speaker) -> WayDocument:
    saves = way.saves_days if way.saves_days != float("inf") else None
    return WayDocument(
        how=way.how, zone=way.zone, said=speaker.say(way.said(view)), days=_days(way.days), saves_days=saves,
        ready_ms=view.at_ms + round(float(way.days.middle[0]) * DAY_MS),
    )  # fmt: skip


def _days(days: Spread) -> dict[str, float | None]:
    return ends("days", days)
