"""The zones: what each is meant for and held to, a new one, another name, another destination."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from kiosk.blocks import (
    Block,
    Button,
    Choices,
    Column,
    Heading,
    Keyboard,
    Line,
    PageView,
    QuestionRow,
    Questions,
    Table,
    TableRow,
)
from kiosk.client import Ask, Tell
from kiosk.ids import command_id, lot_id
from kiosk.pages.base import Back, Open, Say, Seen, Stay, Step
from kiosk.pages.form import typed_name
from kiosk.pages.forms import DESTINATIONS
from kiosk.pages.setup_words import fetched

NAME_SIGNS = 24
"""As many as a zone's name has room for on the wall; the server takes no more."""


def zones_of(seen: Seen) -> list[dict[str, Any]]:
    """As the snapshot has them."""
    return list(seen.snapshot["zones"]) if seen.snapshot else []


@dataclass(frozen=True, slots=True)
class ZonesPage:
    """Each with the aim that is held there."""

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (DESTINATIONS,)

    def shown(self, seen: Seen) -> PageView:
        rows = tuple(
            QuestionRow(f"zone:{zone['id']}", "", "none", str(zone["name"]), aim_text(seen, zone), "")
            for zone in zones_of(seen)
        )
        body: Block = Questions("setup-zones", rows) if rows else Line(seen.words("no-zones"))
        return PageView(
            (Column((Heading(seen.words("setup-zones")), body)),), (Button("new", seen.words("zone-new")),)
        )  # fmt: skip

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        if kind == "new":
            return Open(NamePage())
        return Open(ZonePage(what)) if kind == "zone" else None


def aim_text(seen: Seen, zone: dict[str, Any]) -> str:
    """As the server says it."""
    aim = zone["aim"]
    return str(aim["text"]["text"]) if aim else seen.words("zone-no-aim")


@dataclass(frozen=True, slots=True)
class ZonePage:
    """One zone. What stands in the configuration file is changed there: the server says so when it is asked."""

    zone: str

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (DESTINATIONS,)

    def shown(self, seen: Seen) -> PageView:
        words = seen.words
        zone = next((one for one in zones_of(seen) if one["id"] == self.zone), None)
        if zone is None:
            return PageView((Column((Heading(self.zone), Line(words("zone-gone")))),))
        home = destination_of(seen, self.zone)
        rows = [TableRow(words("zone-meant-for"), str(home["name"]) if home else fetched(seen, DESTINATIONS.key))]
        aim, figures = zone["aim"], seen.figures
        if aim:
            low, high = figures.given(aim["dry_limit_pct"]), figures.given(aim["damp_limit_pct"])
            rows.append(TableRow(words("aim"), words("zone-aim", low=low, high=high)))
        heard = zone["heard_text"]
        rows.append(TableRow(words("source-last"), str(heard["text"]) if heard else words("never-heard")))
        blocks: list[Block] = [Heading(str(zone["name"])), Table(f"setup-zone/{self.zone}", tuple(rows))]
        right: list[Block] = [Heading(words("sources"))]
        right.append(Line(str(aim["source"]) if aim else words("zone-no-aim"), quiet=True))
        deeds = Button("name", words("zone-other-name")), Button("destination", words("zone-other-destination"))
        return PageView((Column(tuple(blocks), share=1.2), Column(tuple(right), share=0.8)), deeds)

    def touched(self, seen: Seen, name: str) -> Step | None:
        if name == "name":
            return Open(NamePage(self.zone))
        return Open(DestinationPage(self.zone)) if name == "destination" else None


def destination_of(seen: Seen, zone: str) -> dict[str, Any] | None:
    """What is meant to come of the work there."""
    return next((one for one in seen.document(DESTINATIONS.key, ()) if zone in one["zones"]), None)


@dataclass(frozen=True, slots=True)
class NamePage:
    """A name is typed: of a zone that is there, or of a new one, whose destination is asked next."""

    zone: str = ""
    typed: str = ""
    command: str = field(default_factory=command_id)

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (DESTINATIONS,)

    def shown(self, seen: Seen) -> PageView:
        heading = Heading(seen.words("zone-name-which"))
        ready = Button("next", seen.words("next") if not self.zone else seen.words("zone-rename"), enabled=self._ready)
        return PageView((Column((heading, Keyboard(f"{self.command}/name", self.typed))),), (ready,))

    @property
    def _ready(self) -> bool:
        return bool(self.typed.strip())

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, key = name.partition(":")
        if kind == "key":
            return Stay(replace(self, typed=typed_name(self.typed, key)[:NAME_SIGNS]))
        if kind != "next" or not self._ready:
            return None
        typed = self.typed.strip()
        return (
            Say(changed(self.zone, self.command, name=typed), Back()) if self.zone else Open(DestinationPage("", typed))
        )


def changed(zone: str, command: str, **values: str) -> Tell:
    """Other keys of a zone."""
    return Tell("told", f"/api/zones/{zone}", {"command_id": command, "zone": values}, "PUT")


@dataclass(frozen=True, slots=True)
class DestinationPage:
    """What a zone's work is meant for is chosen; with a ``name`` the zone is made by it."""

    zone: str
    name: str = ""
    command: str = field(default_factory=command_id)

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (DESTINATIONS,)

    def shown(self, seen: Seen) -> PageView:
        found, now = seen.document(DESTINATIONS.key), destination_of(seen, self.zone)
        heading = Heading(seen.words("zone-destination-which"))
        if found is None:
            return PageView((Column((heading, Line(fetched(seen, DESTINATIONS.key), quiet=True))),))
        figures = seen.figures
        buttons = tuple(
            Button(
                f"for:{one['id']}",
                str(one["name"]),
                seen.words(
                    "zone-aim", low=figures.given(one["dry_limit_pct"]), high=figures.given(one["damp_limit_pct"])
                ),
                chosen=one == now,
            )
            for one in found
        )
        return PageView((Column((heading, Choices(f"destinations/{self.zone}", buttons))),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        if kind != "for":
            return None
        if self.zone:
            return Say(changed(self.zone, self.command, destination=what), Back())
        zone = {"id": lot_id(self.name, self.command), "name": self.name, "destination": what}
        return Say(Tell("told", "/api/zones", {"command_id": self.command, "zone": zone}), Back(2))
