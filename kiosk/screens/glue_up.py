"""Glue-up, once boards and adhesives are known."""

from __future__ import annotations

from pathlib import Path

from kivy.lang import Builder

from kiosk.screens.later import Later

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class GlueUpScreen(Later):
    """Laid out in ``glue_up.kv``."""

    screen = "glue_up"
