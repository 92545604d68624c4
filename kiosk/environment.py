"""Everything Kivy reads from its surroundings, decided here before its first import.

Kivy otherwise takes the program's arguments, the root logger and a file under HOME, and opens every input device it can
find, some of them twice. Nothing here imports Kivy until :func:`settle` has set the variables.
"""

from __future__ import annotations

import importlib
import os
import tempfile
from collections.abc import MutableMapping
from dataclasses import dataclass
from pathlib import Path

MULTITOUCH_OFF = "mouse,disable_multitouch"


@dataclass(frozen=True, slots=True)
class Panel:
    """The window asked for: pixels, whether it fills the screen, and whether it is drawn for pictures only."""

    width_px: int = 1280
    height_px: int = 800
    fullscreen: bool = False
    offscreen: bool = False


def state_folder(environ: MutableMapping[str, str] | None = None) -> Path:
    """Where the kiosk may write: ``$STILLSTACK_STATE/kiosk``, else a folder of this user's under the temporary one."""
    environ = os.environ if environ is None else environ
    state = environ.get("STILLSTACK_STATE")
    return Path(state) / "kiosk" if state else Path(tempfile.gettempdir()) / f"stillstack-kiosk-{os.getuid()}"


def has_display(environ: MutableMapping[str, str] | None = None) -> bool:
    """Whether a desktop or compositor is there to show a window."""
    environ = os.environ if environ is None else environ
    return bool(environ.get("DISPLAY") or environ.get("WAYLAND_DISPLAY"))


def settle(panel: Panel, environ: MutableMapping[str, str] | None = None) -> None:
    """Set the variables Kivy and SDL read, then Kivy's configuration, in memory only. Call before any Kivy import."""
    environ = os.environ if environ is None else environ
    environ.update(
        KIVY_NO_ARGS="1",
        KIVY_NO_CONFIG="1",
        KIVY_NO_ENV_CONFIG="1",
        KIVY_NO_FILELOG="1",
        KIVY_LOG_MODE="PYTHON",
        KIVY_HOME=str(state_folder(environ)),
        KIVY_METRICS_DENSITY="1",
        KIVY_METRICS_FONTSCALE="1",
        KIVY_DPI="96",
        SDL_NO_SIGNAL_HANDLERS="1",  # SIGTERM and SIGINT are the app's
        SDL_TOUCH_MOUSE_EVENTS="0",  # else SDL reports each finger a second time, as a mouse
    )
    if panel.offscreen:
        environ.setdefault("SDL_VIDEODRIVER", "offscreen")
    _configure(panel)


def _configure(panel: Panel) -> None:
    config = importlib.import_module("kivy.config").Config
    graphics = {
        "width": panel.width_px,
        "height": panel.height_px,
        "fullscreen": "auto" if panel.fullscreen else 0,
        "show_cursor": 0 if panel.fullscreen else 1,
        "resizable": 1,
        "multisamples": 0,  # changes nothing with Smooth* primitives, and doubles the work
        "maxfps": 24,  # the loop wakes that often even when nothing is drawn
        "vsync": 0,
    }
    for key, value in graphics.items():
        config.set("graphics", key, str(value))
    config.set("kivy", "exit_on_escape", "0")
    config.set("kivy", "log_level", "warning")
    for option, _ in config.items(
        "input"
    ):  # the table is ours: a device read by two providers counts every touch twice
        config.remove_option("input", option)
    config.set("input", "mouse", MULTITOUCH_OFF)
