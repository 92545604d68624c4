"""Where a person stands in each screen, what is on its way to the server, and what can still be taken back. No Kivy.

A desk is told of every update and of every touch, in the window's thread. It asks the client for what the page that is
open needs, again once a minute of the shop's clock and after everything that was told.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from kiosk.blocks import Button, PageView
from kiosk.client import Ask, Client, Refused, Tell, Update
from kiosk.figures import METRIC, Units
from kiosk.ids import new_id
from kiosk.pages.base import Back, Home, Open, Page, Say, Seen, Stay, Step, Use
from kiosk.words import Words

UNDO_FOR_S = 60.0
ASK_AGAIN_S = 5.0
"""No sooner than that is the same asked again only because time goes on: a demo's minute may be a second."""
UNDO, BACK = "desk:undo", "desk:back"


@dataclass(slots=True)
class Undoable:
    """What was told last and can be taken back until ``until_s``."""

    entry: str
    done: str
    until_s: float


@dataclass(slots=True)
class Desk:
    """``first`` is each screen's first page. ``now_s`` is a monotonic clock; ``used`` is called with what a page
    chose of language and units."""

    client: Client
    words: Words
    first: Mapping[str, Page]
    now_s: Callable[[], float]
    units: Units = METRIC
    used: Callable[[Use], None] = lambda _: None
    screen: str = ""
    update: Update = field(default_factory=Update)
    _pages: dict[str, list[Page]] = field(default_factory=dict)
    _asked: dict[str, tuple[Ask, int, float]] = field(default_factory=dict)
    _pending: tuple[Say, str] | None = None
    _refused: Refused | None = None
    _undoable: Undoable | None = None
    _told: int = 0

    @property
    def page(self) -> Page | None:
        """The one that is open; None on a screen that has none."""
        stack = self._pages.get(self.screen)
        return stack[-1] if stack else None

    @property
    def depth(self) -> int:
        """How many pages lie over the screen's first."""
        return max(0, len(self._pages.get(self.screen, ())) - 1)

    @property
    def waiting(self) -> bool:
        """Whether something that the open page asks for has not come yet, neither an answer nor a refusal."""
        page = self.page
        if page is None:
            return False
        known = self.update.answers
        return any(
            ask.key not in known or (known[ask.key].status == "sending" and known[ask.key].document is None)
            for ask in page.asks(self.seen())
        )

    def open_screen(self, name: str) -> None:
        """Come to a screen where it was left, or, coming from itself, to its first page."""
        if name in self.first:
            stack = self._pages.setdefault(name, [self.first[name]])
            if name == self.screen:
                del stack[1:]
        self.screen, self._refused = name, None
        self._ask()

    def open_page(self, screen: str, page: Page) -> None:
        """Come straight to a page of a screen."""
        self._pages[screen] = [self.first[screen], page]
        self.screen, self._refused = screen, None
        self._ask()

    def take(self, update: Update) -> None:
        """The client's newest."""
        self.update = update
        if self._pending is not None:
            self._look_at_pending(*self._pending)
        if self._undoable is not None and self.now_s() >= self._undoable.until_s:
            self._undoable = None
        self._ask()

    def use(self, words: Words, units: Units) -> None:
        """Another language or other units."""
        self.words, self.units = words, units
        self.again()

    def again(self) -> None:
        """Everything is asked anew: the language or the units are others."""
        self.client.forget(list(self._asked))
        self._asked.clear()
        self._ask()

    def view(self) -> PageView | None:
        """What the open page shows, with the ways back and to take back what was told."""
        page = self.page
        if page is None:
            return None
        shown = page.shown(self.seen())
        before: tuple[Button, ...] = ()
        after: tuple[Button, ...] = ()
        if self.depth:
            before = (Button(BACK, self.words("back")),)
        if self._undoable is not None and self._pending is None:
            after = (Button(UNDO, self.words("undo"), note=self._undoable.done),)
        deeds = shown.deeds
        if self._pending is not None:
            deeds = tuple(replace(deed, enabled=False) for deed in deeds)
        return replace(shown, deeds=(*before, *deeds, *after), note=self._note() or shown.note)

    def seen(self) -> Seen:
        """What pages may look at."""
        update = self.update
        return Seen(
            update.snapshot, update.answers, self.words, self.units, self._pending is not None, self._refused
        )  # fmt: skip

    def touched(self, name: str) -> None:
        """A touch on the open page."""
        page = self.page
        if page is None or (self._pending is not None and name != BACK):
            return
        self._refused = None
        if name == BACK:
            self._step(Back())
        elif name == UNDO:
            self._undo()
        else:
            step = page.touched(self.seen(), name)
            if step is not None:
                self._step(step)
        self._ask()

    def _note(self) -> str:
        if self._refused is not None:
            return self.words("not-done", reason=self._refused.text)
        return self.words("sending") if self._pending is not None else ""

    def _step(self, step: Step) -> None:
        stack = self._pages[self.screen]
        match step:
            case Stay(page):
                stack[-1] = page
            case Open(page):
                stack.append(page)
            case Back(pages):
                del stack[max(1, len(stack) - pages) :]
            case Home(page):
                del stack[1:]
                if page is not None:
                    stack.append(page)
            case Say():
                self._pending = step, self.screen
                self.client.tell(step.tell)
            case Use():
                self.used(step)

    def _undo(self) -> None:
        undoable = self._undoable
        if undoable is None:
            return
        body = {"id": new_id(), "deed": {"kind": "undone", "entry": undoable.entry}}
        page = self._pages[self.screen][-1]
        self._step(Say(Tell("told", "/api/journal", body), Stay(page)))

    def _look_at_pending(self, say: Say, screen: str) -> None:
        answer = self.update.answers.get(say.tell.key)
        if answer is None or answer.of is not say.tell or answer.status == "sending":
            return
        self._pending = None
        if answer.status != "here":
            self._refused = answer.refused
            return
        self._told += 1
        self._undoable = Undoable(say.undo, say.done, self.now_s() + UNDO_FOR_S) if say.undo else None
        there, self.screen = self.screen, screen
        self._step(say.after)
        self.screen = there

    def _ask(self) -> None:
        page = self.page
        if page is None:
            return
        now_s, minute = self.now_s(), self.seen().now_ms // 60_000
        stamp = self._told * 1_000_000_000 + minute
        for ask in page.asks(self.seen()):
            known, at, asked_s = self._asked.get(ask.key, (None, -1, float("-inf")))
            newly_told = at // 1_000_000_000 != self._told
            if known == ask and not newly_told and (at == stamp or now_s - asked_s < ASK_AGAIN_S):
                continue
            self._asked[ask.key] = ask, stamp, now_s
            self.client.ask(ask)
