"""What was told of a lot, the newest first; each entry can be taken back for ever."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from kiosk.blocks import Block, Button, Column, Heading, Line, PageView, Table, TableRow
from kiosk.client import Ask, Tell
from kiosk.ids import new_id
from kiosk.pages.base import Back, Open, Say, Seen, Step

UNTOLD = ("kind", "lot", "into", "boards", "against", "checklist", "start", "aim", "sizes_checked")
"""What a deed holds that is not read in a row: ids, and parts of parts."""


@dataclass(frozen=True, slots=True)
class JournalPage:
    """Of one lot."""

    lot: str

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (Ask("journal", "/api/journal", (("lot", self.lot), ("limit", "60"))),)

    def shown(self, seen: Seen) -> PageView:
        entries = seen.document("journal")
        if entries is None:
            return PageView((Column((Line(seen.words("being-fetched")),)),))
        gone = taken_back(entries)
        rows = tuple(
            TableRow(when(seen, one), done(seen, one, gone=one["id"] in gone), f"entry:{one['id']}") for one in entries
        )
        heading = Heading(seen.words("journal-of-lot"))
        return PageView((Column((heading, Table(f"journal/{self.lot}", rows))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, entry = name.partition(":")
        return Open(EntryPage(self.lot, entry)) if kind == "entry" else None


@dataclass(frozen=True, slots=True)
class EntryPage:
    """One entry as it was told. ``undo`` is the id of what takes it back, made once."""

    lot: str
    entry: str
    undo: str = field(default_factory=new_id)

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return JournalPage(self.lot).asks(seen)

    def shown(self, seen: Seen) -> PageView:
        entries = seen.document("journal") or ()
        one = next((e for e in entries if e["id"] == self.entry), None)
        if one is None:
            return PageView((Column((Line(seen.words("being-fetched")),)),))
        gone = self.entry in taken_back(entries)
        told = tuple((k, v) for k, v in one["deed"].items() if k not in UNTOLD and isinstance(v, str | int | float))
        rows = tuple(TableRow(field_name(seen, name), value(seen, one, name)) for name, _ in told)
        blocks: list[Block] = [Heading(done(seen, one, gone=gone)), Line(when(seen, one))]
        if one["who"] or one["note"]:
            blocks.append(Line(" · ".join(part for part in (one["who"], one["note"]) if part), quiet=True))
        blocks.append(Table(self.entry, rows))
        can = not gone and one["deed"]["kind"] not in {"undone", "corrected"}
        deeds = (Button("take-back", seen.words("take-back")),) if can else ()
        return PageView((Column(tuple(blocks)),), deeds)

    def touched(self, seen: Seen, name: str) -> Step | None:
        if name != "take-back":
            return None
        body = {"id": self.undo, "deed": {"kind": "undone", "entry": self.entry}}
        return Say(Tell("told", "/api/journal", body), Back())


def taken_back(entries: Iterable[dict[str, Any]]) -> set[str]:
    """The ids of entries that a later one took back. One that was itself taken back took nothing back."""
    undone = {one["id"]: one["deed"]["entry"] for one in entries if one["deed"]["kind"] == "undone"}
    return {entry for one, entry in undone.items() if one not in undone.values()}


def when(seen: Seen, entry: dict[str, Any]) -> str:
    """Day and hour, by the shop's clock."""
    return seen.figures.stamp(int(entry["t_ms"]), seen.timezone, seen.words)


def done(seen: Seen, entry: dict[str, Any], *, gone: bool) -> str:
    """What was done, as the wall calls it; and whether that counts no longer."""
    kind = str(entry["deed"]["kind"])
    text = seen.words(f"done-{kind}")
    return seen.words("was-taken-back", done=text) if gone else text


def field_name(seen: Seen, name: str) -> str:
    """What a field is, where the wall has a word for it."""
    return seen.words(f"field-{name}") if seen.words.has(f"field-{name}") else name.replace("_", " ")


def value(seen: Seen, entry: dict[str, Any], name: str) -> str:
    """A field's value as it was told, in the wall's units."""
    told, figures = entry["deed"][name], seen.figures
    if isinstance(told, str | bool):
        return str(told)
    said = {
        "mm": lambda: figures.length(told), "pct": lambda: figures.pct(told), "c": lambda: figures.temperature(told),
    }.get(name.rpartition("_")[2])  # fmt: skip
    return said() if said is not None else figures.given(float(told))
