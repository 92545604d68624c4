"""A screen made of pages: the desk says what stands there, the body draws it."""

from __future__ import annotations

from typing import Any

from kivy.uix.widget import Widget

from kiosk.blocks import PageView
from kiosk.views import Wall
from kiosk.widgets.body import Body
from kiosk.widgets.follow import follow
from kiosk.words import Words


class PagedScreen(Widget):
    """``on_touched`` carries the name of what was touched. Made once; its body when it is first shown."""

    def __init__(self, words: Words, **kwargs: Any) -> None:
        self.register_event_type("on_touched")
        super().__init__(**kwargs)
        self.words = words
        self.body: Body | None = None
        follow(self, self.arrange)

    def use(self, words: Words) -> None:
        """Its page comes anew in that language."""
        self.words = words

    def on_touched(self, name: str) -> None:
        """For those who bind."""

    def show(self, _wall: Wall, page: PageView | None = None) -> None:
        if page is None:
            return
        if self.body is None:
            self.body = Body()
            self.body.bind(on_touched=lambda _, name: self.dispatch("on_touched", name))
            self.add_widget(self.body)
            self.arrange()
        self.body.show(page)

    def arrange(self) -> None:
        if self.body is not None:
            self.body.pos, self.body.size = self.pos, self.size
            self.body.arrange()
