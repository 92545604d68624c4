"""What the screens that are not built yet share: they say so, and what they will be for."""

from __future__ import annotations

from typing import Any

from kivy.uix.floatlayout import FloatLayout

from kiosk.views import Wall
from kiosk.widgets import page  # noqa: F401 - the layouts name its class
from kiosk.words import Words


class Later(FloatLayout):
    """``screen`` is the screen's name in the catalog."""

    screen = ""

    def __init__(self, words: Words, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        heading = words("not-built-yet", screen=words(f"screen-{self.screen}"))
        self.ids.page.show(heading, (words(f"later-{self.screen}"),))

    def show(self, wall: Wall) -> None:
        """Nothing of the snapshot stands here yet."""
