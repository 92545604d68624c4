"""What a person makes at the wall while the server runs: a zone, or a source with its sensors, and takes away again.

It is checked by the schemas of the file, kept in the record together with the command and what the journal says, and
then it works at once. A restart finds it there (:mod:`server.made`). What stands in the file is locked here.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from pydantic import BaseModel, ValidationError

from sensors.first_there import Waiting, confirm, waiting
from sensors.mqtt.source import MqttSource
from server.asked_secrets import SECRETS, wrong_secrets
from server.clock import Clock
from server.config import Config, ConfigError, Mistake, Sensor
from server.config_file import Reader, check_row
from server.engine import Engine
from server.frame import Frame
from server.made import ids_of
from server.making_done import (
    By,
    Locked,
    MadePart,
    MakingDone,
    NothingAsked,
    Unknown,
    asked,
    change_entry,
)
from server.placing import placed_entries, taken_down_entries
from server.reading import Aim, JournalEntry, Made, MadeKind, SourceState
from server.shop.destinations import regions
from server.stores.port import Note, OtherCommand

WHERE = "the request"


@dataclass(frozen=True, slots=True)
class SourceRow(SourceState):
    """A wire's state, and where it is configured: what stands in the file is ``locked`` at the wall. ``to_confirm`` is
    what a person is asked: another device was found there than the first one; is it the right one?"""

    made_here: bool = False
    locked: bool = True
    to_confirm: Waiting | None = None


class Wires(Protocol):
    """The wires that run."""

    async def remove(self, name: str) -> None:
        """Stop one and forget it."""

    def add(self, wires: dict[str, Any]) -> None:
        """Start further ones."""


class Maker:
    """The one that changes what is configured while the server runs; one change at a time.

    ``config`` is all that is configured, ``in_file`` what of it stands in the file. ``make_wires`` makes the drivers of
    a configuration's sources and starts nothing; ``aims`` gives each zone's. ``state`` is the record's folder, and
    ``ports`` the folder below which serial ports have their lasting names.
    """

    def __init__(
        self,
        *,
        config: Config,
        in_file: Config,
        source_schemas: Mapping[str, type[BaseModel]],
        engine: Engine,
        frame: Frame,
        clock: Clock,
        wires: Wires,
        make_wires: Callable[[Config], dict[str, Any]],
        aims: Callable[[Config], Mapping[str, Aim]],
        state: Path,
        ports: Path,
    ) -> None:
        self.config, self.in_file, self.locked = config, in_file, ids_of(in_file)
        self._schemas, self.aims, self._make_wires = source_schemas, aims, make_wires
        self.engine, self._frame, self._wires, self.clock = engine, frame, wires, clock
        self._state, self.secrets, self._ports = state, state / SECRETS, ports
        self.one_at_a_time = asyncio.Lock()

    async def sources(self) -> list[SourceRow]:
        """How each wire is doing, where it is configured, and what a person has to confirm there."""
        return await asyncio.to_thread(lambda: [self._row(state) for state in self._frame.sources()])

    def _row(self, state: SourceState) -> SourceRow:
        locked = ("source", state.source) in self.locked
        there = waiting(state.source, self._state)
        return SourceRow(**asdict(state), made_here=not locked, locked=locked, to_confirm=there)

    async def confirm(self, command_id: str, source_id: str, who: str = "") -> MakingDone:
        """A person says that the device now found at a source is the right one. Raises Unknown, NothingAsked,
        OtherCommand, StoreFull."""
        mark = asked("confirm", source=source_id, who=who)
        async with self.one_at_a_time:
            if (earlier := await self.earlier(command_id, mark)) is not None:
                return earlier
            if not any(state.source == source_id for state in self._frame.sources()):
                raise Unknown("one of " + (", ".join(s.source for s in self._frame.sources()) or "none: there is none"))
            there = await asyncio.to_thread(waiting, source_id, self._state)
            if there is None:
                raise NothingAsked
            done, now_ms = self.done(), self.clock.now().wall_ms
            data: dict[str, object] = {"recorded_ms": now_ms, "who": who, "expected": there.expected}
            entry = JournalEntry(command_id, now_ms, "confirmed", source_id, {**data, "found": there.found})
            if (reply := await self.kept(command_id, mark, done, entries=[entry])) is not None:
                return reply
            await asyncio.to_thread(confirm, source_id, self._state)
        return done

    async def broker(self, given: Mapping[str, Any]) -> MqttSource:
        """A broker to listen to, from what an MQTT source's table would say of it. Raises ConfigError."""
        return await asyncio.to_thread(self._broker, given)  # it reads the files that are named

    def _broker(self, given: Mapping[str, Any]) -> MqttSource:
        if mistakes := wrong_secrets(given, self.secrets, "broker", WHERE):
            raise ConfigError(mistakes)
        return check_row(MqttSource, {"id": "listening", "kind": "mqtt", "topics": ["#"], **given}, "broker")

    async def make_source(
        self, command_id: str, source: Mapping[str, Any], sensors: Sequence[Mapping[str, Any]], who: str = ""
    ) -> MakingDone:
        """Make a source with its sensors and start it. Raises ConfigError with what is wrong (keys as in the file),
        OtherCommand, StoreFull."""
        rows = [{"source": source.get("id"), **sensor} for sensor in sensors]
        for n, row in enumerate(rows):
            if row["source"] != source.get("id"):
                right = f"{source.get('id')!r}, the source made with it, or nothing"
                raise ConfigError([Mistake(WHERE, None, f"sensor[{n}].source", repr(row["source"]), right)])
        return await self._make(command_id, {"source": [dict(source)], "sensor": rows}, who)

    async def make_zone(self, command_id: str, zone: Mapping[str, Any], who: str = "") -> MakingDone:
        """Make a zone. Raises as :meth:`make_source` does."""
        return await self._make(command_id, {"zone": [dict(zone)]}, who)

    async def make_destination(self, command_id: str, destination: Mapping[str, Any], who: str = "") -> MakingDone:
        """Make a destination. Raises as :meth:`make_source` does."""
        return await self._make(command_id, {"destination": [dict(destination)]}, who)

    async def _make(self, command_id: str, tables: dict[str, list[Any]], who: str) -> MakingDone:
        mark = asked("make", tables=tables, who=who)
        async with self.one_at_a_time:
            if (earlier := await self.earlier(command_id, mark)) is not None:
                return earlier
            config = await asyncio.to_thread(self.checked, self.config, tables)
            old = self.config
            sensors, sources = config.sensors[len(old.sensors) :], config.sources[len(old.sources) :]
            wires = await asyncio.to_thread(self._make_wires, replace(config, sources=sources))
            now_ms = self.clock.now().wall_ms
            kinds: tuple[MadeKind, ...] = ("destination", "zone", "source", "sensor")
            made = [Made(kind, row["id"], row, now_ms) for kind in kinds for row in tables.get(kind, [])]
            entries = [_made_entry(one, By(command_id, who, now_ms)) for one in made if one.kind != "sensor"]
            entries += placed_entries(sensors, self.engine.history.journal("placed"), now_ms, who)
            done = self.done(made=[(one.kind, one.id) for one in made])
            if (reply := await self.kept(command_id, mark, done, made=made, entries=entries)) is not None:
                return reply
            self.use(config)
            for zone in config.zones[len(old.zones) :]:
                self.engine.add_zone(zone.id, zone.name, self.aims(config)[zone.id])
            for sensor in sensors:
                self.engine.add_sensor(sensor)
            self._wires.add(wires)
        await self.engine.publish()
        return done

    async def remove_source(self, command_id: str, source_id: str, who: str = "") -> MakingDone:
        """Take away a source that was made here, and its sensors; what they said stays. Raises Locked, Unknown,
        OtherCommand, StoreFull."""
        mark = asked("remove source", source=source_id, who=who)
        async with self.one_at_a_time:
            if (earlier := await self.earlier(command_id, mark)) is not None:
                return earlier
            self._check_removable(source_id)
            sensors = [sensor for sensor in self.config.sensors if sensor.source == source_id]
            gone: list[tuple[MadeKind, str]] = [("source", source_id), *(("sensor", sensor.id) for sensor in sensors)]
            done = self.done(gone=gone)
            now_ms = self.clock.now().wall_ms
            entries = [change_entry("removed", ("source", source_id), By(command_id, who, now_ms))]
            entries += taken_down_entries(sensors, now_ms, who)
            if (reply := await self.kept(command_id, mark, done, gone=gone, entries=entries)) is not None:
                return reply
            await self._wires.remove(source_id)
            self.use(_without(self.config, source_id, sensors))
            for sensor in sensors:
                self.engine.remove_sensor(sensor)
        await self.engine.publish()
        return done

    def _check_removable(self, source_id: str) -> None:
        if ("source", source_id) in self.locked:
            raise Locked(f"a change in the configuration file, where [[source]] '{source_id}' stands, and a restart")
        made = [name for kind, name in sorted(ids_of(self.config) - self.locked) if kind == "source"]
        if source_id not in made:
            raise Unknown("one made at the wall: " + (", ".join(made) or "there is none"))

    def use(self, config: Config) -> None:
        """From now on this is what is configured."""
        self.config = config
        self._frame.use(config)

    def checked(self, config: Config, tables: dict[str, list[Any]]) -> Config:
        """A configuration with further tables. Raises ConfigError."""
        for source in tables.get("source", []):
            if mistakes := [*wrong_secrets(source, self.secrets, "source[0]", WHERE), *self._wrong_port(source)]:
                raise ConfigError(mistakes)
        return Reader("", WHERE, self._schemas, {}, regions()).read_more(config, tables)

    def _wrong_port(self, source: Mapping[str, Any]) -> list[Mistake]:
        port = source.get("port")
        if not isinstance(port, str) or source.get("kind") == "mqtt":  # a broker's is a number, which its table says
            return []
        if not port.isprintable() or ".." in Path(port).parts or not Path(port).is_relative_to(self._ports):
            return [Mistake(WHERE, None, "source[0].port", repr(port), f"a port that was heard, below {self._ports}")]
        target = os.path.realpath(port)
        readers = [s.source for s in self._frame.sources() if os.path.realpath(s.where) == target]
        if readers:
            found = f"{port!r}, which source '{readers[0]}' reads"
            return [Mistake(WHERE, None, "source[0].port", found, "one source a port")]
        return []

    async def earlier(self, command_id: str, mark: str) -> MakingDone | None:
        """What a command was answered before, None where it is new. Raises OtherCommand where it asked another thing
        then than ``mark``, which :func:`asked` makes, says."""
        return self._told(await asyncio.to_thread(self.engine.history.command, command_id), mark)

    async def kept(
        self,
        command_id: str,
        mark: str,
        done: MakingDone,
        *,
        made: Sequence[Made] = (),
        gone: Sequence[tuple[str, str]] = (),
        entries: Sequence[JournalEntry] = (),
        remake: tuple[Note, int] | None = None,
    ) -> MakingDone | None:
        """Keep a change with its command; an earlier answer to that command, as :meth:`earlier`. Raises StoreFull."""
        command = (command_id, {**done.model_dump(), "asked": mark})
        reply = await self.engine.store.change_made(command, made=made, gone=gone, entries=entries, remake=remake)
        return self._told(reply, mark)

    def _told(self, reply: Mapping[str, object] | None, mark: str) -> MakingDone | None:
        """An earlier reply as one of ours, now. Raises OtherCommand."""
        if reply is None:
            return None
        told = {key: value for key, value in reply.items() if key != "asked"}
        if reply.get("asked", mark) != mark:  # older ones do not say
            raise OtherCommand
        try:
            return MakingDone.model_validate({**told, "repeated": True, "version": self.engine.board.version})
        except ValidationError as e:
            raise OtherCommand from e

    def done(
        self,
        made: Sequence[tuple[MadeKind, str]] = (),
        gone: Sequence[tuple[MadeKind, str]] = (),
        changed: Sequence[tuple[MadeKind, str]] = (),
    ) -> MakingDone:
        """The answer to a command that is carried out now."""
        lists = [[MadePart(kind=kind, id=name) for kind, name in one] for one in (made, gone, changed)]
        version = self.engine.board.version
        return MakingDone(done=True, repeated=False, made=lists[0], gone=lists[1], changed=lists[2], version=version)


def _made_entry(one: Made, by: By) -> JournalEntry:
    """Of a wire only its kind: its table may name where a secret lies."""
    after = one.data if one.kind != "source" else {"kind": one.data.get("kind")}
    return change_entry("made", (one.kind, one.id), by, None, after)


def _without(config: Config, source_id: str, sensors: Sequence[Sensor]) -> Config:
    return replace(
        config,
        sources=tuple(s for s in config.sources if getattr(s, "id") != source_id),  # noqa: B009
        sensors=tuple(s for s in config.sensors if s not in sensors),
    )
