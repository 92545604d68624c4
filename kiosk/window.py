"""The whole picture: band, screen, bar, and over them the sheet or the far view. It draws; it asks nobody anything."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Rectangle
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.blocks import PageView
from kiosk.catalog import SCREENS
from kiosk.client import Outcome
from kiosk.screens.paged import PagedScreen
from kiosk.views import LookItem, Wall
from kiosk.widgets.band import Band
from kiosk.widgets.far_view import FarView
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.navigation import Navigation
from kiosk.widgets.sheet import Sheet
from kiosk.widgets.text import Text
from kiosk.widgets.touchable import Touchable, reachable, scrolled
from kiosk.words import Words

FAR_AFTER_S = 60.0
TAB, ENTER, ENTER_PAD, ESCAPE = 9, 13, 271, 27


class Veil(Widget):
    """Greys what is under it; touches pass through."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        with self.canvas:
            Color(*theme.GROUND[:3], 0.55)
            self._rectangle = Rectangle()
        follow(self, self._draw)

    def _draw(self) -> None:
        self._rectangle.pos, self._rectangle.size = self.pos, self.size


class KioskWindow(Widget):
    """``on_zone`` carries the zone touched, ``on_deed`` (alert id, deed). All screens are built once, at the start."""

    def __init__(self, words: Words, *, dpi: float | None = None, far_after_s: float | None = FAR_AFTER_S) -> None:
        self.register_event_type("on_zone")
        self.register_event_type("on_deed")
        self.register_event_type("on_far")
        self.register_event_type("on_screen")
        self.register_event_type("on_touched")
        super().__init__(size_hint=(None, None))
        self.words, self.dpi = words, dpi
        self.wall: Wall | None = None
        self.screen_name = ""
        self.page: PageView | None = None
        self.open_item_id = ""
        self._outcome: Outcome | None = None
        self.band, self.sheet, self.far, self.veil = Band(), Sheet(), FarView(), Veil()
        self.away = Text(bold=True, ink=theme.LOOK, across="right", down="middle")
        self.navigation = Navigation([(s.name, words(f"screen-{s.name}")) for s in SCREENS if s.in_bar])
        self.screens = {s.name: getattr(import_module(s.module), s.widget)(words) for s in SCREENS}
        for part in (self.band, self.navigation, self.away):
            self.add_widget(part)
        self._bind()
        self._idle = Clock.schedule_once(lambda _: self.go_far(), far_after_s or FAR_AFTER_S)
        self._far_allowed = far_after_s is not None
        if not self._far_allowed:
            self._idle.cancel()
        self.open_screen(SCREENS[0].name)

    def _bind(self) -> None:
        self.navigation.bind(on_choose=lambda _, name: self.open_screen(name))
        self.band.clock.bind(on_tap=lambda _: self.open_screen("setup"))
        self.screens["shop"].bind(on_zone=lambda _, zone: self.dispatch("on_zone", zone))
        self.screens["shop"].bind(on_open=lambda _, item: self.open_item(item))
        for screen in self.screens.values():
            if isinstance(screen, PagedScreen):
                screen.bind(on_touched=lambda _, name: self.dispatch("on_touched", name))
        self.sheet.bind(on_deed=lambda _, alert, deed: self.dispatch("on_deed", alert, deed))
        self.sheet.bind(on_close=lambda _: self.close_item())
        follow(self, self.arrange)

    def on_zone(self, zone: str) -> None:
        """For those who bind."""

    def on_screen(self, name: str) -> None:
        """A screen is open; also where it was before and was chosen again."""

    def on_touched(self, name: str) -> None:
        """Something on a page."""

    def on_far(self) -> None:
        """The far view has come."""

    def on_deed(self, alert: str, deed: str) -> None:
        """For those who bind."""

    @property
    def showing(self) -> str:
        """What a picture of it is called: ``far``, ``alert``, or the screen's name."""
        if self.far.parent:
            return "far"
        return "alert" if self.sheet.parent else self.screen_name

    def show(self, wall: Wall, outcome: Outcome | None = None, page: PageView | None = None) -> None:
        """Bring everything up to ``wall`` and the open screen's ``page``; whatever does not differ is not drawn
        again."""
        if (wall, outcome, page) == (self.wall, self._outcome, self.page):
            return
        self.wall, self._outcome, self.page = wall, outcome, page
        self.band.show(wall if page is None or page.band is None else replace(wall, band=page.band))
        self.away.text = wall.away_since
        self.screens[self.screen_name].show(wall, page)
        self.far.show(wall)
        self._veil(bool(wall.away_since))
        if self.sheet.parent:
            self._fill_sheet()

    def use(self, words: Words) -> None:
        """Say everything of our own in another language; what the server said follows with its next snapshot."""
        self.words = words
        for place in self.navigation.places:
            place.text = words(f"screen-{place.screen}")
        for screen in self.screens.values():
            screen.use(words)
        self.wall = None  # whatever comes next is shown anew

    def _veil(self, on: bool) -> None:
        if on and not self.veil.parent:
            place = self.children.index(self.away) + 1  # under the words that say since when, over all the rest
            self.add_widget(self.veil, index=place)
            self.arrange()
        elif not on and self.veil.parent:
            self.remove_widget(self.veil)
        self.band.clock.opacity = 0 if on else 1

    def open_screen(self, name: str) -> None:
        """Show that screen; the others stay built, out of the picture."""
        self.close_item()
        if name == self.screen_name:
            self.dispatch("on_screen", name)
            return
        if self.screen_name:
            self.remove_widget(self.screens[self.screen_name])
        self.screen_name = name
        self.add_widget(self.screens[name], index=len(self.children))
        self.navigation.show(name)
        self.page = None
        if self.wall is not None:
            self.screens[name].show(self.wall, None)
        self.arrange()
        self.dispatch("on_screen", name)

    def open_item(self, item: str) -> None:
        self.open_item_id = item
        if self._fill_sheet() and not self.sheet.parent:
            self.add_widget(self.sheet)
            self.arrange()

    def close_item(self) -> None:
        if self.sheet.parent:
            self.remove_widget(self.sheet)
        self.sheet.item = None

    def _fill_sheet(self) -> bool:
        items: tuple[LookItem, ...] = self.wall.look if self.wall else ()
        found = next((i for i in items if i.id == self.open_item_id), None)
        item = found or self.sheet.item
        if item is not None:
            self.sheet.show(item, self.words, self._outcome, over=found is None)
        return item is not None

    def go_far(self) -> None:
        """The far view, after a minute without a touch."""
        self.close_item()
        if not self.far.parent:
            self.add_widget(self.far)
            self.arrange()
            self.dispatch("on_far")

    def come_near(self) -> None:
        if self.far.parent:
            self.remove_widget(self.far)
        self.stay_near()

    def stay_near(self) -> None:
        """Somebody is there: the minute begins again."""
        if self._far_allowed:
            self._idle.cancel()
            self._idle()

    def on_touch_down(self, touch: Any) -> bool:
        if scrolled(touch):
            return False
        self._focus(None)
        if self.far.parent:
            self.come_near()
            return True  # the first touch only wakes
        self.stay_near()
        if self.sheet.parent:
            return bool(self.sheet.dispatch("on_touch_down", touch))
        return bool(super().on_touch_down(touch))

    def on_key(self, key: int, text: str) -> bool:
        """A key of a keyboard, if there is one: digits open screens, Tab goes on, Enter presses, Escape closes."""
        if self.far.parent:
            self.come_near()
            return True
        self.stay_near()
        screen = next((s.name for s in SCREENS if s.key == text), None)
        if screen:
            self.open_screen(screen)
        elif key == TAB:
            self._next_focus()
        elif key in {ENTER, ENTER_PAD}:
            for touchable in self._reachable():
                if touchable.focused:
                    touchable.tap()
        elif key == ESCAPE:
            self.close_item()
        return True

    def _reachable(self) -> list[Touchable]:
        return reachable(self.sheet if self.sheet.parent else self)

    def _next_focus(self) -> None:
        order = self._reachable()
        at = next((i for i, t in enumerate(order) if t.focused), -1)
        self._focus(order[(at + 1) % len(order)] if order else None)

    def _focus(self, chosen: Touchable | None) -> None:
        for touchable in reachable(self):
            touchable.focused = touchable is chosen

    def arrange(self) -> None:
        """Sizes for this window, then every part in its place."""
        if self.width < 2 or self.height < 2:
            return
        METRICS.follow(self.width, self.height, self.dpi)
        m, side = METRICS, METRICS.gap
        self.band.pos, self.band.size = (self.x, self.top - m.band), (self.width, m.band)
        self.navigation.pos, self.navigation.size = self.pos, (self.width, m.bar)
        screen = self.screens[self.screen_name]
        bottom = self.y + m.bar + m.gap * 0.8
        screen.pos = (self.x + side, bottom)
        screen.size = (self.width - 2 * side, max(1, self.band.y - m.gap * 0.8 - bottom))
        self.veil.pos, self.veil.size = self.pos, self.size
        clock = self.band.clock
        self.away.size_px, self.away.floor_px = m.body, m.floor
        self.away.pos, self.away.size = clock.pos, clock.size
        for over in (self.sheet, self.far):
            over.pos, over.size = self.pos, self.size
        for part in (self.band, self.navigation, self.sheet, self.far):
            part.arrange()
