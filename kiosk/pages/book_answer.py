"""An answer of the bench book as blocks: the sentence, its figures with their spreads, a section, and the caution."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from kiosk.blocks import Block, Caution, Column, Facts, Heading, Line, Picture, Table, TableRow
from kiosk.figures import INCH_MM
from kiosk.grain import GrainView
from kiosk.pages.base import Seen
from kiosk.pages.book_questions import BookQuestion, Fact
from kiosk.views import FigureView

SEASON_DAYS = 60.0
NEWTONS_PER_LBF = 4.4482216152605
SENTENCE_ENDS = re.compile(r"(?<=[a-zäöüß%\])]\.) (?=[A-ZÄÖÜ])|(?<=\d\.) (?=[A-ZÄÖÜ][a-zäöü]+ [a-zäöü])")
FEW_SIGNS, MORE_SIGNS = 300, 520
"""More than that beside the first sentence is read on a page of its own."""


def answer_columns(
    seen: Seen, question: BookQuestion, values: Mapping[str, Any], answer: Mapping[str, Any], about: str
) -> tuple[Column, ...]:
    """The sentence with its figures and ``about``, what was asked; beside them the section, the caution, the source."""
    first, rest = sentences(str(answer["sentence"]))
    said: list[Block] = [Heading(seen.words(f"form-book-{question.name}")), Line(first, strong=True)]
    if question.one_of:
        said += _beside(seen, question, answer[question.one_of])
    else:
        shown = [found for fact in question.facts if (found := figure(seen, fact, answer)) is not None]
        said += [Facts(tuple(shown[at : at + 3])) for at in range(0, len(shown), 3)]
        said += [Line(about, quiet=True)] if about else []
    beside: list[Block] = []
    section = section_of(question, values, answer)
    if section is not None:
        beside.append(Picture(section, words=seen.words))
    elif rest and len(rest) <= (MORE_SIGNS if question.one_of else FEW_SIGNS):
        beside.append(Line(rest))
    beside.append(Caution(seen.words("caution"), str(answer["caution"])))
    if section is None and len(str(answer["source"])) <= FEW_SIGNS:
        beside += [Heading(seen.words("sources")), Line(str(answer["source"]), quiet=True)]
    return Column(tuple(said)), Column(tuple(beside), share=0.85)


def rests_columns(seen: Seen, question: BookQuestion, answer: Mapping[str, Any]) -> tuple[Column, ...]:
    """All that was said, and what it rests on."""
    first, rest = sentences(str(answer["sentence"]))
    said: list[Block] = [Heading(seen.words(f"form-book-{question.name}")), Line(first, strong=True)]
    said += [Line(rest)] if rest else []
    rests: list[Block] = [Heading(seen.words("sources")), Line(str(answer["source"]), quiet=True)]
    rests.append(Caution(seen.words("caution"), str(answer["caution"])))
    return Column(tuple(said)), Column(tuple(rests))


def sentences(text: str) -> tuple[str, str]:
    """The first of them, and the others."""
    first, *others = SENTENCE_ENDS.split(text, maxsplit=1)
    return first, " ".join(others)


def _held(answer: Any, key: str) -> Any:
    for part in key.split("."):
        if isinstance(answer, list):
            answer = answer[int(part)] if part.isdigit() and int(part) < len(answer) else None
        else:
            answer = None if answer is None else answer.get(part)
    return answer


def figure(seen: Seen, fact: Fact, answer: Mapping[str, Any]) -> FigureView | None:
    """One figure as it is read, with its spread; None where the answer has none."""
    value = _held(answer, fact.key)
    if value is None:
        return None
    low, high = _held(answer, f"{fact.key}_low"), _held(answer, f"{fact.key}_high")
    text = figure_text(seen, fact.kind, float(value))
    around = _held(answer, fact.spread) if fact.spread else None
    if around is not None:
        text = f"{text} ± {seen.figures.number(float(around), 2 if fact.kind == 'pct2' else 1)}"
    label = seen.words(f"fact-{fact.key.rpartition('.')[2]}")
    if low is not None and high is not None and not (fact.kind == "days" and low > SEASON_DAYS):
        places = 0 if fact.kind == "days" else 3 if fact.kind == "mm" and seen.units.imperial else 1
        one = INCH_MM if fact.kind == "mm" and seen.units.imperial else 1.0
        low_text, high_text = (seen.figures.number(float(end) / one, places) for end in (low, high))
        label = seen.words("book-spread", label=label, low=low_text, high=high_text)
    return FigureView(text, label)


PLACES = {"pct": (1, " %"), "pct2": (2, " %"), "share": (2, " %"), "litres": (1, " l"), "money": (2, "")}


def figure_text(seen: Seen, kind: str, value: float) -> str:
    """A figure of the answer in the units of the wall; a gap is finer than the parts of an inch on a rule."""
    figures, inches = seen.figures, seen.units.imperial
    if kind == "mm":
        return f"{figures.number(value / INCH_MM, 3)} in" if inches else f"{figures.number(value, 1)} mm"
    if kind == "c":
        return figures.temperature(value)
    if kind == "force":
        return f"{value / NEWTONS_PER_LBF:.0f} lbf" if inches else f"{value:.0f} N"
    if kind == "days":
        past = value > SEASON_DAYS
        return seen.words("book-past-season") if past else seen.words("book-days", days=max(1, round(value)))
    places, unit = PLACES.get(kind, (2, ""))
    return f"{figures.number(value, places)}{unit}"


def _beside(seen: Seen, question: BookQuestion, every: list[Mapping[str, Any]]) -> tuple[Block, ...]:
    """Several beside each other: their names, and a row for each figure with theirs in that order."""
    names = " · ".join(str(one.get("common_name") or one.get("label")) for one in every)
    rows: list[TableRow] = []
    for fact in question.facts:
        found = [figure(seen, fact, one) for one in every]
        if any(found):
            values = " · ".join("–" if one is None else one.value for one in found)
            rows.append(TableRow(seen.words(f"fact-{fact.key}"), values))
    return Line(names), Table(f"book-{question.name}", tuple(rows))


def section_of(question: BookQuestion, values: Mapping[str, Any], answer: Mapping[str, Any]) -> GrainView | None:
    """The board's end grain at its worst cup: the drier face hollow, as the answer has it."""
    cut, wide = str(values.get("cut", "flat")), values.get("width_mm")
    if wide is None:
        return None
    if question.name == "resaw":
        half = answer["halves"][0]
        return GrainView(half["thickness_mm"], wide, cut, cup_mm=half["peak_mm"])
    if question.name in {"cup", "mill"}:
        thick = answer.get("thickness_mm") or values["thickness_mm"]
        return GrainView(thick, wide, cut, cup_mm=answer["peak_mm"], lying="one-face")
    return None
