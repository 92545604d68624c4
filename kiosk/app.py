"""The window's process: wires the client to the picture, and nothing more.

The client's thread ends at :meth:`Kiosk.changed`, which only asks Kivy's clock for a turn; from there on everything
happens in the window's thread.
"""

from __future__ import annotations

import logging
import signal
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from kivy.base import EventLoop, runTouchApp, stopTouchApp
from kivy.clock import Clock
from kivy.core.text import LabelBase
from kivy.core.window import Window

from kiosk import fonts, theme
from kiosk.choice import Choice
from kiosk.client import Client, Command, Snapshot, Update
from kiosk.desk import Desk
from kiosk.document import DocumentError
from kiosk.figures import METRIC, Units
from kiosk.pages.base import Use
from kiosk.pages.catalog import FIRST
from kiosk.viewmodel import SHELVE_HOURS, build
from kiosk.widgets.text import FIGURES, FONT
from kiosk.window import FAR_AFTER_S, KioskWindow
from kiosk.words import Words

log = logging.getLogger(__name__)

APART_S = 0.2  # a snapshot may change faster than anybody reads
SIGNAL_S = 0.1


def letters() -> None:
    """Register the kiosk's letters, and its figures of one width, under the names the widgets use."""
    LabelBase.register(FONT, fn_regular=str(fonts.packaged(fonts.REGULAR)), fn_bold=str(fonts.packaged(fonts.BOLD)))
    LabelBase.register(FIGURES, fn_regular=str(fonts.prepared(fonts.REGULAR)), fn_bold=str(fonts.prepared(fonts.BOLD)))


UNSHOWABLE = (DocumentError, ArithmeticError, AttributeError, LookupError, OSError, TypeError, ValueError)
"""What a document that passed the door may still raise while it is drawn."""


class Kiosk:
    """One window fed by one client. ``drawn_version`` is the snapshot's version in the last frame that was drawn."""

    def __init__(
        self,
        client: Client,
        words: Words,
        *,
        units: Units = METRIC,
        keep: Callable[[Choice], None] = lambda _: None,
        dpi: float | None = None,
        restarted: bool = False,
        far_after_s: float | None = FAR_AFTER_S,
    ) -> None:
        self.client, self.words, self.units = client, words, units
        self.desk = Desk(client, words, FIRST, Clock.get_time, units, used=self._used)
        self._keep = keep
        self.window = KioskWindow(words, dpi=dpi, far_after_s=far_after_s)
        self.frozen = False
        self.drawn_version: str | None = None
        self._restarted = restarted
        self._restarted_ms: int | None = None
        self._chosen: str | None = None
        self._update = Update()
        self._applied_s = float("-inf")
        self._turn = Clock.create_trigger(self._take, 0)
        self.window.bind(on_zone=lambda _, zone: self.choose(zone), on_deed=lambda _, *deed: self.do(*deed))
        self.window.bind(on_screen=lambda _, name: self.open_screen(name), on_touched=lambda _, name: self.touch(name))
        # From across the shop the number belongs to the sentence: a zone touched earlier no longer counts.
        self.window.bind(on_far=lambda _: self.choose(None))

    @property
    def snapshot(self) -> Snapshot | None:
        """The one on the wall."""
        return self._update.snapshot

    @property
    def update(self) -> Update:
        return self._update

    def changed(self) -> None:
        """From the client's thread: ask for a turn of the window's thread."""
        self._turn()

    def _take(self, _dt: float = 0.0) -> None:
        wait_s = self._applied_s + APART_S - Clock.get_time()
        if wait_s > 0:
            Clock.schedule_once(self._take_later, wait_s)
            return
        self._applied_s = Clock.get_time()
        self._look()
        self.redraw()

    def _look(self) -> None:
        newest = self.client.latest()
        if self.frozen:  # all pictures are of one snapshot; what a page asks for still comes
            newest = replace(newest, snapshot=self._update.snapshot, link=self._update.link)
        self._update = newest
        try:
            self.desk.take(self._update)
        except UNSHOWABLE as problem:
            log.warning("an answer was not taken: %s: %s", type(problem).__name__, problem)

    def open_screen(self, name: str) -> None:
        """A screen was chosen."""
        self.desk.open_screen(name)
        self.redraw()

    def touch(self, name: str) -> None:
        """Something on a page was touched."""
        try:
            self.desk.touched(name)
        except UNSHOWABLE as problem:  # whatever an answer lacked, the wall stays
            log.warning("a touch did nothing: %s: %s", type(problem).__name__, problem)
        self.redraw()

    def _take_later(self, _dt: float) -> None:
        self._turn()

    def redraw(self) -> None:
        """Build the view of the last update and show it."""
        snapshot = self._update.snapshot
        if snapshot is not None and self._restarted and self._restarted_ms is None:
            self._restarted_ms = int(snapshot["now_ms"])
        try:
            wall = build(
                self._update, self.words, units=self.units, chosen=self._chosen, restarted_ms=self._restarted_ms
            )
            self.window.show(wall, self._update.outcome, self.desk.view())
        except UNSHOWABLE as problem:  # the last wall stays: a bad answer must not take the window away
            log.warning("a snapshot was not shown: %s: %s", type(problem).__name__, problem)

    def use(self, *, language: str | None = None, units: Units | None = None) -> None:
        """Another language or other units from now on: on the wall at once, in what the server says with its next
        answer, and kept for the next start. Raises ValueError for a language without words."""
        choice = Choice(language or self.words.language, units or self.units)
        if choice == Choice(self.words.language, self.units):
            return
        self.words, self.units = Words(choice.language), choice.units
        self.client.use(choice.language, choice.units.system)
        self.window.use(self.words)
        self.desk.use(self.words, self.units)
        self.redraw()
        self._keep(choice)

    def _used(self, chosen: Use) -> None:
        units = replace(self.units, system=chosen.units) if chosen.units else None  # type: ignore[arg-type]
        self.use(language=chosen.lang, units=units)

    def choose(self, zone: str | None) -> None:
        """Make a zone the big one; None is the one the band speaks of."""
        self._chosen = zone
        self.redraw()

    def do(self, alert: str, deed: Any) -> None:
        """Hand a deed to the client; the window never waits for it."""
        self.client.send(Command(alert, deed, hours=SHELVE_HOURS if deed == "shelve" else None))

    def begin(self) -> None:
        """Put the picture into Kivy's window and take what the client has."""
        Window.clearcolor = theme.GROUND
        Window.add_widget(self.window)
        self._fit()
        Window.bind(on_resize=lambda *_: self._fit(), on_flip=lambda *_: self._flipped())
        Window.bind(on_key_down=lambda _w, key, _code, text, _mods: self.window.on_key(key, text or ""))
        self.desk.screen = self.window.screen_name
        self._look()
        self.redraw()

    def _fit(self) -> None:
        self.window.size = Window.size

    def _flipped(self) -> None:
        wall = self.window.wall
        self.drawn_version = wall.version if wall else None


def run(kiosk: Kiosk, also: Callable[[Kiosk], None] | None = None) -> None:
    """Show it until SIGTERM, SIGINT or :func:`stop`. ``also`` is called once the picture stands."""
    asked = []
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: asked.append(True))
    # a handler may interrupt the clock while it holds its lock, so it only leaves word; this picks it up
    Clock.schedule_interval(lambda _: stop() if asked else None, SIGNAL_S)
    kiosk.begin()
    kiosk.changed()
    if also:
        also(kiosk)
    try:
        runTouchApp()
    finally:
        kiosk.client.stop()


def stop() -> None:
    """End :func:`run`."""
    if EventLoop.status == "started":
        stopTouchApp()
