"""Where a sensor stands and which device it is, is a journal entry: written when the configuration first names it, and
again when it moves, is replaced, or another offset is given to it.

A person may move a sensor at the wall, too, from a time of the past on. The later word stands: the file's zone counts
where a sensor is new and whenever it is changed there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from server.config import Config, Sensor
from server.reading import JournalEntry

KIND = "placed"
NOT_OF_IT = frozenset({"configured_zone", "recorded_ms", "who", "note", "was"})
"""What an entry says beside where the sensor hangs and which it is."""
_NONE: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a sensor stood from a moment on, until its next place: ``zone`` is None where it hung nowhere. The first
    place goes back as far as there are readings (``from_ms`` 0). ``told_ms`` is when somebody said so."""

    from_ms: int
    zone: str | None
    told_ms: int
    who: str = ""


def placed_entries(
    sensors: Iterable[Sensor],
    so_far: Sequence[JournalEntry],
    now_ms: int,
    who: str = "",
    configured: Mapping[str, str] = _NONE,
) -> list[JournalEntry]:
    """Entries for every sensor that is not as it was last written down. The id makes writing it twice harmless.
    ``configured`` names the zone in its table, for one that stands elsewhere."""
    last = {entry.subject: entry.data for entry in sorted(so_far, key=_told_ms)}
    entries = []
    for s in sensors:
        zone, before = configured.get(s.id, s.zone), last.get(s.id, {})
        placed: dict[str, object] = {"zone": s.zone, **s.identity}
        same = all(key in before and before[key] == value for key, value in placed.items())
        if same and _configured_zone(before) == zone:
            continue
        if zone != s.zone:
            placed["configured_zone"] = zone
        entries.append(JournalEntry(f"placed:{s.id}:{s.zone}:{now_ms}", now_ms, KIND, s.id, _by(who, placed)))
    return entries


def taken_down_entries(sensors: Iterable[Sensor], now_ms: int, who: str = "") -> list[JournalEntry]:
    """Entries for sensors that hang nowhere any more: placed in no zone."""
    nowhere: dict[str, object] = {"zone": None, "source": None}
    return [JournalEntry(f"placed:{s.id}::{now_ms}", now_ms, KIND, s.id, _by(who, nowhere)) for s in sensors]


def standing(config: Config, so_far: Sequence[JournalEntry]) -> Config:
    """The configuration with its sensors where the journal has them: moved at the wall since the zone of their table
    was last changed, to a zone that there still is."""
    last = {entry.subject: entry.data for entry in sorted(so_far, key=_told_ms)}
    zones = {zone.id for zone in config.zones}

    def stands(sensor: Sensor) -> Sensor:
        said = last.get(sensor.id, {})
        zone = said.get("zone")
        if zone == sensor.zone or zone not in zones or _configured_zone(said) != sensor.zone:
            return sensor
        return sensor.model_copy(update={"zone": zone})

    return replace(config, sensors=tuple(stands(sensor) for sensor in config.sensors))


def places(entries: Sequence[JournalEntry]) -> dict[str, tuple[Place, ...]]:
    """Where each sensor stood when, in time order. What was told later holds from its time on, whatever had been told
    of that time before."""
    found: dict[str, tuple[Place, ...]] = {}
    for entry in sorted(entries, key=_told_ms):
        zone = entry.data.get("zone")
        before = found.get(entry.subject, ())
        earlier = tuple(place for place in before if place.from_ms < entry.t_ms)
        if earlier and earlier[-1].zone == zone:
            found[entry.subject] = earlier  # another device, or the same said again: no move
            continue
        from_ms = entry.t_ms if earlier else 0
        place = Place(from_ms, None if zone is None else str(zone), _told_ms(entry), str(entry.data.get("who", "")))
        found[entry.subject] = (*earlier, place)
    return found


def zone_at(stood: Sequence[Place], t_ms: int) -> str | None:
    """In which of its zones a sensor stood at a moment."""
    return next((place.zone for place in reversed(stood) if place.from_ms <= t_ms), None)


def zones_since(stood: Sequence[Place], from_ms: int) -> set[str]:
    """Every zone in which a sensor stood at a moment or later."""
    later = {place.zone for place in stood if place.from_ms > from_ms}
    return {zone for zone in later | {zone_at(stood, from_ms)} if zone is not None}


def _told_ms(entry: JournalEntry) -> int:
    told = entry.data.get("recorded_ms", entry.t_ms)
    return told if isinstance(told, int) else entry.t_ms


def _configured_zone(said: Mapping[str, object]) -> object:
    return said.get("configured_zone", said.get("zone"))


def _by(who: str, data: dict[str, object]) -> dict[str, object]:
    return {**data, "who": who} if who else data
