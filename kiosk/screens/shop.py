"""Shop: the air of one zone now, back and ahead, what there is to look at, and every zone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kivy.lang import Builder
from kivy.uix.floatlayout import FloatLayout

from kiosk.blocks import PageView
from kiosk.views import Wall
from kiosk.widgets import air_panel, chart, figure, look_list, page, zone_row  # noqa: F401 - the layout names their classes
from kiosk.words import Words

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class ShopScreen(FloatLayout):
    """``on_zone`` carries a zone's id, ``on_open`` an alert's or notice's."""

    def __init__(self, words: Words, **kwargs: Any) -> None:
        self.register_event_type("on_zone")
        self.register_event_type("on_open")
        super().__init__(**kwargs)
        self.words = words
        self.ids.zones.bind(on_zone=lambda _, zone: self.dispatch("on_zone", zone))
        self.ids.look.bind(on_open=lambda _, item: self.dispatch("on_open", item))

    def use(self, words: Words) -> None:
        self.words = words

    def on_zone(self, zone: str) -> None:
        """For those who bind."""

    def on_open(self, item: str) -> None:
        """For those who bind."""

    def show(self, wall: Wall, _page: PageView | None = None) -> None:
        ids = self.ids
        empty = wall.empty is not None or wall.air is None
        ids.page.opacity, ids.body.opacity = (1, 0) if empty else (0, 1)
        ids.body.disabled = empty
        if wall.empty is not None:
            ids.page.show(wall.empty.title, wall.empty.lines)
        if wall.air is None or wall.chart is None:
            return
        ids.air.show(wall.air)
        ids.chart_heading.text, ids.chart_note.text = wall.chart.heading, wall.chart.note
        ids.chart.show(wall.chart)
        ids.look_heading.text = self.words("to-look-at")
        ids.look.show(wall.look, self.words)
        ids.zones.show(wall.zones, self.words)
