"""What a page is: a frozen value that says what it needs to know, what it shows, and what a touch does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from kiosk.blocks import PageView
from kiosk.client import Answer, Ask, Refused, Snapshot, Tell
from kiosk.figures import METRIC, Figures, Units
from kiosk.words import Words


@dataclass(frozen=True, slots=True)
class Seen:
    """All a page may look at. ``refused`` is why the last thing told here was not done, until something else is
    touched; ``sending`` says that one is on its way."""

    snapshot: Snapshot | None
    answers: Mapping[str, Answer]
    words: Words
    units: Units = METRIC
    sending: bool = False
    refused: Refused | None = None

    def document(self, key: str, default: Any = None) -> Any:
        """What was answered under a key, or ``default`` while nothing was."""
        answer = self.answers.get(key)
        return default if answer is None or answer.document is None else answer.document

    @property
    def figures(self) -> Figures:
        """In the wall's language and units."""
        return Figures(self.words.language, self.units)

    @property
    def now_ms(self) -> int:
        """By the server's clock; 0 before the first snapshot."""
        return int(self.snapshot["now_ms"]) if self.snapshot else 0

    @property
    def timezone(self) -> str:
        """The shop's."""
        return str(self.snapshot["shop"]["timezone"]) if self.snapshot else "UTC"


class Page(Protocol):
    """One page of a screen. Its state is its fields."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        """What it needs to know, each under its key."""

    def shown(self, seen: Seen) -> PageView:
        """What stands there."""

    def touched(self, seen: Seen, name: str) -> Step | None:
        """What the touch of that name does; None for nothing."""


@dataclass(frozen=True, slots=True)
class Stay:
    """The same page in another state."""

    page: Page


@dataclass(frozen=True, slots=True)
class Open:
    """Another page, over this one."""

    page: Page


@dataclass(frozen=True, slots=True)
class Back:
    """So many pages back."""

    pages: int = 1


@dataclass(frozen=True, slots=True)
class Home:
    """To the screen's first page, and over it ``page`` if there is one."""

    page: Page | None = None


@dataclass(frozen=True, slots=True)
class Say:
    """Tell the server; ``after`` is done once it has said yes. ``undo`` names the entry of the journal that can be
    taken back, and ``done`` what was done, said for a minute beside that."""

    tell: Tell
    after: Stay | Open | Back | Home
    undo: str = ""
    done: str = ""


@dataclass(frozen=True, slots=True)
class Use:
    """Another language or other units from now on."""

    lang: str | None = None
    units: str | None = None


Step = Stay | Open | Back | Home | Say | Use
