"""A screen that is not built yet: it says so, and what it will be for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kiosk.blocks import Column, Heading, Line, PageView
from kiosk.client import Ask
from kiosk.pages.base import Seen, Step


@dataclass(frozen=True, slots=True)
class LaterPage:
    """``screen`` is the screen's name in the catalog."""

    screen: str

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return ()

    def shown(self, seen: Seen) -> PageView:
        heading = seen.words("not-built-yet", screen=seen.words(f"screen-{self.screen}"))
        return PageView((Column((Heading(heading), Line(seen.words(f"later-{self.screen}")))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        return None
