"""Seasons, once there are years to compare."""

from __future__ import annotations

from pathlib import Path

from kivy.lang import Builder

from kiosk.screens.later import Later

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class SeasonsScreen(Later):
    """Laid out in ``seasons.kv``."""

    screen = "seasons"
