"""A window, frames and fingers under the test's own clock.

The real window has one size, ``conftest.WHOLE``: without a screen its surface does not follow a resize. Every
layout stands in its lower left corner at the layout's own size.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from kivy.base import EventLoop
from kivy.clock import Clock
from kivy.core.image import Image
from kivy.core.window import Window
from kivy.graphics.opengl import GL_RGB, GL_UNSIGNED_BYTE, glReadPixels
from kivy.tests.common import UnitTestTouch

from kiosk import app, theme
from kiosk.client import Link, Snapshot, Update
from kiosk.viewmodel import build
from kiosk.widgets.text import Text
from kiosk.window import KioskWindow
from kiosk.words import Words

SIZES = {(1280, 800): 149.0, (800, 480): 133.0, (1920, 1200): 224.0, (1024, 600): 170.0, (720, 1280): 145.0}
"""Window sizes with the density of the panel they usually come on."""
LIVE = Link("live")
EN, DE = Words("en", strict=True), Words("de", strict=True)


class Stage:
    """Time moves only by :meth:`pass_s` and by the clock's own idling, so ten idle seconds take a moment."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now_s = Clock.time() + 1
        clock = type(Clock.get_time.__self__)
        monkeypatch.setattr(clock, "time", staticmethod(lambda: self.now_s), raising=False)
        monkeypatch.setattr(clock, "usleep", lambda _, us: self._idle(us / 1e6), raising=False)
        EventLoop.ensure_window()
        EventLoop.status = "started"
        Window.clearcolor = theme.GROUND
        self.flips = 0
        self.size = (1280, 800)
        Window.bind(on_flip=self._flipped)
        for child in list(Window.children):
            Window.remove_widget(child)

    def _idle(self, seconds: float) -> None:
        self.now_s += seconds

    def _flipped(self, *_: object) -> None:
        self.flips += 1

    def clear(self) -> None:
        Window.unbind(on_flip=self._flipped)
        for child in list(Window.children):
            Window.remove_widget(child)
        for event in list(Clock.get_events()):
            event.cancel()
        EventLoop.status = "created"

    def again(self) -> None:
        """After :meth:`clear`, for another window."""
        EventLoop.status = "started"

    def window(self, size: tuple[int, int] = (1280, 800), words: Words = EN, **kwargs: Any) -> KioskWindow:
        self.size = size
        made = KioskWindow(words, dpi=SIZES[size], **kwargs)
        made.size = size
        Window.add_widget(made)
        return made

    def begin(self, kiosk: app.Kiosk, size: tuple[int, int] = (1280, 800)) -> None:
        """Show a whole kiosk, as its process does, in a part of the window of that size."""
        self.size = size
        kiosk.begin()
        kiosk.window.size = size

    def frames(self, n: int = 6) -> None:
        for _ in range(n):
            EventLoop.idle()

    def pass_s(self, seconds: float) -> None:
        """Let that much time go by, frame after frame."""
        until = self.now_s + seconds
        while self.now_s < until:
            EventLoop.idle()

    def show(self, window: KioskWindow, snapshot: Snapshot | None, link: Link = LIVE, **kwargs: Any) -> None:
        window.show(build(Update(snapshot, link), window.words, **kwargs))
        self.frames()

    def picture(self) -> np.ndarray:
        """What was drawn, rows from the top, as (height, width, 3) numbers 0..255."""
        Window.canvas.ask_update()
        EventLoop.idle()
        width, height = (int(n) for n in Window.size)
        data = glReadPixels(0, 0, width, height, GL_RGB, GL_UNSIGNED_BYTE)
        rows = np.frombuffer(data, dtype=np.uint8).reshape(height, width, 3)
        return rows[: self.size[1], : self.size[0]][::-1].copy()

    def touch(self, x: float, y: float) -> None:
        finger = UnitTestTouch(x, y)
        finger.touch_down()
        self.frames(1)
        finger.touch_up()
        self.frames(2)

    def tap(self, widget: Any) -> None:
        self.touch(widget.x + widget.width / 2, widget.y + widget.height / 2)


def load(path: Any) -> np.ndarray:
    """A PNG as :meth:`Stage.picture` gives pictures."""
    image = Image(str(path), keep_data=True, nocache=True)
    data = image.image._data[0]
    depth = 4 if data.fmt == "rgba" else 3
    return np.frombuffer(data.data, dtype=np.uint8).reshape(data.height, data.width, depth)[:, :, :3].copy()


def seen(widget: Any) -> Iterator[Any]:
    """``widget`` and everything under it that is not faded out."""
    if widget.opacity == 0:
        return
    yield widget
    for child in widget.children:
        yield from seen(child)


def texts(widget: Any) -> list[Text]:
    """The texts that can be read, top first."""
    found = [t for t in seen(widget) if isinstance(t, Text) and t.text and t.drawn[2]]
    return sorted(found, key=lambda t: -t.drawn[1])


def words(widget: Any) -> str:
    return " | ".join(t.text for t in texts(widget))


def at(picture: np.ndarray, x: float, y: float) -> tuple[int, int, int]:
    """The pixel at Kivy's coordinates (y from the bottom)."""
    red, green, blue = picture[picture.shape[0] - 1 - round(y), round(x)]
    return int(red), int(green), int(blue)


def rgb(colour: theme.Colour) -> tuple[int, int, int]:
    red, green, blue = (round(c * 255) for c in colour[:3])
    return red, green, blue
