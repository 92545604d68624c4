"""The wires: how each stands, and what it said last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from kiosk.blocks import Block, Button, Column, Heading, Line, PageView, QuestionRow, Questions, Table, TableRow
from kiosk.client import Ask, Tell
from kiosk.ids import command_id
from kiosk.pages.base import Back, Open, Say, Seen, Step
from kiosk.pages.setup_words import fetched, last_word, raw_lines

SOURCES = Ask("sources", "/api/sources")
WELL = {"listening", "starting"}


@dataclass(frozen=True, slots=True)
class SourcesPage:
    """All of them; those that need somebody first."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (SOURCES,)

    def shown(self, seen: Seen) -> PageView:
        heading, found = Heading(seen.words("setup-sources")), seen.document(SOURCES.key)
        if not found:
            text = seen.words("no-sources") if found is not None else fetched(seen, SOURCES.key)
            return PageView((Column((heading, Line(text, quiet=found is None))),))
        rows = sorted((row_of(seen, one) for one in found), key=lambda row: not row.word)
        return PageView((Column((heading, Questions("sources", tuple(rows)))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        return Open(SourcePage(what)) if kind == "source" else None


def row_of(seen: Seen, one: dict[str, Any]) -> QuestionRow:
    """A wire at a glance. One that does not listen, or asks whether it is the right one, is to be looked at."""
    look = one["state"] not in WELL or one["to_confirm"] is not None
    line = seen.words("two-parts", one=kind_of(seen, one), two=last_word(seen, one["silent_since_ms"]))
    said = seen.words("asks-you") if one["to_confirm"] else seen.words(f"state-of-{one['state']}")
    return QuestionRow(f"source:{one['source']}", "look" if look else "", "none", str(one["source"]), line, said)


def kind_of(seen: Seen, one: dict[str, Any]) -> str:
    """How it is connected; a kind this wall does not know by its own name."""
    known = {"serial", "mqtt", "modbus"}
    return seen.words(f"wire-{one['kind']}") if one["kind"] in known else str(one["kind"])


@dataclass(frozen=True, slots=True)
class SourcePage:
    """One wire. ``command`` is the id of a confirmation."""

    source: str
    command: str = field(default_factory=command_id)

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (SOURCES,)

    def _row(self, seen: Seen) -> dict[str, Any] | None:
        return next((one for one in seen.document(SOURCES.key, ()) if one["source"] == self.source), None)

    def shown(self, seen: Seen) -> PageView:
        words, one = seen.words, self._row(seen)
        if one is None:
            return PageView((Column((Heading(self.source), Line(fetched(seen, SOURCES.key), quiet=True))),))
        left: list[Block] = [Heading(self.source), self._table(seen, one)]
        right: list[Block] = [Heading(words("raw-words"))]
        right += [Line(line) for line in raw_lines(one["last_bytes"])] or [Line(words("never-heard"), quiet=True)]
        if one["last_error"]:
            right += [Heading(words("said-last")), Line(str(one["last_error"]))]
        waits = one["to_confirm"]
        if waits is None:
            return PageView((Column(tuple(left)), Column(tuple(right))))
        ask = Line(words("other-device", expected=waits["expected"], found=waits["found"]), strong=True)
        deeds = (Button("confirm", words("right-device")),)
        return PageView((Column(tuple(left)), Column((ask, *right))), deeds)

    def _table(self, seen: Seen, one: dict[str, Any]) -> Table:
        words, number = seen.words, seen.figures.number
        since = seen.figures.stamp(one["since_ms"], seen.timezone, words)
        where = str(one["where"])
        return Table(
            f"source/{self.source}",
            (
                TableRow(words("source-state"), words(f"state-of-{one['state']}")),
                TableRow(words("source-since"), since),
                TableRow(words("source-kind"), kind_of(seen, one)),
                TableRow(words("source-where"), where.rpartition("/")[2] if one["kind"] != "mqtt" else where),
                TableRow(words("source-last"), last_word(seen, one["silent_since_ms"])),
                TableRow(words("source-heard"), number(one["heard"], 0)),
                TableRow(words("source-refused"), number(one["refused"], 0)),
                TableRow(words("source-dropped"), number(one["dropped"], 0)),
                TableRow(words("source-reconnects"), number(one["reconnects"], 0)),
            ),
        )

    def touched(self, seen: Seen, name: str) -> Step | None:
        one = self._row(seen)
        if name != "confirm" or one is None or one["to_confirm"] is None:
            return None
        return Say(Tell("told", f"/api/sources/{self.source}/confirm", {"command_id": self.command}), Back())
