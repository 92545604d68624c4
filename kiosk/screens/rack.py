"""The rack, once lots are kept: their end grain, worst first."""

from __future__ import annotations

from pathlib import Path

from kivy.lang import Builder

from kiosk.screens.later import Later

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class RackScreen(Later):
    """Laid out in ``rack.kv``."""

    screen = "rack"
