"""The answer to a glue-up: the verdict, the boards side by side, their width through the year, and each question; what
it is glued against where it is glued all the same."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from kiosk.blocks import (
    Block,
    Button,
    Caution,
    Column,
    Heading,
    Line,
    PageView,
    Picture,
    QuestionRow,
    Questions,
)
from kiosk.client import Ask
from kiosk.glue_views import BoardsView, WidthBar, WidthView
from kiosk.pages.base import Open, Seen, Step
from kiosk.pages.forms import DESTINATIONS
from kiosk.pages.glued import glued_form
from kiosk.pages.lot import columns_of, section_of
from kiosk.pages.rack import LOTS
from kiosk.viewmodel import SEVERITY
from kiosk.views import BandView

KEY = "glue-up"


def question(asked: Mapping[str, Any]) -> Ask:
    """May it be glued?"""
    return Ask(KEY, "/api/glueup", body=asked)


def answered(seen: Seen, asked: Mapping[str, Any]) -> dict[str, Any] | None:
    """The answer to just this; an answer about other boards may still stand under the key."""
    answer = seen.answers.get(KEY)
    if answer is None or answer.of != question(asked) or answer.document is None:
        return None
    found: dict[str, Any] = answer.document
    return found


@dataclass(frozen=True, slots=True)
class GlueAnswerPage:
    """``asked`` is what was asked of the server."""

    asked: Mapping[str, Any]

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return question(self.asked), LOTS, DESTINATIONS

    def shown(self, seen: Seen) -> PageView:
        found = answered(seen, self.asked)
        if found is None:
            answer = seen.answers.get(KEY)
            here = answer is not None and answer.of == question(self.asked) and answer.refused is not None
            text = seen.words("being-worked-out")
            if here and answer is not None and answer.refused is not None:
                text = seen.words("glue-not-possible", reason=answer.refused.would_be_right or answer.refused.text)
            return PageView((Column((Line(text, strong=here),)),))
        left = Column(self._panel(seen, found), share=0.85)
        right = Column((Heading(seen.words("glue-before")), Questions(KEY, question_rows(seen, found))))
        return PageView((left, right), (Button("glued", seen.words("do-glued")),), band=band_of(seen, found))

    def _panel(self, seen: Seen, found: dict[str, Any]) -> tuple[Block, ...]:
        words = seen.words
        blocks: list[Block] = [
            Heading(words("glue-boards-across", count=int(found["strips"]), width=_mm(seen, found["width_mm"], 0)))
        ]
        boards = boards_view(seen, self.asked)
        if boards.boards:
            blocks.append(Picture(boards, high=4.2))
        year = next((line for line in found["lines"] if line["question"] == "year-of-width"), None)
        bars = width_view(seen, year)
        if year is not None and bars is not None:
            blocks.append(Picture(bars, high=1.5 + 1.5 * len(bars.bars)))
            blocks += [Line(str(one["text"]), quiet=True) for one in year["said"][1:2]]
        glue = next((line["caution"] for line in found["lines"] if line["question"] == "warm-enough"), None)
        if glue:
            blocks.append(Caution(words("caution"), str(glue["text"])))
        return tuple(blocks)

    def touched(self, seen: Seen, name: str) -> Step | None:
        found = answered(seen, self.asked)
        if found is None:
            return None
        kind, _, what = name.partition(":")
        if kind == "line":
            return Open(GlueLinePage(self.asked, what))
        if kind == "glued":
            return Open(AgainstPage(self.asked)) if found["against"] else Open(glued_form(seen, self.asked, found))
        return None


@dataclass(frozen=True, slots=True)
class GlueLinePage:
    """One question of it with all that was said, its limit, its sources and its caution; or ``when`` it can be."""

    asked: Mapping[str, Any]
    question: str

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (question(self.asked),)

    def shown(self, seen: Seen) -> PageView:
        found = answered(seen, self.asked)
        if found is None:
            return PageView((Column((Line(seen.words("being-worked-out")),)),))
        if self.question == "when":
            return PageView((Column(_when(seen, found)),))
        line = next((one for one in found["lines"] if one["question"] == self.question), None)
        if line is None:
            return PageView((Column((Line(seen.words("being-worked-out")),)),))
        return PageView(columns_of(seen, line))

    def touched(self, seen: Seen, name: str) -> Step | None:
        return None


@dataclass(frozen=True, slots=True)
class AgainstPage:
    """It is not ready: asked once, naming what it goes against; that is kept in the journal."""

    asked: Mapping[str, Any]

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return question(self.asked), LOTS

    def shown(self, seen: Seen) -> PageView:
        words, found = seen.words, answered(seen, self.asked)
        if found is None:
            return PageView((Column((Line(words("being-worked-out")),)),))
        rows = tuple(row for row in question_rows(seen, found) if row.word not in {"", "ready"} and row.name != WHEN)
        left = Column((Heading(words("glue-against")), Questions("against", rows)))
        cautions = dict.fromkeys(
            str(line["caution"]["text"]) for line in found["lines"]
            if line["caution"] and f"line:{line['question']}" in {row.name for row in rows}
        )  # fmt: skip
        kept: list[Block] = [Line(words("glue-against-kept"))]
        kept += [Caution(words("caution"), text) for text in cautions]
        deeds = (Button("all-the-same", words("glue-all-the-same")),)
        return PageView((left, Column(tuple(kept), share=0.6)), deeds, band=band_of(seen, found))

    def touched(self, seen: Seen, name: str) -> Step | None:
        found = answered(seen, self.asked)
        if found is None:
            return None
        if name == "all-the-same":
            return Open(glued_form(seen, self.asked, found))
        if name.startswith("line:"):
            return Open(GlueLinePage(self.asked, name.partition(":")[2]))
        return None


WHEN = "line:when"


def question_rows(seen: Seen, found: dict[str, Any]) -> tuple[QuestionRow, ...]:
    """When it can be, if not now; then every question, what speaks against it first."""
    rows = [
        QuestionRow(
            f"line:{line['question']}", str(line["word"] or ""), str(found["lean"]), str(line["asked"]["text"]),
            str(line["said"][0]["text"]) if line["said"] else "",
            seen.words(f"word-{line['word']}") if line["word"] else "",
        )
        for line in sorted(found["lines"], key=_rank)
    ]  # fmt: skip
    when = found["when"]
    if when:
        sooner = str(when["sooner"][0]["said"]["text"]) if when["sooner"] else ""
        rows.insert(0, QuestionRow(WHEN, "", "none", str(when["said"]["text"]), sooner, ""))
    return tuple(rows)


def _rank(line: dict[str, Any]) -> int:
    """What speaks against it is read first."""
    return SEVERITY.index(line["word"]) if line["word"] in SEVERITY else len(SEVERITY)


def _when(seen: Seen, found: dict[str, Any]) -> tuple[Block, ...]:
    when = found["when"]
    if not when:
        return (Line(str(found["why"]["text"])),)
    blocks: list[Block] = [Heading(seen.words("glue-when")), Line(str(when["said"]["text"]), strong=True)]
    if when["sooner"]:
        blocks.append(Heading(seen.words("glue-sooner")))
        blocks += [Line(str(way["said"]["text"])) for way in when["sooner"]]
    return tuple(blocks)


def band_of(seen: Seen, found: dict[str, Any]) -> BandView:
    """The verdict: what to do, and why; what it rests on that nobody has confirmed comes first."""
    still = found["if_still"]
    why = str(still[0]["said"]["text"]) if still else str(found["why"]["text"])
    title, word = str(found["title"]["text"]), str(found["word"])
    return BandView(word, str(found["lean"]), title, why, title, seen.words(f"word-{word}"))


def boards_view(seen: Seen, asked: Mapping[str, Any]) -> BoardsView:
    """The pieces side by side as they were chosen, each coloured against the panel's aim."""
    lots = {str(lot["id"]): lot for lot in seen.document("lots") or ()}
    low, high = aim_of(seen, asked)
    found = []
    for board in asked["boards"]:
        lot = lots.get(board["lot"])
        section = None if lot is None else section_of(lot)
        if section is not None:
            one = replace(section, dry_limit_pct=low, damp_limit_pct=high, lying="")
            found += [one] * int(board["pieces"])
    return BoardsView(tuple(found))


def aim_of(seen: Seen, asked: Mapping[str, Any]) -> tuple[float | None, float | None]:
    """The limits of where it is meant for, % MC; None while they are not known."""
    aim = asked["aim"]
    if "dry_limit_pct" in aim:
        return aim["dry_limit_pct"], aim["damp_limit_pct"]
    places = {str(one["id"]): one for one in seen.document("destinations") or ()}
    place = places.get(aim["destination"], {})
    return place.get("dry_limit_pct"), place.get("damp_limit_pct")


def width_view(seen: Seen, year: dict[str, Any] | None) -> WidthView | None:
    """How far it shrinks and swells; None where nobody has published how that wood moves."""
    figures = (year or {}).get("figures") or {}
    if year is None or "shrinks_mm" not in figures:
        return None
    words = seen.words
    bars = [_bar(seen, words("glue-if-now"), figures["shrinks_mm"], figures["swells_mm"])]
    if "later_shrinks_mm" in figures:
        later = words("glue-if-later", days=round(figures["later_days"]))
        bars.append(_bar(seen, later, figures["later_shrinks_mm"], figures["later_swells_mm"]))
    return WidthView(words("glue-across-year"), tuple(bars))


def _bar(seen: Seen, label: str, shrinks_mm: float, swells_mm: float) -> WidthBar:
    less, more = (
        seen.figures.small_length(mm) if seen.units.imperial else _mm(seen, mm, 1) for mm in (shrinks_mm, swells_mm)
    )
    return WidthBar(label, shrinks_mm, swells_mm, f"\N{MINUS SIGN}{less}", f"+{more}")


def _mm(seen: Seen, mm: float, places: int) -> str:
    return seen.figures.length(mm, places)
