"""What the screens that are not built yet share: they say so, and what they will be for."""

from __future__ import annotations

from typing import Any

from kivy.uix.floatlayout import FloatLayout

from kiosk.labels import Labels
from kiosk.views import Wall
from kiosk.widgets import page  # noqa: F401 - the layouts name its class


class Later(FloatLayout):
    """``screen`` is the screen's name in the catalog."""

    screen = ""

    def __init__(self, labels: Labels, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.ids.page.show(f"{labels.screens[self.screen]}: {labels.later_heading}", (labels.later[self.screen],))

    def show(self, wall: Wall) -> None:
        """Nothing of the snapshot stands here yet."""
