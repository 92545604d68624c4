"""The bench book: questions as buttons, each with a page that asks by touch, and the server's answer. No Kivy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from kiosk.blocks import Block, Button, Choices, Column, Heading, Line, PageView, Table, TableRow
from kiosk.client import Ask
from kiosk.pages.base import Open, Seen, Stay, Step
from kiosk.pages.book_answer import answer_columns, rests_columns
from kiosk.pages.book_fields import TYPED, air_of, first_zone
from kiosk.pages.book_questions import BY_NAME, GROUPS, BookQuestion
from kiosk.pages.form import Field, Form, FormPage
from kiosk.pages.forms import SPECIES
from kiosk.pages.rack import LOTS
from kiosk.pages.salt_checks import SaltChecksPage

AIR_FIELDS = "temperature_c", "humidity_pct"


@dataclass(frozen=True, slots=True)
class BookPage:
    """The questions, those of every day first."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return SPECIES, LOTS

    def shown(self, seen: Seen) -> PageView:
        words = seen.words
        columns = tuple(
            Column(
                (
                    Heading(words(f"book-group-{group}")),
                    Choices(group, tuple(Button(f"ask:{name}", words(f"question-{name}")) for name in names)),
                ),
            )
            for group, names in GROUPS
        )
        deeds = Button("ask:offers", words("question-offers")), Button("salt-checks", words("salt-checks"))
        return PageView(columns, deeds)

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        if kind == "salt-checks":
            return Open(SaltChecksPage())
        return Open(asked(seen, what)) if kind == "ask" and what in BY_NAME else None


@dataclass(frozen=True, slots=True)
class QuestionPage(FormPage):
    """A question of the book: once everything is answered, the server's answer takes the place of what was asked, and
    one touch asks otherwise. ``name`` is the question's; ``resting`` shows what the answer rests on."""

    name: str = ""
    resting: bool = False

    @property
    def question(self) -> BookQuestion:
        return BY_NAME[self.name]

    def asks(self, seen: Seen) -> Iterable[Ask]:
        ask = self._ask(seen)
        return (SPECIES, LOTS) if ask is None else (SPECIES, LOTS, ask)

    def _ask(self, seen: Seen) -> Ask | None:
        if self.at or self.open_field(seen):
            return None
        fields = {one.name for one in self.form.fields}
        values = {name: value for name, value in self.answers(seen).items() if name in fields}
        return Ask("book", self.question.path or f"/api/book/{self.name}", body=self.question.body(values))

    def shown(self, seen: Seen) -> PageView:
        if self.at:
            return FormPage.shown(self, seen)
        view = FormPage.shown(self, seen)
        answer = seen.answers.get("book")
        if answer is None or answer.of != self._ask(seen) or (answer.document is None and answer.refused is None):
            return replace(view, columns=(view.columns[0], Column((Line(seen.words("being-fetched")),))), deeds=())
        if answer.document is None:
            return replace(view, columns=(view.columns[0], Column(_refused(seen, answer.refused))), deeds=())
        if self.resting:
            return PageView(rests_columns(seen, self.question, answer.document))
        about = " · ".join(row.value for row in self._rows(view) if row.name != "field:air")
        columns = answer_columns(seen, self.question, self.answers(seen), answer.document, about)
        deeds = Button("change", seen.words("book-change")), Button("rests", seen.words("book-rests"))
        return PageView(columns, deeds)

    def _rows(self, view: PageView) -> tuple[TableRow, ...]:
        """What was asked, as far as somebody would say it: not what was left open."""
        given = {f"field:{name}" for name in self.values}
        rows = (row for block in view.columns[0].blocks if isinstance(block, Table) for row in block.rows)
        return tuple(row for row in rows if row.name in given)

    def touched(self, seen: Seen, name: str) -> Step | None:
        if name == "rests":
            return Open(replace(self, resting=True))
        if name == "change":
            return Stay(self.opened(seen, self.form.fields[0].name))
        return FormPage.touched(self, seen, name)

    def _with(self, seen: Seen, one: Field, value: Any) -> FormPage:
        """As in every form; a zone's air is taken down as it is now, so that the answer stands still."""
        given = {**self.values, one.name: value}
        names = {field.name for field in self.form.fields}
        if one.name == "air":
            given = {name: kept for name, kept in given.items() if name not in AIR_FIELDS}
            given |= {name: figure for name, figure in air_of(seen, str(value)).items() if name in names}
        elif one.name in AIR_FIELDS and "air" in names:
            given["air"] = TYPED
        after = replace(self, given=tuple(given.items()))
        return after.opened(seen, after.open_field(seen, one.name))

    def _tell(self, seen: Seen) -> Step | None:
        return Stay(self.opened(seen, self.open_field(seen)))


def asked(seen: Seen, name: str) -> QuestionPage:
    """A question at its first open field, in the air of the first zone that speaks."""
    question = BY_NAME[name]
    form = Form(f"book-{name}", question.fields, lambda _seen, values: dict(values), tell="book-answer")
    names = {one.name for one in question.fields}
    given: dict[str, Any] = {}
    if "air" in names:
        zone = first_zone(seen)
        given = {"air": zone, **{k: v for k, v in air_of(seen, zone).items() if k in names}}
    page = QuestionPage(form, tuple(given.items()), name=name)
    opened = page.opened(seen, page.open_field(seen))
    assert isinstance(opened, QuestionPage)  # noqa: S101 - replace keeps the class
    return opened


def _refused(seen: Seen, refused: Any) -> tuple[Block, ...]:
    words = seen.words
    blocks: list[Block] = [Heading(words("book-refused")), Line(str(refused.text))]
    if refused.would_be_right:
        blocks.append(
            Table(
                "refused",
                (TableRow(words("book-found"), refused.found), TableRow(words("book-right"), refused.would_be_right)),
            )
        )
    blocks.append(Line(words("form-ready"), quiet=True))
    return tuple(blocks)
