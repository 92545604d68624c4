"""Setup, opened by touching the clock: its first page, language and units, the record and its copies, this machine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from kiosk.blocks import Block, Button, Choices, Column, Heading, Line, PageView, Ruler, Table, TableRow
from kiosk.client import Ask, Tell
from kiosk.figures import UNITS
from kiosk.ids import command_id
from kiosk.pages.base import Open, Page, Say, Seen, Stay, Step, Use
from kiosk.pages.setup_sources import SourcesPage
from kiosk.pages.setup_words import fetched, size, sure, waited
from kiosk.pages.setup_zones import ZonesPage
from kiosk.words import Words, languages

HEALTH = Ask("health", "/api/health")
REMOTES = Ask("remotes", "/api/remotes")
COPY = "copy"
RULER_MM = 50.0


@dataclass(frozen=True, slots=True)
class SetupPage:
    """What can be looked at and changed, as buttons."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return ()

    def shown(self, seen: Seen) -> PageView:
        words = seen.words
        buttons = tuple(Button(f"setup:{name}", words(f"setup-{name}"), words(f"setup-{name}-note")) for name in PAGES)
        return PageView((Column((Heading(words("screen-setup")), Choices("setup", buttons))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        return Open(PAGES[what]) if kind == "setup" and what in PAGES else None


@dataclass(frozen=True, slots=True)
class LanguagePage:
    """Both change the wall at once."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return ()

    def shown(self, seen: Seen) -> PageView:
        said = tuple(Button(f"lang:{x}", own_name(x), chosen=x == seen.words.language) for x in languages())
        units = tuple(
            Button(f"units:{x}", seen.words(f"units-{x}"), seen.words(f"units-{x}-note"), chosen=x == seen.units.system)
            for x in UNITS
        )
        left = Column((Heading(seen.words("setup-of-language")), Choices("languages", said)))
        return PageView((left, Column((Heading(seen.words("setup-of-units")), Choices("units", units)))))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        if kind == "lang" and what in languages():
            return Use(lang=what)
        return Use(units=what) if kind == "units" and what in UNITS else None


def own_name(language: str) -> str:
    """As those who speak it call it."""
    words = Words(language)
    return words("language-name")


@dataclass(frozen=True, slots=True)
class RecordPage:
    """How the record is kept, what lies elsewhere, and a copy made now. ``command`` is the id of the next copy."""

    command: str = field(default_factory=command_id)

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return HEALTH, REMOTES

    def shown(self, seen: Seen) -> PageView:
        words = seen.words
        health = seen.document(HEALTH.key)
        left: list[Block] = [Heading(words("record"))]
        left.append(Line(fetched(seen, HEALTH.key), quiet=True) if health is None else record_table(seen, health))
        right: list[Block] = [Heading(words("copies")), *copy_lines(seen)]
        right += [Heading(words("copies-elsewhere")), *remote_lines(seen)]
        return PageView((Column(tuple(left)), Column(tuple(right))), (Button("copy", words("copy-now")),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        if name != "copy":
            return None
        tell = Tell(COPY, "/api/store/backup", {"command_id": self.command})
        return Say(tell, Stay(RecordPage()))


def record_table(seen: Seen, health: dict[str, Any]) -> Table:
    """Whether it is written, how large it is, what waits and what was lost."""
    words = seen.words
    rows = [
        TableRow(words("record-state"), words(f"store-{health['store']}")),
        TableRow(words("record-size"), size(seen, health["store_bytes"])),
        TableRow(words("record-log"), size(seen, health["log_bytes"])),
        TableRow(words("record-queued"), seen.figures.number(health["queued"], 0)),
        TableRow(words("record-dropped"), seen.figures.number(health["dropped"], 0)),
    ]
    if health["store_error"]:
        rows.insert(1, TableRow(words("said-last"), str(health["store_error"])))
    return Table("record", tuple(rows))


def copy_lines(seen: Seen) -> tuple[Line, ...]:
    """What the last copy that was asked for here became."""
    made = seen.document(COPY)
    if not made or not made.get("done"):
        return (Line(seen.words("copy-none")),)
    file = str(made["file"]).rpartition("/")[2]
    return (Line(seen.words("copy-made", file=file, size=size(seen, made["bytes"])), strong=True),)


def remote_lines(seen: Seen) -> tuple[Line, ...]:
    """Each remote: how it stands, and what it lacks."""
    words, remotes = seen.words, seen.document(REMOTES.key)
    if remotes is None:
        return (Line(fetched(seen, REMOTES.key), quiet=True),)
    if not remotes:
        return (Line(words("remote-none")),)
    found: list[Line] = []
    for one in remotes:
        found.append(Line(words("remote", name=one["remote"], state=words(f"remote-is-{one['state']}")), strong=True))
        rows = int(one["behind_rows"])
        lag = waited(seen, one["behind_s"])
        found.append(Line(words("remote-lacks", rows=rows, age=lag) if rows else words("remote-whole"), quiet=True))
        if one["error"]:
            found.append(Line(str(one["error"])))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class MachinePage:
    """What runs here, since when, and what it does not watch."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (HEALTH,)

    def shown(self, seen: Seen) -> PageView:
        words, health = seen.words, seen.document(HEALTH.key)
        if health is None:
            return PageView((Column((Heading(words("setup-machine")), Line(fetched(seen, HEALTH.key), quiet=True))),))
        broker = health["broker"]
        rows = (
            TableRow(words("machine-runs"), waited(seen, health["up_s"])),
            TableRow(words("machine-clock"), words(f"clock-{sure(health['clock_set'])}")),
            TableRow(words("machine-jumps"), seen.figures.number(health["clock_jumps"], 0)),
            TableRow(words("machine-readings"), seen.figures.number(health["readings"], 0)),
            TableRow(words("machine-broker"), words(f"state-of-{broker}") if broker else words("machine-no-broker")),
            TableRow(words("machine-faults"), seen.figures.number(len(health["faults"]), 0)),
        )
        watched = [Line(str(one["text"])) for one in health["not_watched"].values()] or [Line(words("watched-all"))]
        left = Column((Heading(words("setup-machine")), Table("machine", rows)))
        return PageView((left, Column((Heading(words("machine-not-watched")), *watched))))

    def touched(self, seen: Seen, name: str) -> Step | None:
        return None


@dataclass(frozen=True, slots=True)
class RulerPage:
    """A line to be held against a rule."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return ()

    def shown(self, seen: Seen) -> PageView:
        heading = Heading(seen.words("ruler-heading", mm=seen.figures.given(RULER_MM)))
        return PageView((Column((heading, Ruler(RULER_MM), Line(seen.words("ruler-how")))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        return None


PAGES: dict[str, Page] = {
    "language": LanguagePage(),
    "sources": SourcesPage(),
    "zones": ZonesPage(),
    "record": RecordPage(),
    "machine": MachinePage(),
    "ruler": RulerPage(),
}
"""By the names of their buttons, in the buttons' order."""
