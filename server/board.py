"""Where the engine hangs the newest view and clients wait for the next: versions, languages, and one condition."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from typing import Any

from server.documents import SnapshotDocument
from server.snapshot import ShopView, document
from server.words import Units

KEPT_RENDERINGS = 8


@dataclass(slots=True)
class Board:
    """The newest view. A version is ``boot.counter``: it changes when a picture would, and never repeats over boots."""

    boot: str
    default: tuple[str, Units] = ("en", "metric")
    counter: int = 0
    view: ShopView | None = None
    _seen: dict[str, Any] | None = None
    _rendered: dict[tuple[int, str, str], SnapshotDocument] = field(default_factory=dict)
    _changed: asyncio.Condition = field(default_factory=asyncio.Condition)
    _closed: bool = False

    @property
    def version(self) -> str:
        """The newest version; ``boot.0`` before the first view."""
        return f"{self.boot}.{self.counter}"

    async def publish(self, view: ShopView) -> None:
        """Hang a view. Waiting clients are woken only if its document differs in more than the time."""
        new = document(view, "", *self.default)
        seen = new.model_dump(exclude={"version", "now_ms"})
        async with self._changed:
            self.view = view
            if seen == self._seen:
                return
            self._seen = seen
            self.counter += 1
            new.version = self.version
            self._rendered = {(self.counter, *self.default): new}
            self._changed.notify_all()

    async def newer_than(self, version: str | None, wait_s: float) -> None:
        """Return when the version is another one than ``version``, after ``wait_s``, or when the server stops.

        A version of another boot is never waited on: a client of the last boot is answered at once.
        """

        def is_newer() -> bool:
            return self._closed or (self.counter > 0 and self.version != version)

        async with self._changed:
            try:
                await asyncio.wait_for(self._changed.wait_for(is_newer), wait_s)
            except TimeoutError:
                return

    def rendered(self, lang: str, units: Units) -> SnapshotDocument | None:
        """The newest document in a language and units; None before the first view."""
        if self.view is None or self.counter == 0:
            return None
        key = (self.counter, lang, units)
        if key not in self._rendered and len(self._rendered) < KEPT_RENDERINGS:
            self._rendered[key] = document(self.view, self.version, lang, units)
        return self._rendered.get(key) or document(self.view, self.version, lang, units)

    async def close(self) -> None:
        """Answer everyone who waits: the server is stopping."""
        async with self._changed:
            self._closed = True
            self._changed.notify_all()
