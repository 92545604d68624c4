"""Where sensors stand, as people tell it at the wall, and the past made right by it.

A move is answered as soon as the record holds it, and works with the next turn. The air of the zones since then is
made anew from the raw readings beside the loop, in small transactions; a note in the record says how far that has
come, so that a start goes on with it. Then lots that lay there run again.
"""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from server.bins import Bins
from server.config import Sensor
from server.making import Maker
from server.making_done import MakingDone, Unknown, asked
from server.placing import KIND, Place, places, zones_since
from server.reading import ZONE_QUANTITIES, JournalEntry, Made, ZoneAir
from server.remixing import Remix, Stretch
from server.restore import later_rows, zone_bins
from server.shop.ground import AHEAD_MS
from server.shop.journal import NotPossible
from server.stockroom import Stockroom
from server.stores.port import StoreError
from server.zones import as_readings

log = logging.getLogger(__name__)

NOTE = "air-remaking:"
RETRY_S = 30.0


@dataclass(slots=True)
class Remaking:
    """The air of some zones from a moment on, to be made anew; ``to_ms`` is None until the sensor hangs there."""

    name: str
    zones: tuple[str, ...]
    from_ms: int
    to_ms: int | None = None

    def note(self, from_ms: int) -> tuple[str, str]:
        """As the record keeps it: what is still to be done."""
        return NOTE + self.name, json.dumps({"zones": self.zones, "from_ms": from_ms})


class Places:
    """:meth:`run` is one of the app's parts. Moves go through the maker, one change at a time with it."""

    def __init__(self, maker: Maker, stockroom: Stockroom) -> None:
        self._maker, self._stockroom, self._engine = maker, stockroom, maker.engine
        self._waiting: list[Remaking] = []
        self._woken = asyncio.Event()

    async def stood(self, sensor: str) -> tuple[Place, ...]:
        """Where a sensor stood when. Raises Unknown."""
        found = await asyncio.to_thread(self._stood)
        if sensor not in found:
            raise Unknown("one of " + (", ".join(found) or "none: there is none"))
        return found[sensor]

    def remaking(self, zones: Sequence[str]) -> bool:
        """Whether the past of any of these zones is being made anew."""
        return any(set(one.zones) & set(zones) for one in self._waiting)

    async def move(
        self, command_id: str, sensor: str, zone: str, from_ms: int | None, *, who: str = "", note: str = ""
    ) -> MakingDone:
        """The sensor stands in ``zone`` from a time on, now if none is named. Raises Unknown, NotPossible,
        OtherCommand, StoreFull."""
        mark = asked("move sensor", sensor=sensor, zone=zone, from_ms=from_ms, who=who, note=note)
        maker = self._maker
        async with maker.one_at_a_time:
            if (earlier := await maker.earlier(command_id, mark)) is not None:
                return earlier
            table = self._table(sensor)
            stood = await self.stood(sensor)
            since_ms = self._since(command_id, zone, from_ms)
            zones = zones_since(stood, since_ms) | {zone}
            if zones == {zone}:
                found = f"{zone!r}, where it has stood since then"
                raise NotPossible(command_id, "zone", found, "another zone, or an earlier time")
            await asyncio.to_thread(self._check_kept, command_id, zones, since_ms, from_ms)
            moved = table.model_copy(update={"zone": zone})
            entry, made = await asyncio.to_thread(self._entry, command_id, moved, since_ms, who, note)
            entry.data["was"] = table.zone
            job, done = Remaking(command_id, tuple(sorted(zones)), since_ms), maker.done(changed=[("sensor", sensor)])
            gone = [(one.kind, one.id) for one in made]
            felt_ms = await asyncio.to_thread(lambda: min(self._stockroom.felt_from_ms(z, since_ms) for z in zones))
            remake = (job.note(since_ms), felt_ms)
            reply = await maker.kept(command_id, mark, done, made=made, gone=gone, entries=[entry], remake=remake)
            if reply is not None:
                return reply
            self._take_up(job, moved)
        await self._engine.publish()
        return done

    def _take_up(self, job: Remaking, moved: Sensor) -> None:
        config = self._maker.config
        sensors = tuple(moved if one.id == moved.id else one for one in config.sensors)
        self._maker.use(replace(config, sensors=sensors))
        self._waiting.append(job)

        def hang() -> None:
            if moved.id in self._engine.zones.ears:  # else taken away since
                self._engine.move_sensor(moved, job.from_ms)
            job.to_ms = self._engine.clock.now().wall_ms + 1
            self._woken.set()

        self._engine.between_turns.append(hang)

    def _table(self, sensor: str) -> Sensor:
        for one in self._maker.config.sensors:
            if one.id == sensor:
                return one
        raise Unknown("one of " + (", ".join(one.id for one in self._maker.config.sensors) or "none: there is none"))

    def _stood(self) -> dict[str, tuple[Place, ...]]:
        """Where each sensor stood when; reads the record. A start writes down those that are new."""
        never_told = {one.id: (Place(0, one.zone, 0),) for one in self._maker.config.sensors}
        return never_told | places(self._engine.history.journal(KIND))

    def _since(self, command_id: str, zone: str, from_ms: int | None) -> int:
        there, now = list(self._engine.aims), self._engine.clock.now()
        if zone not in there:
            raise NotPossible(command_id, "zone", repr(zone), f"one of {', '.join(there)}")
        if from_ms is None:
            return now.wall_ms
        if not now.wall_is_set:
            found = f"{from_ms}, while the clock is not set"
            raise NotPossible(command_id, "from_ms", found, "nothing, which is now; or wait until the clock is set")
        if from_ms > now.wall_ms + AHEAD_MS:
            raise NotPossible(command_id, "from_ms", str(from_ms), f"a time that has come; it is {now.wall_ms}")
        return min(from_ms, now.wall_ms)

    def _check_kept(self, command_id: str, zones: set[str], since_ms: int, from_ms: int | None) -> None:
        """What was pruned cannot be mixed anew."""
        if from_ms is None:
            return
        series = [f"zone:{zone}/{quantity}" for zone in zones for quantity in ZONE_QUANTITIES]
        for name, stood in self._stood().items():
            if zones_since(stood, since_ms) & zones:
                series += [f"{name}/temperature_c", f"{name}/humidity_pct"]
        kept_ms = max(self._engine.history.raw_from_ms(name) for name in series)
        if since_ms < kept_ms:
            right = f"{kept_ms} or later: of before, raw readings are kept no more"
            raise NotPossible(command_id, "from_ms", str(since_ms), right)

    def _entry(
        self, command_id: str, moved: Sensor, since_ms: int, who: str, note: str
    ) -> tuple[JournalEntry, list[Made]]:
        """What the journal says; and of a sensor that was made here its table, which names the zone too."""
        in_file = {one.id: one.zone for one in self._maker.in_file.sensors}
        data: dict[str, object] = {"zone": moved.zone, **moved.identity}
        made: list[Made] = []
        if (configured := in_file.get(moved.id)) is not None:
            data["configured_zone"] = configured
        else:
            made = [one for one in self._engine.history.made() if (one.kind, one.id) == ("sensor", moved.id)]
            made = [replace(one, data={**one.data, "zone": moved.zone}) for one in made]
        data |= {"recorded_ms": self._engine.clock.now().wall_ms, "who": who, "note": note}
        return JournalEntry(f"placed:{command_id}", since_ms, KIND, moved.id, data), made

    def begin(self) -> None:
        """Take up what an earlier start left to be done. Blocks. Raises StoreError."""
        now_ms = self._engine.clock.now().wall_ms
        for name, text in self._engine.history.settings(NOTE).items():
            left = json.loads(text)
            self._waiting.append(Remaking(name.removeprefix(NOTE), tuple(left["zones"]), left["from_ms"], now_ms + 1))

    async def run(self) -> None:
        """For ever: what is to be made anew, one after the other."""
        clock, faults = self._engine.clock, self._engine.faults
        with faults.noted("places", clock):
            await asyncio.to_thread(self.begin)
        while True:
            try:
                await self.catch_up()
            except StoreError as e:  # the keeper says so on the wall
                log.warning("A zone's past waits for the record: %s", e)
                await clock.sleep(RETRY_S)
                continue
            except Exception as e:  # noqa: BLE001 - a bug of ours: the past waits, and no reading with it
                faults.note("places", e, clock.now().wall_ms)
                await clock.sleep(RETRY_S)
                continue
            self._woken.clear()
            if not any(one.to_ms for one in self._waiting):
                await self._woken.wait()

    async def catch_up(self) -> None:
        """All that can be made anew at this moment. Raises StoreError; then it is tried again from where it stands."""
        while (job := next((one for one in self._waiting if one.to_ms is not None), None)) is not None:
            newest = await self._remade(job)
            self._stockroom.air_remade(job.zones, job.from_ms)
            await self._hung_up(job, newest)
            self._waiting.remove(job)

    async def _remade(self, job: Remaking) -> dict[str, ZoneAir]:
        """Each zone's newest air of it."""
        assert job.to_ms is not None  # noqa: S101 - asked for by the caller
        sensors = {one.id: one for one in self._maker.config.sensors}
        stood = await asyncio.to_thread(self._stood)
        mix = iter(Remix(self._engine.history, stood, sensors, job.zones, (job.from_ms, job.to_ms)))
        newest: dict[str, ZoneAir] = {}
        while (stretch := await asyncio.to_thread(_next, mix)) is not None:
            done = stretch.to_ms >= job.to_ms
            note = (NOTE + job.name, None) if done else job.note(stretch.to_ms)
            if done:  # lots must know before this is kept: no checkpoint of theirs is then worked out without it
                self._stockroom.air_remade(job.zones, job.from_ms)
            span = (stretch.from_ms, stretch.to_ms)
            await self._engine.store.replace_air(job.zones, *span, as_readings(stretch.air), note)
            newest |= {air.zone: air for air in stretch.air}
        log.info("The air of %s is made anew from %d ms on", ", ".join(job.zones), job.from_ms)
        return newest

    async def _hung_up(self, job: Remaking, newest: dict[str, ZoneAir]) -> None:
        """The half hours that the wall draws, and the present air, from the record: changed between two turns."""
        engine, now = self._engine, self._engine.clock.now()
        made = {
            zone: await asyncio.to_thread(zone_bins, engine, zone, now) for zone in job.zones if zone in engine.aims
        }

        def hang() -> None:
            for zone, (bins, last_ms) in made.items():
                if zone in engine.bins:
                    self._hang(job, zone, bins, last_ms, newest.get(zone))

        engine.between_turns.append(hang)

    def _hang(self, job: Remaking, zone: str, bins: Bins, last_ms: int, newest: ZoneAir | None) -> None:
        engine = self._engine
        for row in later_rows(engine, zone, last_ms):
            bins.add_value(*row)
        bins.close_due(engine.clock.now().wall_ms)
        engine.bins[zone] = bins
        present = engine.air.get(zone)
        if present is None or (job.to_ms is not None and job.from_ms <= present.t_ms < job.to_ms):
            engine.air.pop(zone, None)
            if newest is not None:
                engine.air[zone] = newest


def _next(mix: Iterator[Stretch]) -> Stretch | None:
    return next(mix, None)
