"""The fictional workshop itself: its configuration passes the same checks as a person's file would."""

from __future__ import annotations

from datetime import datetime

from sensors.catalog import SOURCE_KINDS
from server.config import Api, BrokerTable, Destination, Sensor, Shop
from server.config_zone import Zone
from server.demo.rooms import ROOMS
from server.demo.scenario import (
    FIRST_START_MS,
    PAST_FROM_MS,
    PAST_MONTHS,
    SENSORS,
    TOWN,
    YARD,
    configuration,
)
from server.shop.destinations import region_aim


def test_the_configuration_is_one_a_person_could_have_written() -> None:
    tables = configuration(8736, 18836, "/dev/serial/by-id/usb-fictional-1", "/dev/serial/by-id/usb-fictional-2")
    Shop.model_validate(tables["shop"])
    assert Api.model_validate(tables["api"]).port == 8736
    assert BrokerTable.model_validate(tables["broker"]) == BrokerTable(enabled=True, port=18836)
    places = {place.id: place for place in map(Destination.model_validate, tables["destination"])}
    zones = {zone.id: zone for zone in map(Zone.model_validate, tables["zone"])}
    sensors = [Sensor.model_validate(row) for row in tables["sensor"]]
    sources = {source["id"]: source for source in tables["source"]}
    assert {zone.destination for zone in zones.values()} <= set(places)
    assert {sensor.zone for sensor in sensors} == set(zones) == {YARD, *(room.zone for room in ROOMS)}
    assert {zone.id for zone in zones.values() if zone.outdoors} == {YARD}
    told = {zone.id: zone.air_changes_per_h for zone in zones.values() if zone.air_changes_per_h is not None}
    assert told == {room.zone: room.closed_per_h for room in ROOMS if room.zone != "rack-loft"}
    assert {room.zone: room.volume_m3 for room in ROOMS} == {z.id: z.volume_m3 for z in zones.values() if z.id != YARD}
    assert {sensor.source for sensor in sensors} == set(sources)
    assert {source["kind"] for source in sources.values()} == {"serial", "mqtt", "modbus"}
    for source in tables["source"]:
        SOURCE_KINDS[source["kind"]].schema.model_validate(source)


def test_the_rooms_aim_is_the_printed_one() -> None:
    # Wood Handbook FPL-GTR-190 table 13-2 (as held in server/shop): 6..10 % indoors in most areas.
    region = configuration(1, 2, "/dev/null", "/dev/null")["destination"][0]["region"]
    aim = region_aim(region)
    assert (aim.dry_limit_pct, aim.damp_limit_pct) == (6, 10)


def test_the_first_start_is_a_tuesday_morning_fourteen_months_in() -> None:
    start = datetime.fromtimestamp(FIRST_START_MS / 1000, TOWN)
    begin = datetime.fromtimestamp(PAST_FROM_MS / 1000, TOWN)
    assert (start.year, start.month, start.day, start.hour, start.strftime("%A")) == (2027, 1, 12, 7, "Tuesday")
    assert (start.year - begin.year) * 12 + start.month - begin.month == PAST_MONTHS
    assert (begin.day, begin.hour) == (start.day, start.hour)


def test_sensors_speak_at_different_moments() -> None:
    phases = [sensor.phase_s for sensor in SENSORS]
    assert len(set(phases)) == len(phases)
    assert max(phases) < 20
