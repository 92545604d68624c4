"""Salt checks as they stand: how long each hangs already, what it says, and how it is ended. No Kivy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from kiosk.blocks import Block, Button, Caution, Choices, Column, Facts, Heading, Line, PageView
from kiosk.client import Ask, Tell
from kiosk.ids import command_id
from kiosk.pages.base import Back, Open, Say, Seen, Step
from kiosk.views import FigureView

CHECKS = Ask("salt-checks", "/api/salt-checks")
HOUR_MS = 3_600_000
OPEN = "settling", "steady"


@dataclass(frozen=True, slots=True)
class SaltChecksPage:
    """Every check, those that hang first."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (CHECKS,)

    def shown(self, seen: Seen) -> PageView:
        words, checks = seen.words, seen.document("salt-checks")
        heading = Heading(words("salt-checks"))
        if not checks:
            text = words("being-fetched") if checks is None else words("salt-no-checks")
            return PageView((Column((heading, Line(text))),))
        ordered = sorted(checks, key=lambda one: (one["state"] not in OPEN, -int(one["begun_ms"])))
        buttons = tuple(
            Button(f"check:{one['id']}", f"{one['sensor']} · {one['salt']}", note=state_text(seen, one))
            for one in ordered
        )
        return PageView((Column((heading, Choices("salt-checks", buttons))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        return Open(SaltCheckPage(what)) if kind == "check" else None


@dataclass(frozen=True, slots=True)
class SaltCheckPage:
    """One check with its timer: what the server says of it, its figures, its caution, and how it ends."""

    check: str

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (CHECKS,)

    def shown(self, seen: Seen) -> PageView:
        one = self._document(seen)
        words = seen.words
        if one is None:
            return PageView((Column((Line(words("being-fetched")),)),))
        title = f"{one['sensor']} · {one['salt_name']}"
        said: list[Block] = [Heading(title), Line(str(one["line"]["text"]), strong=True), Facts(_facts(seen, one))]
        said.append(Line(str(one["source"]), quiet=True))
        beside = Column((Caution(words("caution"), str(one["caution"]["text"])),), share=0.7)
        return PageView((Column(tuple(said)), beside), tuple(_deeds(seen, one)))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, deed = name.partition(":")
        if kind != "salt" or self._document(seen) is None:
            return None
        path = f"/api/salt-checks/{self.check}/{deed}"
        return Say(Tell("told", path, {"command_id": command_id()}), Back())

    def _document(self, seen: Seen) -> Mapping[str, Any] | None:
        return next((one for one in seen.document("salt-checks") or () if one["id"] == self.check), None)


def state_text(seen: Seen, one: Mapping[str, Any]) -> str:
    """Its state, and for how long it hangs as long as it does."""
    state = seen.words(f"salt-state-{str(one['state']).replace(' ', '-')}")
    if one["state"] not in OPEN:
        return state
    return seen.words("salt-hangs", state=state, hours=max(0, (seen.now_ms - int(one["begun_ms"])) // HOUR_MS))


def _facts(seen: Seen, one: Mapping[str, Any]) -> tuple[FigureView, ...]:
    words, figures = seen.words, seen.figures
    hours = max(0.0, ((one["ended_ms"] or seen.now_ms) - one["begun_ms"]) / HOUR_MS)
    found = [FigureView(words("with-unit", number=figures.number(hours), unit="h"), words("salt-over-it"))]
    if one["humidity_pct"] is not None:
        found.append(FigureView(figures.pct(one["humidity_pct"]), words("salt-reads")))
    if one["published_pct"] is not None:
        found.append(FigureView(figures.pct(one["published_pct"]), words("salt-published")))
    return tuple(found)


def _deeds(seen: Seen, one: Mapping[str, Any]) -> Iterable[Button]:
    words = seen.words
    if one["state"] in OPEN:
        yield Button("salt:finish", words("salt-finish"), enabled=one["state"] == "steady")
        yield Button("salt:give-up", words("salt-give-up"))
    elif one["state"] == "done":
        yield Button("salt:withdraw", words("salt-withdraw"))
