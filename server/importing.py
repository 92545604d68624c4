"""``stillstack store import``: another logger's history into the record, all of it or nothing.

It goes the way of any sample: through screening, into a zone's air, into the record, there in one transaction. Every
reading says that it was imported; the journal says from which file.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from sensors.sample import Quantity, RawSample
from server.bins import HOLD_MS
from server.clock import Clock, Instant
from server.config import Config, Sensor
from server.reading import Flag, JournalEntry, Reading
from server.screening import Screening
from server.shop.csv_history import CsvHistoryError, Mapping, Row, read_history
from server.stores.catalog import open_store
from server.stores.port import History
from server.zones import Zones, as_readings

BATCH = 1000


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did. ``flagged`` were kept but not believed, by reason."""

    rows: int
    from_ms: int
    to_ms: int
    readings: int
    flagged: dict[str, int]

    def text(self) -> str:
        """For people."""
        said = f"{self.rows:,} rows became {self.readings:,} readings"
        if self.flagged:
            said += "; not believed: " + ", ".join(f"{count:,} {why}" for why, count in sorted(self.flagged.items()))
        return said


async def import_history(
    path: Path, sensor_id: str, mapping: Mapping, *, config: Config, state: Path, clock: Clock
) -> Imported:
    """Read ``path`` and keep it as the history of a configured sensor. The server must not run on ``state``.

    Raises :class:`CsvHistoryError` for a file, mapping or sensor that does not fit, or a time at which the sensor has
    readings already; StoreError when the record is held, damaged or full. Nothing is written then.
    """
    sensor = next((one for one in config.sensors if one.id == sensor_id), None)
    if sensor is None:
        there = ", ".join(one.id for one in config.sensors) or "a sensor in the configuration"
        raise CsvHistoryError(f"sensor: found {sensor_id!r}; would be right: one of {there}")
    rows = read_history(path, mapping)
    if rows[-1].t_ms > clock.now().wall_ms:
        raise CsvHistoryError(
            f"{path}: found a time that is still to come; would be right: times of the past, in their zone"
        )
    readings = [reading for batch in _screened(rows, sensor, config) for reading in batch]
    store, history = open_store(state, config.shop.timezone, clock)
    try:
        _free(history, sensor_id, rows)
        readings = _beside(history, sensor.zone, readings)
        await store.append(readings, entries=[_entry(path, sensor_id, rows, clock.now())])
    finally:
        await store.close()
    own = [r for r in readings if not r.series.startswith("zone:")]
    flagged: dict[str, int] = {}
    for reading in own:
        if not reading.good:
            for flag in Flag(reading.flags & ~Flag.IMPORTED):
                name = (flag.name or "?").lower().replace("_", "-")
                flagged[name] = flagged.get(name, 0) + 1
    return Imported(len(rows), rows[0].t_ms, rows[-1].t_ms, len(own), flagged)


def _screened(rows: Sequence[Row], sensor: Sensor, config: Config) -> Iterator[list[Reading]]:
    """The rows as they come out of screening and zone. Each batch is screened at its own time, as it once was heard."""
    screening = Screening(config.screening, [sensor])
    zones = Zones([sensor], rows[0].t_ms / 1000.0)
    for start in range(0, len(rows), BATCH):
        samples = [_sample(row, sensor) for row in rows[start : start + BATCH]]
        last = samples[-1]
        screened = screening.screen(samples, Instant(last.heard_ms, last.heard_mono_s))
        air = zones.combine(screened.readings, screened.heard)
        yield [_marked(reading) for reading in (*screened.readings, *as_readings(air))]


def _sample(row: Row, sensor: Sensor) -> RawSample:
    values: list[tuple[Quantity, float]] = []
    if row.temperature_c is not None:
        values.append(("temperature_c", row.temperature_c))
    if row.humidity_pct is not None:
        values.append(("humidity_pct", row.humidity_pct))
    return RawSample(sensor.source, sensor.device, tuple(values), row.t_ms, row.t_ms / 1000.0, own_ms=row.t_ms)


def _marked(reading: Reading) -> Reading:
    return Reading(reading.series, reading.t_ms, reading.value, reading.flags | Flag.IMPORTED, reading.raw)


def _free(history: History, sensor_id: str, rows: Sequence[Row]) -> None:
    from_ms, to_ms = rows[0].t_ms, rows[-1].t_ms + 1
    for quantity in ("temperature_c", "humidity_pct"):
        there = history.readings(f"{sensor_id}/{quantity}", from_ms, to_ms, good_only=False)
        if there:
            raise CsvHistoryError(
                f"sensor {sensor_id}: found {len(there):,} readings of it in that time already; would be right: a "
                "sensor of its own for the other logger, or a file that ends before"
            )


def _beside(history: History, zone: str, readings: list[Reading]) -> list[Reading]:
    """Without the zone's air where the zone has some already: there other sensors were heard, and what they mixed to
    stands."""
    times = [r.t_ms for r in readings if r.series.startswith("zone:")]
    if not times:
        return readings
    there, _ = history.columns(f"zone:{zone}/emc_pct", times[0] - HOLD_MS, times[-1] + HOLD_MS)

    def is_taken(t_ms: int) -> bool:
        after = bisect_left(there, t_ms)
        return any(abs(near - t_ms) < HOLD_MS for near in there[max(0, after - 1) : after + 1])

    return [r for r in readings if not r.series.startswith("zone:") or not is_taken(r.t_ms)]


def _entry(path: Path, sensor_id: str, rows: Sequence[Row], now: Instant) -> JournalEntry:
    name = f"{sensor_id}:{rows[0].t_ms}:{rows[-1].t_ms}:{len(rows)}"
    data: dict[str, object] = {
        "file": path.name,
        "rows": len(rows),
        "from_ms": rows[0].t_ms,
        "to_ms": rows[-1].t_ms,
    }
    return JournalEntry(str(uuid5(NAMESPACE_URL, name)), now.wall_ms, "imported", sensor_id, data)
