"""What is drawn of a glue-up: its boards side by side, and its width through the year. Frozen values, no Kivy."""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.grain import GrainView


@dataclass(frozen=True, slots=True)
class BoardsView:
    """From left to right."""

    boards: tuple[GrainView, ...]


@dataclass(frozen=True, slots=True)
class WidthBar:
    """How far a panel shrinks and swells from its width as glued, mm, both at least 0, and both as they are read."""

    label: str
    shrinks_mm: float
    swells_mm: float
    less: str
    more: str


@dataclass(frozen=True, slots=True)
class WidthView:
    """Bars to one scale around the width as glued."""

    heading: str
    bars: tuple[WidthBar, ...]
