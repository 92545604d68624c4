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

from pydantic import BaseModel, ConfigDict, ValidationError

from sensors.first_there import Waiting, confirm, waiting
from sensors.mqtt.source import MqttSource
from server.asked_secrets import SECRETS, wrong_secrets
from server.clock import Clock
from server.config import Config, ConfigError, Mistake, Sensor
from server.config_file import Reader, check_row
from server.engine import Engine
from server.frame import Frame
from server.made import ids_of
from server.placing import placed_entries, taken_down_entries
from server.reading import Aim, JournalEntry, Made, MadeKind, SourceState

WHERE = "the request"


class Locked(Exception):
    """It stands in the configuration file, and only there may it be changed. The text is for a person."""


class Unknown(Exception):
    """There is no such thing. The text says which there are."""


class NothingAsked(Exception):
    """Nothing waits for a person at this source."""


class OtherCommand(Exception):
    """This command id was carried out for something else."""


class MadePart(BaseModel):
    """One thing that was made or taken away."""

    model_config = ConfigDict(extra="forbid")
    kind: MadeKind
    id: str


class MakingDone(BaseModel):
    """The answer to a command; ``repeated`` when the id had been carried out before."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    made: list[MadePart]
    gone: list[MadePart]
    version: str


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
        self.config, self._locked = config, ids_of(in_file)
        self._schemas, self._aims, self._make_wires = source_schemas, aims, make_wires
        self._engine, self._frame, self._wires, self._clock = engine, frame, wires, clock
        self._state, self.secrets, self._ports = state, state / SECRETS, ports
        self._one_at_a_time = asyncio.Lock()

    async def sources(self) -> list[SourceRow]:
        """How each wire is doing, where it is configured, and what a person has to confirm there."""
        return await asyncio.to_thread(lambda: [self._row(state) for state in self._frame.sources()])

    def _row(self, state: SourceState) -> SourceRow:
        locked = ("source", state.source) in self._locked
        asked = waiting(state.source, self._state)
        return SourceRow(**asdict(state), made_here=not locked, locked=locked, to_confirm=asked)

    async def confirm(self, command_id: str, source_id: str) -> MakingDone:
        """A person says that the device now found at a source is the right one. Raises Unknown, NothingAsked,
        OtherCommand, StoreFull."""
        async with self._one_at_a_time:
            if (earlier := await self._earlier(command_id)) is not None:
                return earlier
            if not any(state.source == source_id for state in self._frame.sources()):
                raise Unknown("one of " + (", ".join(s.source for s in self._frame.sources()) or "none: there is none"))
            asked = await asyncio.to_thread(waiting, source_id, self._state)
            if asked is None:
                raise NothingAsked
            done, now_ms = self._done(), self._clock.now().wall_ms
            data: dict[str, object] = {"expected": asked.expected, "found": asked.found}
            entry = JournalEntry(command_id, now_ms, "confirmed", source_id, data)
            if (reply := await self._kept(command_id, done, entries=[entry])) is not None:
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
        self, command_id: str, source: Mapping[str, Any], sensors: Sequence[Mapping[str, Any]]
    ) -> MakingDone:
        """Make a source with its sensors and start it. Raises ConfigError with what is wrong (keys as in the file),
        OtherCommand, StoreFull."""
        rows = [{"source": source.get("id"), **sensor} for sensor in sensors]
        for n, row in enumerate(rows):
            if row["source"] != source.get("id"):
                right = f"{source.get('id')!r}, the source made with it, or nothing"
                raise ConfigError([Mistake(WHERE, None, f"sensor[{n}].source", repr(row["source"]), right)])
        return await self._make(command_id, {"source": [dict(source)], "sensor": rows})

    async def make_zone(self, command_id: str, zone: Mapping[str, Any]) -> MakingDone:
        """Make a zone. Raises as :meth:`make_source` does."""
        return await self._make(command_id, {"zone": [dict(zone)]})

    async def _make(self, command_id: str, tables: dict[str, list[Any]]) -> MakingDone:
        async with self._one_at_a_time:
            if (earlier := await self._earlier(command_id)) is not None:
                return earlier
            config = await asyncio.to_thread(self._checked, tables)
            old = {"sensor": self.config.sensors, "source": self.config.sources, "zone": self.config.zones}
            sensors, sources = config.sensors[len(old["sensor"]) :], config.sources[len(old["source"]) :]
            wires = await asyncio.to_thread(self._make_wires, replace(config, sources=sources))
            now_ms = self._clock.now().wall_ms
            kinds: tuple[MadeKind, ...] = ("zone", "source", "sensor")
            made = [Made(kind, row["id"], row, now_ms) for kind in kinds for row in tables.get(kind, [])]
            entries = placed_entries(sensors, self._engine.history.journal("placed"), now_ms)
            done = self._done(made=[(one.kind, one.id) for one in made])
            if (reply := await self._kept(command_id, done, made=made, entries=entries)) is not None:
                return reply
            self._use(config)
            for zone in config.zones[len(old["zone"]) :]:
                self._engine.add_zone(zone.id, zone.name, self._aims(config)[zone.id])
            for sensor in sensors:
                self._engine.add_sensor(sensor)
            self._wires.add(wires)
        await self._engine.publish()
        return done

    async def remove_source(self, command_id: str, source_id: str) -> MakingDone:
        """Take away a source that was made here, and its sensors; what they said stays. Raises Locked, Unknown,
        OtherCommand, StoreFull."""
        async with self._one_at_a_time:
            if (earlier := await self._earlier(command_id)) is not None:
                return earlier
            self._check_removable(source_id)
            sensors = [sensor for sensor in self.config.sensors if sensor.source == source_id]
            gone: list[tuple[MadeKind, str]] = [("source", source_id), *(("sensor", sensor.id) for sensor in sensors)]
            done = self._done(gone=gone)
            entries = taken_down_entries(sensors, self._clock.now().wall_ms)
            if (reply := await self._kept(command_id, done, gone=gone, entries=entries)) is not None:
                return reply
            await self._wires.remove(source_id)
            self._use(_without(self.config, source_id, sensors))
            for sensor in sensors:
                self._engine.remove_sensor(sensor)
        await self._engine.publish()
        return done

    def _check_removable(self, source_id: str) -> None:
        if ("source", source_id) in self._locked:
            raise Locked(f"a change in the configuration file, where [[source]] '{source_id}' stands, and a restart")
        made = [name for kind, name in sorted(ids_of(self.config) - self._locked) if kind == "source"]
        if source_id not in made:
            raise Unknown("one made at the wall: " + (", ".join(made) or "there is none"))

    def _use(self, config: Config) -> None:
        self.config = config
        self._frame.use(config)

    def _checked(self, tables: dict[str, list[Any]]) -> Config:
        """The configuration with the new tables. Raises ConfigError."""
        for source in tables.get("source", []):
            if mistakes := [*wrong_secrets(source, self.secrets, "source[0]", WHERE), *self._wrong_port(source)]:
                raise ConfigError(mistakes)
        return Reader("", WHERE, self._schemas, {}).read_more(self.config, tables)

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

    async def _earlier(self, command_id: str) -> MakingDone | None:
        return self._told(await asyncio.to_thread(self._engine.history.command, command_id))

    async def _kept(
        self,
        command_id: str,
        done: MakingDone,
        *,
        made: Sequence[Made] = (),
        gone: Sequence[tuple[str, str]] = (),
        entries: Sequence[JournalEntry] = (),
    ) -> MakingDone | None:
        command = (command_id, done.model_dump())
        return self._told(await self._engine.store.change_made(command, made=made, gone=gone, entries=entries))

    def _told(self, reply: Mapping[str, object] | None) -> MakingDone | None:
        """An earlier reply as one of ours, now. Raises OtherCommand."""
        if reply is None:
            return None
        try:
            return MakingDone.model_validate({**reply, "repeated": True, "version": self._engine.board.version})
        except ValidationError as e:
            raise OtherCommand from e

    def _done(self, made: Sequence[tuple[MadeKind, str]] = (), gone: Sequence[tuple[MadeKind, str]] = ()) -> MakingDone:
        parts = [[MadePart(kind=kind, id=name) for kind, name in one] for one in (made, gone)]
        version = self._engine.board.version
        return MakingDone(done=True, repeated=False, made=parts[0], gone=parts[1], version=version)


def _without(config: Config, source_id: str, sensors: Sequence[Sensor]) -> Config:
    return replace(
        config,
        sources=tuple(s for s in config.sources if getattr(s, "id") != source_id),  # noqa: B009
        sensors=tuple(s for s in config.sensors if s not in sensors),
    )
