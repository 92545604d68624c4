"""The bench book, once its questions are written."""

from __future__ import annotations

from pathlib import Path

from kivy.lang import Builder

from kiosk.screens.later import Later

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class BenchBookScreen(Later):
    """Laid out in ``bench_book.kv``."""

    screen = "bench_book"
