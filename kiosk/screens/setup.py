"""Setup, opened by touching the clock."""

from __future__ import annotations

from pathlib import Path

from kivy.lang import Builder

from kiosk.screens.later import Later

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class SetupScreen(Later):
    """Laid out in ``setup.kv``."""

    screen = "setup"
