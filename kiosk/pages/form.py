"""Something to be told, one question after the other: what has been answered stands at the left, the question that is
open at the right. Whatever has a usual answer is answered already, and can be touched to be another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from kiosk.blocks import Block, Button, Choices, Column, Heading, Keyboard, Line, Pad, PageView, Table, TableRow
from kiosk.client import Ask, Tell
from kiosk.ids import new_id
from kiosk.pages.base import Back, Home, Open, Say, Seen, Stay, Step
from kiosk.pages.entering import UNITS, Entering

Values = Mapping[str, Any]
Options = Callable[[Seen, Values], tuple[tuple[Any, str], ...]]
"""What may be chosen: each value with its text."""
NAME_SIGNS = 40
HOUR_MS = 3_600_000


def always(seen: Seen, values: Values) -> bool:
    """Asked of everything."""
    return True


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """One question. Its words are ``field-NAME`` (what it is) and ``ask-NAME`` (the question in full).

    ``quantity`` (of :data:`kiosk.pages.entering.UNITS`) makes it a number, ``options`` a choice, ``letters`` a choice
    by first letter, none of them a name. ``usual`` answers it until somebody does; None leaves it open. ``asked`` says
    whether it is asked at all; ``optional`` may be left without an answer. ``quick`` are usual numbers, in told units.
    """

    name: str
    quantity: str | None = None
    options: Options | None = None
    usual: Callable[[Seen, Values], Any] | None = None
    asked: Callable[[Seen, Values], bool] = always
    optional: bool = False
    letters: bool = False
    quick: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Form:
    """``deed`` makes of the values what is told to the journal; ``tell`` is the key of
    the words on its button where it is not ``tell-NAME``."""

    name: str
    fields: tuple[Field, ...]
    deed: Callable[[Seen, Values], dict[str, Any]]
    asks: Callable[[Values], Iterable[Ask]] = lambda _: ()
    after: Callable[[Values, Step], Step] = lambda _, step: step
    pages_back: int = 2
    tell: str = ""


@dataclass(frozen=True, slots=True)
class FormPage:
    """``values`` are what somebody answered; ``at`` the question that is open, "" once there is none. ``entry`` is the
    id of what will be told, made once so that told twice is done once."""

    form: Form
    given: tuple[tuple[str, Any], ...] = ()
    at: str = ""
    entering: Entering = field(default_factory=Entering)
    letter: str = ""
    entry: str = field(default_factory=new_id)

    @property
    def values(self) -> dict[str, Any]:
        return dict(self.given)

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return self.form.asks(self.values)

    def answers(self, seen: Seen) -> dict[str, Any]:
        """What was answered, and the usual answers to the rest."""
        found = self.values
        for one in self.form.fields:
            if one.name not in found and one.usual is not None and one.asked(seen, found):
                usual = one.usual(seen, found)
                if usual is not None:
                    found[one.name] = usual
        return {
            name: value for name, value in found.items() if self._known(name) is None or self._asked(seen, name, found)
        }

    def _known(self, name: str) -> Field | None:
        return next((one for one in self.form.fields if one.name == name), None)

    def _asked(self, seen: Seen, name: str, values: Values) -> bool:
        one = self._known(name)
        return one is not None and one.asked(seen, values)

    def open_field(self, seen: Seen, after: str = "") -> str:
        """The first question without an answer, beginning behind ``after``; "" if there is none."""
        values = self.answers(seen)
        names = [one.name for one in self.form.fields if one.asked(seen, values)]
        start = names.index(after) + 1 if after in names else 0
        for name in names[start:] + names[:start]:
            one = self._known(name)
            if name not in values and one is not None and not one.optional:
                return name
        return ""

    def opened(self, seen: Seen, name: str) -> FormPage:
        """With that question open."""
        one, values = self._known(name), self.answers(seen)
        entering = self.entering
        if one is not None and one.quantity is not None:
            entering = Entering.of(one.quantity, seen.units.system, self.values.get(name))
            if name not in self.values and name in values:
                entering = Entering.of(one.quantity, seen.units.system)
        return replace(self, at=name, entering=entering, letter="")

    def shown(self, seen: Seen) -> PageView:
        words, values = seen.words, self.answers(seen)
        rows = tuple(
            TableRow(
                words(f"field-{one.name}"), self._text(seen, one, values), f"field:{one.name}", one.name == self.at
            )
            for one in self.form.fields
            if one.asked(seen, values)
        )
        left = Column((Heading(words(f"form-{self.form.name}")), Table(self.form.name, rows)), share=0.72)
        done = not self.open_field(seen)
        deeds = [Button("tell", words(self.form.tell or f"tell-{self.form.name}"), enabled=done)]
        one = self._known(self.at)
        if one is None:
            return PageView((left, Column((Line(words("form-ready")),))), tuple(deeds))
        if one.quantity is not None or (one.options is None and not one.letters):
            ok = self.entering.value is not None if one.quantity is not None else bool(self.entering.typed.strip())
            deeds.insert(0, Button("next", words("next"), enabled=ok))
        if one.optional:
            deeds.insert(0, Button("skip", words("leave-open")))
        return PageView((left, Column(self._question(seen, one, values))), tuple(deeds))

    def _question(self, seen: Seen, one: Field, values: Values) -> tuple[Block, ...]:
        words = seen.words
        heading = Heading(words(f"ask-{one.name}"))
        if one.quantity is not None:
            return heading, self._pad(seen, one)
        if one.options is None:
            return heading, Keyboard(f"{self.entry}/{one.name}", self.entering.typed)
        options = one.options(seen, values)
        if one.letters and not self.letter:
            letters = sorted({text[:1].upper() for _, text in options if text})
            recent = tuple(Button(f"choose:{value}", text) for value, text in recent_first(seen, one.name, options))
            return heading, Choices(f"{one.name}/letters", (*recent, *(Button(f"letter:{x}", x) for x in letters)))
        if one.letters:
            options = tuple(o for o in options if o[1][:1].upper() == self.letter)
        chosen = values.get(one.name)
        buttons = tuple(Button(f"choose:{value}", text, chosen=value == chosen) for value, text in options)
        return heading, Choices(f"{one.name}/{self.letter}", buttons)

    def _pad(self, seen: Seen, one: Field) -> Pad:
        assert one.quantity is not None  # noqa: S101 - asked only of numbers
        words, units = seen.words, UNITS[one.quantity]
        others = tuple(
            Button(f"unit:{unit}", words(f"unit-{unit}"), chosen=unit == self.entering.unit) for unit in units if unit
        )
        usual = tuple(
            Button(f"value:{value}", number_text(seen, value, one.quantity, self.entering.unit)) for value in one.quick
        )
        unit = words(f"unit-{self.entering.unit}") if self.entering.unit else ""
        return Pad(
            f"{self.entry}/{one.name}", self.entering.shown(words("decimal-point")), unit, words("decimal-point"),
            others if len(units) > 1 else (), usual or self.entering.quick(),
        )  # fmt: skip

    def _text(self, seen: Seen, one: Field, values: Values) -> str:
        value = values.get(one.name)
        if value is None:
            return "–" if one.optional else seen.words("not-answered")
        if one.quantity is not None:
            return number_text(seen, float(value), one.quantity, "")
        if one.options is None:
            return str(value)
        return next((text for key, text in one.options(seen, values) if key == value), str(value))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        one = self._known(self.at)
        if kind == "tell":
            return self._tell(seen)
        if kind == "field":
            return Stay(self.opened(seen, what))
        return None if one is None else self._answered(seen, one, kind, what)

    def _answered(self, seen: Seen, one: Field, kind: str, what: str) -> Step | None:
        if kind == "letter":
            return Stay(replace(self, letter=what))
        if kind == "choose" and one.options is not None:
            value = next((key for key, _ in one.options(seen, self.answers(seen)) if str(key) == what), None)
            return None if value is None else Stay(self._with(seen, one, value))
        if kind == "skip":
            return Stay(self._without(seen, one))
        return self._typed(seen, one, kind, what)

    def _typed(self, seen: Seen, one: Field, kind: str, what: str) -> Step | None:
        entering = self.entering
        match kind:
            case "pad":
                entering = entering.pressed(what)
            case "unit":
                entering = entering.in_unit(what)
            case "part":
                entering = entering.with_part(Fraction(what))
            case "value":
                return Stay(self._with(seen, one, float(what)))
            case "key":
                entering = replace(entering, typed=typed_name(entering.typed, what))
            case "next":
                value = entering.value if one.quantity is not None else entering.typed.strip()
                return Stay(self._with(seen, one, value)) if value not in {None, ""} else None
            case _:
                return None
        return Stay(replace(self, entering=entering))

    def _with(self, seen: Seen, one: Field, value: Any) -> FormPage:
        """Answered, and on to the next question that is open."""
        given = (*((n, v) for n, v in self.given if n != one.name), (one.name, value))
        after = replace(self, given=given)
        return after.opened(seen, after.open_field(seen, one.name))

    def _without(self, seen: Seen, one: Field) -> FormPage:
        after = replace(self, given=tuple((n, v) for n, v in self.given if n != one.name))
        return after.opened(seen, after.open_field(seen, one.name))

    def _tell(self, seen: Seen) -> Step | None:
        if self.open_field(seen):
            return Stay(self.opened(seen, self.open_field(seen)))
        values = self.answers(seen)
        deed = self.form.deed(seen, values)
        after = self.form.after(values, Back(self.form.pages_back))
        assert isinstance(after, Stay | Open | Back | Home)  # noqa: S101 - nothing else can follow
        body: dict[str, Any] = {"id": self.entry, "deed": deed}
        hours = int(values.get("hour", 0))
        if hours:
            body["t_ms"] = seen.now_ms - hours * HOUR_MS
        tell = Tell("told", "/api/journal", body)
        return Say(tell, after, undo=self.entry, done=seen.words(f"done-{deed['kind']}"))


def begun(form: Form, seen: Seen, **given: Any) -> FormPage:
    """A form at its first open question."""
    page = FormPage(form, tuple(given.items()))
    return page.opened(seen, page.open_field(seen))


def tell_deed(deed: dict[str, Any], after: Stay | Open | Back | Home, done: str) -> Say:
    """A deed that needs nothing asked."""
    entry = new_id()
    return Say(Tell("told", "/api/journal", {"id": entry, "deed": deed}), after, undo=entry, done=done)


def recent_first(seen: Seen, name: str, options: tuple[tuple[Any, str], ...]) -> tuple[tuple[Any, str], ...]:
    """Of the options those that lots in the shop have, up to five, the newest lot's first."""
    lots = sorted(seen.document("lots") or (), key=lambda lot: -int(lot["received_ms"]))
    keys = list(dict.fromkeys(lot.get(name) for lot in lots if lot.get(name)))
    texts = dict(options)
    return tuple((key, texts[key]) for key in keys if key in texts)[:5]


def number_text(seen: Seen, value: float, quantity: str, unit: str) -> str:
    """A number with its unit, as it is read in a row or on a quick key."""
    unit = unit or UNITS[quantity][-1 if seen.units.imperial else 0]
    shown = Entering(quantity, unit).standing(value)
    return seen.words("with-unit", number=seen.figures.given(float(shown.typed or 0)), unit=unit or "none")


def typed_name(text: str, key: str) -> str:
    """A name after a key of the keyboard; capital where a word begins with the first letter."""
    if key == "back":
        return text[:-1]
    if len(text) >= NAME_SIGNS:
        return text
    sign = " " if key == "space" else key
    return text + (sign.upper() if not text else sign)
