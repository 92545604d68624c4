"""Anything a knuckle may press: a debounced, keyboard-reachable area."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, SmoothLine
from kivy.properties import BooleanProperty
from kivy.uix.widget import Widget

from kiosk import theme

DEBOUNCE_S = 0.3
DRIFT_PX = 20  # a glove moves while it presses


class Touchable(Widget):
    """Dispatches ``on_tap`` once a press: a second one within 300 ms, from the same or another reader of the same
    finger, is the same press. ``focused`` draws a ring for the keyboard; ``disabled`` takes nothing."""

    focused = BooleanProperty(False)
    pressed = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_tap")
        super().__init__(**kwargs)
        self._tapped_s = float("-inf")
        with self.canvas.after:
            self._ring_colour = Color(*theme.TEXT[:3], 0)
            self._ring = SmoothLine(width=2, rectangle=(0, 0, 1, 1))
        for name in ("focused", "pos", "size"):
            self.fbind(name, self._draw_ring)

    def _draw_ring(self, *_: object) -> None:
        self._ring_colour.a = 1.0 if self.focused else 0.0
        if self.focused:
            self._ring.rectangle = (self.x + 3, self.y + 3, self.width - 6, self.height - 6)

    def on_tap(self) -> None:
        """For those who bind."""

    def tap(self) -> None:
        """Press it, as a finger or the Enter key does."""
        now_s = Clock.get_time()
        if self.disabled or now_s - self._tapped_s < DEBOUNCE_S:
            return
        self._tapped_s = now_s
        self.dispatch("on_tap")

    def on_touch_down(self, touch: Any) -> bool:
        if self.disabled or self.opacity == 0 or not self.collide_point(*touch.pos) or scrolled(touch):
            return False
        touch.grab(self)
        self.pressed = True
        return True

    def on_touch_up(self, touch: Any) -> bool:
        if touch.grab_current is not self:
            return False
        touch.ungrab(self)
        self.pressed = False
        near_x = self.x - DRIFT_PX <= touch.x <= self.right + DRIFT_PX
        if near_x and self.y - DRIFT_PX <= touch.y <= self.top + DRIFT_PX:
            self.tap()
        return True


def scrolled(touch: Any) -> bool:
    """Whether this is a wheel, which Kivy reports as a touch."""
    return "button" in touch.profile and str(touch.button).startswith("scroll")


def reachable(widget: Any) -> list[Touchable]:
    """Every touchable that can be seen under ``widget``, in reading order of the tree."""
    found: list[Touchable] = []
    for child in reversed(widget.children):
        if child.opacity == 0 or child.disabled:
            continue
        if isinstance(child, Touchable) and child.width > 1:
            found.append(child)
        found += reachable(child)
    return found
