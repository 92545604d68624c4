"""What is wrong between the tables of a configuration: ids that are missing or come twice, wires and names that two
share, limits that do not fit together."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from pydantic import BaseModel

from server.config import Config, Destination, OwnSpecies
from server.config_words import nearest
from server.config_zone import Zone
from server.wood import meter, species
from server.wood.species import DECAY_CLASSES, RANGES

Wrong = tuple[str, BaseModel, str, str, str]
"""Table, row, key, what was found and what would be right."""
ROOMS_OWN = (
    "volume_m3", "glazing", "air_changes_per_h", "extractor_m3_per_h", "extractor_hours", "propane_kg_per_day", "iron",
)  # fmt: skip
"""Keys of a zone that mean nothing outdoors."""


def cross_mistakes(config: Config, refused: Collection[str] = (), regions: Sequence[str] = ()) -> Iterator[Wrong]:
    """Every such mistake. ``refused`` are tables with a row that failed by itself: an id missing there is no second
    mistake. ``regions`` are those of the maps, empty where nobody knows them."""
    tables: dict[str, tuple[Any, ...]] = {
        "destination": config.destinations,
        "zone": config.zones,
        "source": config.sources,
        "sensor": config.sensors,
        "remote": config.remotes,
    }
    ids: dict[str, list[str]] = {name: [row.id for row in rows] for name, rows in tables.items()}
    for name, rows in tables.items():
        for n, row in enumerate(rows):
            if row.id in ids[name][:n]:
                yield name, row, "id", f"'{row.id}' a second time", "an id of its own"
    for name, key in (("zone", "destination"), ("sensor", "zone"), ("sensor", "source")):
        for row in tables[name]:
            if (wanted := getattr(row, key)) not in ids[key] and key not in refused:
                right = nearest(wanted, ids[key]) if ids[key] else f"a [[{key}]] with that id"
                yield name, row, key, f"'{wanted}'", right
    yield from _ports(config)
    yield from _zones(config)
    yield from _sensors(config, ids["zone"])
    for place in config.destinations:
        yield from _destination(place, regions)
    for n, own in enumerate(config.species):
        if own.key in {earlier.key for earlier in config.species[:n]}:
            yield "species", own, "key", f"'{own.key}' a second time", "a key of its own"
        yield from _species(own)


def _zones(config: Config) -> Iterator[Wrong]:
    outdoors = [zone for zone in config.zones if zone.outdoors]
    for zone in outdoors[1:]:
        yield "zone", zone, "outdoors", f"a second one beside '{outdoors[0].id}'", "one zone that is outdoors"
    for zone in outdoors:
        for key in ROOMS_OWN:
            if getattr(zone, key) != Zone.model_fields[key].get_default(call_default_factory=True):
                yield "zone", zone, key, f"{getattr(zone, key)!r} outdoors", "nothing: that is said of a room"


def _ports(config: Config) -> Iterator[Wrong]:
    """Of two that read one port each would get a part of every line."""
    readers: dict[str, str] = {}
    for source in config.sources:
        port, name = getattr(source, "port", None), str(getattr(source, "id", ""))
        if isinstance(port, str):
            target = os.path.realpath(port)  # two names may lead to one device
            if target in readers:
                yield "source", source, "port", f"{port!r}, which source '{readers[target]}' reads", "one source a port"
            readers.setdefault(target, name)


def _sensors(config: Config, zones: Collection[str]) -> Iterator[Wrong]:
    heard: set[tuple[str, str]] = set()
    sources = {str(getattr(source, "id", "")): source for source in config.sources}
    for sensor in config.sensors:
        source = sources.get(sensor.source)
        # A bus knows the names of its devices beforehand; a broker's are learnt.
        names = getattr(source, "devices", None)
        if names is not None and sensor.device not in names:
            yield "sensor", sensor, "device", f"'{sensor.device}'", nearest(sensor.device, names)
        if not sensor.device and getattr(source, "carries_several", False):
            right = f"the device's name as it is heard on '{sensor.source}': without one it takes every device there"
            yield "sensor", sensor, "device", "no device", right
        if (sensor.source, sensor.device) in heard:
            found = f"'{sensor.device}' on '{sensor.source}' a second time"
            yield "sensor", sensor, "device", found, "the name this one is heard by on its source"
        heard.add((sensor.source, sensor.device))
        if sensor.id in zones:  # names are looked up by id, and a zone's series would be its sensor's
            yield "sensor", sensor, "id", f"'{sensor.id}', a zone's id", "an id that no zone has"


def _destination(place: Destination, regions: Sequence[str]) -> Iterator[Wrong]:
    low, high = place.dry_limit_pct, place.damp_limit_pct
    if (place.region is None) == (low is None and high is None):
        found = "both or neither of a region and two limits"
        yield "destination", place, "id", found, "either region, or dry_limit_pct and damp_limit_pct"
    elif place.region is None and (low is None or high is None or low >= high):
        yield "destination", place, "id", f"limits {low} and {high}", "dry_limit_pct below damp_limit_pct"
    elif place.region is not None and regions and place.region not in regions:
        yield "destination", place, "region", f"'{place.region}'", nearest(place.region, regions)


def _species(own: OwnSpecies) -> Iterator[Wrong]:
    """What would not stand in the published table either, or would stand in for a part of it."""
    published = species.all_species()
    if own.key in published or own.key in meter.curves():
        right = f"a key that is not published, such as '{own.key}_own'"
        yield "species", own, "key", f"'{own.key}', which is a published species", right
    for name, (low, high) in RANGES.items():
        value = getattr(own, name)
        if value is not None and not low <= value <= high:
            yield "species", own, name, f"{value:g}", f"{low:g} to {high:g}"
    yield from _moves(own, [key for key, one in published.items() if one.ct is not None])
    if own.decay_class and own.decay_class not in DECAY_CLASSES:
        yield "species", own, "decay_class", f"'{own.decay_class}'", nearest(own.decay_class, DECAY_CLASSES)


def _moves(own: OwnSpecies, having: Sequence[str]) -> Iterator[Wrong]:
    """``having`` are the published species with coefficients that may stand in."""
    coefficients = ("cr_fraction_per_pct_mc", "ct_fraction_per_pct_mc")
    for names in (("shrinkage_radial_pct", "shrinkage_tangential_pct"), coefficients):
        radial, tangential = (getattr(own, name) for name in names)
        if radial is not None and tangential is not None and radial > tangential:
            found = f"{radial:g}, above the tangential {tangential:g}"
            yield "species", own, names[0], found, f"at most {names[1]}: wood moves less across the rings"
    given = [name for name in coefficients if getattr(own, name) is not None]
    if len(given) == 1:
        yield "species", own, given[0], "one coefficient alone", f"both {' and '.join(coefficients)}, or neither"
    if wanted := own.coefficient_from:
        if given:
            yield "species", own, "coefficient_from", f"'{wanted}' beside coefficients", "either it or coefficients"
        elif wanted not in having:
            yield "species", own, "coefficient_from", f"'{wanted}'", _nearest_published(wanted, having)


def _nearest_published(wanted: str, having: Sequence[str]) -> str:
    near = [key for key in species.nearest(wanted, species.all_species()) if key in having]
    return " or ".join(f"'{key}'" for key in near) or "a key of server/wood/species.csv with coefficients"
