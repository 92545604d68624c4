"""Pictures of the wall as PNG files, each replaced whole: for a machine without a display, and for looking at later."""

from __future__ import annotations

import logging
from pathlib import Path

from kivy.clock import Clock
from kivy.core.window import Window

from kiosk.app import Kiosk, stop
from kiosk.catalog import SCREENS
from kiosk.client import Snapshot

log = logging.getLogger(__name__)

APART_S = 10.0
FETCH_LOOK_S = 0.1


def save(folder: Path, name: str) -> Path:
    """Write what was drawn last to ``folder/name.png``; the file appears whole or not at all."""
    folder.mkdir(parents=True, exist_ok=True)
    part = Window.screenshot(name=str(folder / f".{name}.png"))  # Kivy puts a number before the ending
    target = folder / f"{name}.png"
    Path(part).replace(target)
    return target


def keep(kiosk: Kiosk, folder: Path) -> None:
    """From now on, picture whatever screen is shown when it has changed, at most every ten seconds."""

    def picture(_dt: float) -> None:
        try:
            save(folder, kiosk.window.showing)
        except OSError as problem:
            log.warning("no picture in %s: %s", folder, problem)

    due = Clock.create_trigger(picture, APART_S)
    first = Clock.create_trigger(picture, 0.0)
    seen: list[str] = []  # the first picture with figures in it does not wait

    def flipped(*_: object) -> None:
        wall = kiosk.window.wall
        if not seen and wall is not None and wall.version is not None:
            seen.append(wall.version)
            first()
        elif not first.is_triggered:
            due()

    Window.bind(on_flip=flipped)


def missing(snapshot: Snapshot | None, reason: str) -> str:
    """What a snapshot lacks to be pictured: empty when nothing does."""
    if snapshot is None:
        return f"no server: {reason or 'not asked yet'}"
    if snapshot.get("empty"):
        return ""
    lacking = [str(zone["name"]) for zone in snapshot["zones"] if zone.get("closed_bin_end_ms") is None]
    return f"no closed half hour yet in: {', '.join(lacking)}" if lacking else ""


class SnapshotRun:
    """Waits for a complete snapshot that has been drawn, holds it, pictures every screen, and stops the app.

    ``within_s`` counts from the client's first outcome, which its own time-outs bound: before it nothing can be said of
    the server. ``done`` says whether all were written; ``problem`` what was missing.
    """

    def __init__(self, kiosk: Kiosk, folder: Path, within_s: float) -> None:
        self.kiosk, self.folder = kiosk, folder
        self.done, self.problem = False, ""
        self._names: list[str] = []
        self._left_s = within_s
        self._flips = 0
        self._fetched = False
        self._event = Clock.schedule_interval(self._wait, 0.05)
        Window.bind(on_flip=self._flipped)

    def _wait(self, dt: float) -> None:
        update = self.kiosk.update
        if update.snapshot is not None or update.link.reason:
            self._left_s -= dt
        self.problem = missing(update.snapshot, update.link.reason)
        if not self.problem and update.link.state == "away":
            self.problem = f"no server: {update.link.reason}"
        if not self.problem and update.snapshot is not None:
            if self.kiosk.drawn_version == update.snapshot["version"]:
                self._event.cancel()
                self._begin()
                return
            self.problem = "no frame was drawn with the complete snapshot"
            Window.canvas.ask_update()  # its picture may be the one that stands already, which draws nothing
        if self._left_s <= 0:
            self._event.cancel()
            stop()

    def _begin(self) -> None:
        self.kiosk.frozen = True  # all pictures are of one version
        self._names = [screen.name for screen in SCREENS]
        wall = self.kiosk.window.wall
        if wall and any(item.kind == "alert" for item in wall.look):
            self._names.append("alert")
        self._names.append("far")
        self._next()

    def _next(self) -> None:
        window = self.kiosk.window
        name = self._names[0]
        if name == "far":
            window.go_far()
        elif name == "alert" and window.wall is not None:
            window.open_screen(SCREENS[0].name)
            window.open_item(next(item.id for item in window.wall.look if item.kind == "alert"))
        else:
            window.open_screen(name)
        self._flips = 2  # one for the layout to settle, one of the settled picture
        Window.canvas.ask_update()

    def _flipped(self, *_: object) -> None:
        if not self._names or self._flips == 0:
            return
        self._flips -= 1
        if self._flips:
            Clock.schedule_once(lambda _: Window.canvas.ask_update())
        else:
            Clock.schedule_once(lambda _: self._save())

    def _save(self) -> None:
        if self.kiosk.desk.waiting and self._left_s > 0:  # its page is still being fetched
            self._left_s -= FETCH_LOOK_S
            Clock.schedule_once(lambda _: self._save(), FETCH_LOOK_S)
            return
        if self._fetched is False and self.kiosk.window.page is not None:
            self._fetched, self._flips = True, 2
            Window.canvas.ask_update()
            return
        self._fetched = False
        try:
            save(self.folder, self._names.pop(0))
        except OSError as problem:
            self.problem = f"{self.folder}: {problem}"
            stop()
            return
        if self._names:
            self._next()
        else:
            self.done, self.problem = True, ""
            stop()
