"""Arranging later in the same frame, once, however many properties change before it; and tinting only on change."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.clock import Clock

from kiosk.theme import Colour


def follow(widget: Any, arrange: Callable[[], None], *names: str) -> None:
    """Call ``arrange`` before the next frame whenever one of ``names`` changes, or the widget's place or size.

    Never at once: while Kivy sets one coordinate, what it derives from it (top, right, centre) is still the old one.
    """
    trigger = Clock.create_trigger(lambda _: arrange(), -1)
    for name in ("pos", "size", *names):
        widget.fbind(name, lambda *_: trigger())
    trigger()


def tint(instruction: Any, colour: Colour) -> None:
    """Colour a drawing instruction, only if it differs: setting the same colour would cost a frame."""
    if tuple(instruction.rgba) != colour:
        instruction.rgba = colour
