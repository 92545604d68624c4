"""The aim of each zone, until work lies there: what its configured destination asks for."""

from __future__ import annotations

from server.config import Config
from server.reading import Aim
from server.shop.destinations import region_aim


def zone_aims(config: Config) -> dict[str, Aim]:
    """Each zone's aim: its configured destination, until work lies there."""
    places = destination_aims(config)
    return {zone.id: places[zone.destination] for zone in config.zones}


def destination_aims(config: Config) -> dict[str, Aim]:
    """What each configured destination asks of the work that goes there."""
    places = {}
    for place in config.destinations:
        if place.region is not None:
            aim = region_aim(place.region)
            places[place.id] = Aim(aim.dry_limit_pct, aim.damp_limit_pct, place.name, aim.source)
        elif place.dry_limit_pct is not None and place.damp_limit_pct is not None:
            places[place.id] = Aim(place.dry_limit_pct, place.damp_limit_pct, place.name, "the shop's own numbers")
    return places
