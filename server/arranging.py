"""Zones, destinations and settings of the shop as people change them at the wall.

A change works at once: the aim of a destination is asked where it is wanted, a new zone can be moved to. What stands
in the configuration file is locked here, and nothing is taken away that something rests on.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from server.config import Config, ConfigError, Destination, Mistake, Shop
from server.config_zone import Zone
from server.made import SHOP, rows_of, shop_with
from server.making import WHERE, Maker
from server.making_done import By, InUse, Locked, MakingDone, Unknown, asked, change_entry
from server.places import Places
from server.reading import Aim, Made
from server.shop.zone_aims import destination_aims
from server.stockroom import Stockroom

Kind = Literal["zone", "destination"]
LATER = frozenset({"timezone"})
"""Keys that take effect with the next start: days of the record begin by them."""


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One key of the shop: what holds now, whether the file says so (``locked``), and what holds after a restart where
    that is something else (``next``)."""

    key: str
    value: object
    locked: bool
    next: object | None = None


@dataclass(frozen=True, slots=True)
class DestinationRow:
    """A destination with its aim, and what is meant for it: zones and lots."""

    destination: Destination
    aim: Aim
    locked: bool
    zones: tuple[str, ...]
    lots: tuple[str, ...]


class Arranger:
    """Works through the maker, one change at a time with it. ``places`` moves sensors."""

    def __init__(self, maker: Maker, stockroom: Stockroom) -> None:
        self._maker, self._stockroom = maker, stockroom
        self.places = Places(maker, stockroom)
        self._later: dict[str, object] = {}

    def settings(self) -> list[SettingRow]:
        """Every key of the shop's table."""
        shop, in_file = self._maker.config.shop, self._maker.in_file.shop.model_fields_set
        return [
            SettingRow(key, getattr(shop, key), key in in_file, self._later.get(key)) for key in Shop.model_fields
        ]  # fmt: skip

    def destinations(self) -> list[DestinationRow]:
        """Every destination, in the file's order."""
        config, locked = self._maker.config, self._maker.locked
        aims = destination_aims(config)
        return [
            DestinationRow(
                one,
                aims[one.id],
                ("destination", one.id) in locked,
                tuple(zone.id for zone in config.zones if zone.destination == one.id),
                tuple(self._lots(destination=one.id)),
            )
            for one in config.destinations
        ]

    async def set(self, command_id: str, values: Mapping[str, object], who: str = "") -> MakingDone:
        """Set keys of the shop. Raises ConfigError, Locked, InUse, OtherCommand, StoreFull."""
        mark, maker = asked("set", values=values, who=who), self._maker
        async with maker.one_at_a_time:
            if (earlier := await maker.earlier(command_id, mark)) is not None:
                return earlier
            self._may_set(values)
            before = next((one for one in await self._made() if one.kind == SHOP), None)
            kept = {**({} if before is None else before.data), **values}
            shop = shop_with(maker.in_file.shop, kept)
            was = {key: self._later.get(key, getattr(maker.config.shop, key)) for key in values}
            now_ms = maker.clock.now().wall_ms
            entry = change_entry("changed", (SHOP, SHOP), By(command_id, who, now_ms), was, values)
            later = [k for k in LATER if k in values and getattr(shop, k) != getattr(maker.config.shop, k)]
            done = maker.done(changed=[(SHOP, SHOP)]).model_copy(update={"later": sorted(later)})
            made, gone = [Made(SHOP, SHOP, kept, now_ms)], [(SHOP, SHOP)]
            if (reply := await maker.kept(command_id, mark, done, made=made, gone=gone, entries=[entry])) is not None:
                return reply
            self._use(shop)
        await maker.engine.publish()
        return done

    def _use(self, shop: Shop) -> None:
        config, board = self._maker.config, self._maker.engine.board
        changed = {key: getattr(shop, key) for key in LATER if getattr(shop, key) != getattr(config.shop, key)}
        self._later = dict(changed)
        standing = {key: getattr(config.shop, key) for key in LATER}
        self._maker.use(replace(config, shop=shop.model_copy(update=standing)))
        board.default = (shop.language, shop.units)

    def _may_set(self, values: Mapping[str, object]) -> None:
        maker = self._maker
        if not values:
            raise ConfigError([Mistake(WHERE, None, "shop", "no key", "one of " + ", ".join(Shop.model_fields))])
        for key in values:
            if key in maker.in_file.shop.model_fields_set:
                raise Locked(f"a change in the configuration file, where [shop] {key} stands, and a restart")
        named = [remote.id for remote in maker.config.remotes if not remote.source]
        if "name" in values and named:
            found = f"{values['name']!r}, while {', '.join(named)} gets copies under the name there is"
            raise InUse(found, f"a source of its own for [[remote]] {named[0]} in the configuration file first")

    async def change(
        self, kind: Kind, name: str, values: Mapping[str, Any], who: str = "", *, command_id: str
    ) -> MakingDone:
        """Give a zone or a destination that was made here other keys; a destination's region takes its limits along,
        and the other way round. Raises ConfigError, Locked, Unknown, OtherCommand, StoreFull."""
        mark, maker = asked("change", kind=kind, id=name, values=values, who=who), self._maker
        async with maker.one_at_a_time:
            if (earlier := await maker.earlier(command_id, mark)) is not None:
                return earlier
            before = await self._made_here(kind, name)
            after = _with(kind, before.data, values)
            config = await asyncio.to_thread(self._with_row, kind, name, after)
            by = By(command_id, who, maker.clock.now().wall_ms)
            entry = change_entry("changed", (kind, name), by, before.data, after)
            done = maker.done(changed=[(kind, name)])
            made, gone = [replace(before, data=after)], [(kind, name)]
            if (reply := await maker.kept(command_id, mark, done, made=made, gone=gone, entries=[entry])) is not None:
                return reply
            maker.use(config)
            maker.engine.rename_zones({zone.id: zone.name for zone in config.zones}, maker.aims(config))
        await maker.engine.publish()
        return done

    def _with_row(self, kind: Kind, name: str, row: dict[str, Any]) -> Config:
        """The configuration with a row in place of the one of that id. Raises ConfigError."""
        rows = rows_of(self._maker.config)[kind]
        at = next(n for n, one in enumerate(rows) if one.id == name)
        without = _with_rows(self._maker.config, kind, (*rows[:at], *rows[at + 1 :]))
        config = self._maker.checked(without, {kind: [row]})
        *others, new = rows_of(config)[kind]
        return _with_rows(config, kind, (*others[:at], new, *others[at:]))

    async def remove(self, kind: Kind, name: str, who: str = "", *, command_id: str) -> MakingDone:
        """Take away a zone or a destination that was made here. Raises Locked, Unknown, InUse, OtherCommand,
        StoreFull."""
        mark, maker = asked("remove", kind=kind, id=name, who=who), self._maker
        async with maker.one_at_a_time, self._stockroom.still():
            if (earlier := await maker.earlier(command_id, mark)) is not None:
                return earlier
            before = await self._made_here(kind, name)
            self._may_go(kind, name)
            by = By(command_id, who, maker.clock.now().wall_ms)
            entry = change_entry("removed", (kind, name), by, before.data)
            done = maker.done(gone=[(kind, name)])
            if (reply := await maker.kept(command_id, mark, done, gone=[(kind, name)], entries=[entry])) is not None:
                return reply
            rows = tuple(one for one in rows_of(maker.config)[kind] if one.id != name)
            maker.use(_with_rows(maker.config, kind, rows))
            if kind == "zone":
                maker.engine.remove_zone(name)
        await maker.engine.publish()
        return done

    def _may_go(self, kind: Kind, name: str) -> None:
        config = self._maker.config
        if kind == "zone":
            rests = {"sensor": [one.id for one in config.sensors if one.zone == name], "lot": self._lots(zone=name)}
            right = "a zone in which no lot lies and no sensor stands: move them first"
        else:
            rests = {
                "zone": [one.id for one in config.zones if one.destination == name],
                "lot": self._lots(destination=name),
            }
            right = "a destination that no zone and no lot is meant for"
        if any(rests.values()):
            there = "; ".join(f"{what} {', '.join(names)}" for what, names in rests.items() if names)
            raise InUse(f"{name!r}: {there}", right)

    def _lots(self, *, zone: str | None = None, destination: str | None = None) -> list[str]:
        """The lots in the shop that lie in a zone, or are meant for a destination."""
        there = [(name, lot) for name, lot in self._stockroom.shop.lots.items() if not lot.ended]
        return sorted(n for n, lot in there if zone == lot.zone or (lot.received.aim.destination or "") == destination)

    async def _made(self) -> list[Made]:
        return await asyncio.to_thread(self._maker.engine.history.made)

    async def _made_here(self, kind: Kind, name: str) -> Made:
        if (kind, name) in self._maker.locked:
            raise Locked(f"a change in the configuration file, where [[{kind}]] '{name}' stands, and a restart")
        rows = [one for one in await self._made() if one.kind == kind]
        for one in rows:
            if one.id == name:
                return one
        raise Unknown("one made at the wall: " + (", ".join(one.id for one in rows) or "there is none"))


def _with(kind: Kind, before: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """A row with other keys. An aim is a region or two limits: what is given takes the place of the other."""
    wrong = [key for key in values if key == "id"]
    if wrong:
        raise ConfigError([Mistake(WHERE, None, f"{kind}[0].id", repr(values["id"]), "nothing: an id stays")])
    left = dict(before)
    if kind == "destination" and values.get("region") is not None:
        left = {key: value for key, value in left.items() if key not in ("dry_limit_pct", "damp_limit_pct")}
    elif kind == "destination" and values.keys() & {"dry_limit_pct", "damp_limit_pct"}:
        left.pop("region", None)
    return {**left, **values}


def _with_rows(config: Config, kind: Kind, rows: tuple[Any, ...]) -> Config:
    if kind == "zone":
        zones: tuple[Zone, ...] = rows
        return replace(config, zones=zones)
    return replace(config, destinations=rows)
