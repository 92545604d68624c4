"""Salt checks at work: begun, looked at, finished, given up, withdrawn; every deed a journal entry, written before it
counts. What is in force is handed to screening, which alone applies it."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from server.clock import Clock, Instant
from server.config import SaltCheckTable, Sensor
from server.reading import SPOILING, Flag, JournalEntry
from server.screening import Screening
from server.screening.corrections import Away, Calibration
from server.sensor_types import sensor_type
from server.shop import salt_check as shop
from server.shop.salt_check import Check, Settling
from server.stores.port import History, OtherCommand, Store
from server.wood.salts import OutsideTable, SaltAir, UnknownSalt, salt

MINUTE_MS = 60_000
_ALLOWED = ~(SPOILING & ~int(Flag.UNPLACED))


@dataclass
class SaltCheckError(Exception):
    """The deed is not possible. ``missing``: there is no such thing; else it is, but not now or not so."""

    field: str
    found: str
    would_be_right: str
    missing: bool = False

    def __str__(self) -> str:
        return f"{self.field}: found {self.found}; would be right: {self.would_be_right}"


@dataclass(frozen=True, slots=True)
class Look:
    """A check as it stands now. ``air`` is what is published at the jar's temperature, None while that is not known or
    not published; ``settled`` is None unless the check is open."""

    check: Check
    settled: Settling | None
    air: SaltAir | None
    due_ms: int | None
    """When it is due again, if it is what is in force."""


@dataclass(slots=True)
class SaltChecks:
    """Call :meth:`fold` once before anything is heard. Raises SaltCheckError, and StoreError where nothing is kept."""

    limits: SaltCheckTable
    sensors: Mapping[str, Sensor]
    clock: Clock
    store: Store
    history: History
    screening: Screening
    _entries: list[JournalEntry] = field(default_factory=list)
    _checks: dict[str, Check] = field(default_factory=dict)
    _steps: list[JournalEntry] = field(default_factory=list)
    _lock: asyncio.Lock = field(default_factory=asyncio.Lock)

    def fold(self) -> None:
        """Take up what the journal holds, as the clock now has it. Blocks: at a start, and when the clock was set."""
        self._entries = [entry for kind in shop.KINDS for entry in self.history.journal(kind)]
        self._steps = self.history.journal("clock-set")
        self._entries = [shop.as_the_clock_has_it(entry, self._steps) for entry in self._entries]
        self._apply()

    async def looks(self) -> list[Look]:
        """Every check, the newest first."""
        now = self.clock.now()
        return [await asyncio.to_thread(self._look, check, now) for check in reversed(self._checks.values())]

    async def begin(self, command_id: str, sensor: str, formula: str) -> Look:
        """The sensor hangs over the salt from now on, and not in its zone."""
        async with self._lock:
            if (again := self._of_command(command_id)) is None:
                self._may_begin(sensor)
                try:
                    known = salt(formula)
                except UnknownSalt as e:
                    raise SaltCheckError("salt", repr(e.found), "one of " + ", ".join(e.known)) from e
                await self._write(command_id, shop.BEGUN, sensor, {"salt": known.formula})
                again = self._checks[command_id]
            return await asyncio.to_thread(self._look, again, self.clock.now())

    async def finish(self, command_id: str, check_id: str) -> Look:
        """Keep what a settled check found; it counts from then on, in its zone again after a while."""
        async with self._lock:
            if (again := self._of_command(command_id)) is None:
                check = self._open(check_id)
                now = self.clock.now()
                data = self._found(await asyncio.to_thread(self._look, check, now), now)
                await self._write(command_id, shop.CHECKED, check.sensor, data)
                again = self._checks[check_id]
            return await asyncio.to_thread(self._look, again, self.clock.now())

    async def give_up(self, command_id: str, check_id: str) -> Look:
        """End an open check without a result."""
        async with self._lock:
            if (again := self._of_command(command_id)) is None:
                check = self._open(check_id)
                await self._write(command_id, shop.GIVEN_UP, check.sensor, {"check": check.id})
                again = self._checks[check_id]
            return await asyncio.to_thread(self._look, again, self.clock.now())

    async def withdraw(self, command_id: str, check_id: str) -> Look:
        """A finished check counts no longer; what was in force before it does again."""
        async with self._lock:
            if (again := self._of_command(command_id)) is None:
                check = self._known(check_id)
                if check.kept != "done":
                    raise SaltCheckError("state", check.kept, "a check that is done")
                await self._write(command_id, shop.WITHDRAWN, check.sensor, {"check": check.id})
                again = self._checks[check_id]
            return await asyncio.to_thread(self._look, again, self.clock.now())

    async def _write(self, command_id: str, kind: str, sensor: str, data: dict[str, Any]) -> None:
        now_ms = self.clock.now().wall_ms
        if past := [step.id for step in shop.steps_over(now_ms, self._steps)]:
            data = {**data, "past_steps": past}
        entry = JournalEntry(command_id, now_ms, kind, sensor, data)
        if not await self.store.add_journal([entry]):
            raise OtherCommand(command_id)
        self._entries.append(entry)
        self._apply()

    def _apply(self) -> None:
        self._checks = shop.folded(self._entries)
        back_ms = round(self.limits.back_after_min * MINUTE_MS)
        away: dict[str, Away] = {}
        for check in self._checks.values():  # the newest of each sensor stands
            away[check.sensor] = Away(check.begun_ms, None if check.ended_ms is None else check.ended_ms + back_ms)
        found = {name: shop.in_force(self._checks.values(), sensor) for name, sensor in self.sensors.items()}
        self.screening.calibration = Calibration(
            {name: made for name, check in found.items() if check is not None and (made := check.correction)},
            away,
            self._due(found),
        )

    def _due(self, found: Mapping[str, Check | None]) -> dict[str, int]:
        """When each checked sensor is due again: one whose table changed since its last check was due with that."""
        due: dict[str, int] = {}
        for check in self._checks.values():
            if check.kept == "done" and check.sensor in found:
                force = found[check.sensor]
                due[check.sensor] = check.ended_ms or 0 if force is None else self._due_ms(force)
        return due

    def _due_ms(self, check: Check) -> int:
        return (check.ended_ms or 0) + round(self.limits.due_days * shop.DAY_MS)

    def _of_command(self, command_id: str) -> Check | None:
        """What a command of that id has done already: the journal's entry carries it, so that twice is once."""
        for entry in self._entries:
            if entry.id == command_id:
                return self._checks.get(str(entry.data.get("check", entry.id)))
        return None

    def _known(self, check_id: str) -> Check:
        if check_id not in self._checks:
            raise SaltCheckError("check", repr(check_id), "the id of a check in the list", missing=True)
        return self._checks[check_id]

    def _open(self, check_id: str) -> Check:
        check = self._known(check_id)
        if check.kept != "open":
            raise SaltCheckError("state", check.kept, "a check that is open")
        return check

    def _may_begin(self, sensor: str) -> None:
        if sensor not in self.sensors:
            raise SaltCheckError("sensor", repr(sensor), "one of " + ", ".join(self.sensors), missing=True)
        if sensor_type(kind := self.sensors[sensor].type).humidity_pct is None:
            raise SaltCheckError("sensor", f"{sensor!r}, a {kind}", "a sensor that measures humidity")
        for check in self._checks.values():
            if check.sensor == sensor and check.kept == "open":
                raise SaltCheckError("sensor", f"{sensor!r} over {check.salt} already", "finish or give up that check")

    def _look(self, check: Check, now: Instant) -> Look:
        """Reads the record."""
        if check.kept != "open":
            force = shop.in_force(self._checks.values(), self.sensors[check.sensor]) if self._here(check) else None
            return Look(check, None, None, self._due_ms(check) if force == check else None)
        from_ms = max(check.begun_ms, now.wall_ms - round(self.limits.window_h * shop.HOUR_MS))
        humidity, temperature = (
            self._heard(f"{check.sensor}/{quantity}", from_ms, now.wall_ms)
            for quantity in ("humidity_pct", "temperature_c")
        )
        settled = shop.settling(
            check.begun_ms, now.wall_ms, humidity, temperature, self.limits, at_end=self._at_end(check, from_ms, now)
        )
        air = None
        if settled.temperature_c is not None:
            try:
                air = salt(check.salt).air(settled.temperature_c)
            except OutsideTable:
                air = None
        return Look(check, settled, air, None)

    def _at_end(self, check: Check, from_ms: int, now: Instant) -> bool:
        """Whether some of it was held at 100 %: how far above that it would be, such a figure does not say."""
        rows = self.history.readings(f"{check.sensor}/humidity_pct", from_ms, now.wall_ms + 1, good_only=False)
        return any(row.flags & Flag.SATURATED for row in rows)

    def _here(self, check: Check) -> bool:
        return check.sensor in self.sensors

    def _heard(self, series: str, from_ms: int, to_ms: int) -> Sequence[tuple[int, float]]:
        """What came from the jar: not in its zone, and otherwise good."""
        rows = self.history.readings(series, from_ms, to_ms + 1, good_only=False)
        return [(r.t_ms, r.value) for r in rows if not int(r.flags) & ~_ALLOWED]

    def _found(self, look: Look, now: Instant) -> dict[str, Any]:
        """What the journal keeps of a finished check. Raises SaltCheckError where it may not be kept."""
        settled, air, check = look.settled, look.air, look.check
        if settled is None or settled.waiting is not None:
            found = "nothing" if settled is None else str(settled.waiting)
            raise SaltCheckError("state", f"settling ({found})", "a sensor that has settled over the salt")
        if air is None:
            one = salt(check.salt)
            right = f"{one.temperatures_c[0]:g} to {one.temperatures_c[-1]:g} °C, where the table has {check.salt}"
            raise SaltCheckError("temperature_c", f"{settled.temperature_c:.1f}", right)
        sensor = self.sensors.get(check.sensor)
        if sensor is None:
            raise SaltCheckError("sensor", repr(check.sensor), "a sensor of the configuration", missing=True)
        point = shop.point_of(
            settled, air.humidity_pct, air.uncertainty_pct, air.slope_pct_per_c, accuracy_c=sensor.accuracy_c
        )
        limits = self.limits
        other = shop.partner(sensor, point.published_pct, self._checks.values(), now_ms=now.wall_ms, limits=limits)
        made = shop.corrected_by(point, None if other is None else shop.point_kept(other), now.wall_ms)
        most = shop.largest_change_pct(made)
        if most > limits.most_pct:
            right = (
                f"at most {limits.most_pct:g} % RH; is the salt wet with grains in it, the jar tight, the salt the one "
                "named? Else replace the sensor"
            )
            raise SaltCheckError("correction", f"{most:.1f} % RH (it says {point.read_pct:.1f})", right)
        return {
            "check": check.id,
            "salt": check.salt,
            "temperature_c": settled.temperature_c,
            "published_pct": point.published_pct,
            "read_pct": point.read_pct,
            "point_uncertainty_pct": point.uncertainty_pct,
            "gain": made.gain,
            "offset_pct": made.offset_pct,
            "uncertainty_pct": made.uncertainty_pct,
            "with_check": None if other is None else other.id,
            "settings": shop.settings_of(sensor),
            "source": f"{air.source} [{air.provenance}]",
            "between_c": None if air.between_c is None else list(air.between_c),
        }
