"""The fictional workshop: two people, hall tables, blanket chests and sash windows, a town with cold winters.

Name, town and people are invented; so is every figure here that is not marked otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal
from zoneinfo import ZoneInfo

NAME = "Lantern Hill Joinery"
TIMEZONE = "America/New_York"
TOWN = ZoneInfo(TIMEZONE)
FIRST_START_MS = round(datetime(2027, 1, 12, 7, tzinfo=TOWN).timestamp() * 1000)
"""A Tuesday morning in a cold week: the heating has just come up."""
PAST_MONTHS = 14
PAST_FROM_MS = round(datetime(2025, 11, 12, 7, tzinfo=TOWN).timestamp() * 1000)
"""Where the record begins: ``PAST_MONTHS`` before the first start."""
SECOND_WITNESS_FROM_MS = round(datetime(2026, 11, 14, 9, tzinfo=TOWN).timestamp() * 1000)
"""When the loft got its second sensor: the one before had hung alone for a year."""
READING_PERIOD_S = 600
"""Between two readings of a sensor in the past that is laid down."""
LIVE_PERIOD_S = 20.0
"""Between two readings of a sensor live, in seconds of the demo's own clock."""
REAL_MESSAGES_PER_S = 20.0
"""A sensor never sends more often than this by the real clock, however fast the demo's runs."""

BAUD = 9600
TOPICS = "lantern/+/air"
UNIT_IDS = {"loft-2": 1}
"""The address on the bus of each probe that hangs there."""
TEMPERATURE_REGISTER, HUMIDITY_REGISTER = 0, 1

YARD = "yard"
"""The zone that is outdoors."""
WORK = dict.fromkeys(("mon", "tue", "wed", "thu", "fri"), "07:00-17:00")
EXTRACTOR_ZONE, EXTRACTOR_M3_PER_H, EXTRACTOR_HOURS = "finishing-room", 100.0, {"tue": "14:00-15:00"}
"""The finishing room's blows outdoors, once a week; that of the bench room gives the air back through its filter."""

Wire = Literal["serial", "mqtt", "modbus"]
SOURCES: dict[Wire, str] = {"serial": "bench-port", "mqtt": "shop-broker", "modbus": "loft-bus"}


@dataclass(frozen=True, slots=True)
class Sensor:
    """One sensor on the fictional wall, and how it differs from the air of its zone."""

    id: str
    zone: str
    wire: Wire
    cooler_k: float
    """How much cooler the air is where it hangs; the vapour is the zone's."""
    error_pct: float
    """Its own calibration error, % relative humidity."""
    phase_s: int
    """Seconds into each period at which it speaks, so that not all speak at once; on the bus only in the past, live it
    is asked."""
    hung_ms: int = 0
    """When it was hung there; before that it has no past."""

    @property
    def source(self) -> str:
        """The configured wire it is heard on."""
        return SOURCES[self.wire]

    @property
    def device(self) -> str:
        """The name heard on that wire: what stands at the ``+`` of its topic, nothing on the serial wire, on the bus
        the name that its table there gives it."""
        return "" if self.wire == "serial" else self.id

    @property
    def topic(self) -> str:
        """Where it publishes, if it hangs on the broker."""
        return TOPICS.replace("+", self.id)


SENSORS = (
    Sensor("bench-1", "bench-room", "serial", cooler_k=0.0, error_pct=0.3, phase_s=0),
    Sensor("loft-1", "rack-loft", "mqtt", cooler_k=0.1, error_pct=-0.5, phase_s=7),
    Sensor("finishing-1", "finishing-room", "mqtt", cooler_k=0.0, error_pct=0.4, phase_s=11),
    Sensor("finishing-2", "finishing-room", "mqtt", cooler_k=0.5, error_pct=-0.6, phase_s=16),
    Sensor("loft-2", "rack-loft", "modbus", cooler_k=0.3, error_pct=0.2, phase_s=4, hung_ms=SECOND_WITNESS_FROM_MS),
    # Under the eaves at the back; the wall behind it is a little warmer than the air.
    Sensor("yard-1", YARD, "mqtt", cooler_k=-0.4, error_pct=-0.3, phase_s=13),
)


def live_period_s(speed: float) -> float:
    """Seconds of the demo's clock between two live readings of a sensor, for a clock ``speed`` times as fast as real.

    20 s up to a speed of 400; longer beyond, so that no sensor sends more than 20 messages a real second.
    """
    if not speed > 0:
        raise ValueError(f"speed: found {speed}; would be right: more than 0")
    return max(LIVE_PERIOD_S, speed / REAL_MESSAGES_PER_S)


def configuration(
    api_port: int, broker_port: int, serial_port_path: str, bus_port_path: str, period_s: float = LIVE_PERIOD_S
) -> dict[str, object]:
    """The demo's configuration as the tables of ``stillstack.toml``: what a person would have written for this shop.

    ``period_s`` is how often probes on the bus are asked, as :func:`live_period_s` gives it.
    """
    return {
        "shop": {"name": NAME, "timezone": TIMEZONE, "language": "en", "units": "metric", "hours": WORK},
        "api": {"port": api_port},
        "broker": {"enabled": True, "port": broker_port},
        "store": {"daily_backup": False},  # a past that can be laid down again needs no copy
        "destination": [
            {"id": "heated-homes", "name": "heated homes", "region": "most-areas"},
            # Wood Handbook FPL-GTR-190 table 13-2, exterior, most areas (read off from memory).
            {"id": "outer-walls", "name": "outer walls", "dry_limit_pct": 9.0, "damp_limit_pct": 14.0},
        ],
        "zone": _zone_tables(),
        "source": [
            {
                "id": SOURCES["serial"],
                "kind": "serial",
                "port": serial_port_path,
                "baud": BAUD,
                "format": "key=value",
            },
            {
                "id": SOURCES["mqtt"],
                "kind": "mqtt",
                "host": "127.0.0.1",
                "port": broker_port,
                "topics": [TOPICS],
                "format": "json",
            },
            {
                "id": SOURCES["modbus"],
                "kind": "modbus",
                "port": bus_port_path,
                "baud": BAUD,
                "period_s": period_s,
                "probes": [_probe_table(sensor) for sensor in SENSORS if sensor.wire == "modbus"],
            },
        ],
        "sensor": [
            {
                "id": sensor.id,
                "source": sensor.source,
                "device": sensor.device,
                "zone": sensor.zone,
                "accuracy_c": 0.3,
                "accuracy_humidity_pct": 2.0,
            }
            for sensor in SENSORS
        ],
    }


def _zone_tables() -> list[dict[str, object]]:
    """As rooms too: volumes and air changes are those of :mod:`server.demo.rooms`. How leaky the loft is was left to
    its nights, which do not tell it: its humidifier runs in them."""
    heated = {"destination": "heated-homes"}
    blows = {"extractor_m3_per_h": EXTRACTOR_M3_PER_H, "extractor_hours": EXTRACTOR_HOURS}
    bench = {"id": "bench-room", "name": "Bench room", "volume_m3": 320.0, "air_changes_per_h": 0.3}
    bench |= {"glazing": "double", "iron": True}
    loft = {"id": "rack-loft", "name": "Rack loft", "volume_m3": 180.0, "glazing": "single"}
    finishing = {"id": EXTRACTOR_ZONE, "name": "Finishing room", "volume_m3": 90.0, "air_changes_per_h": 0.3}
    finishing |= {"glazing": "double", "shelf": True}
    yard = {"id": YARD, "name": "Yard", "outdoors": True}
    return [{**heated, **bench}, {**heated, **loft}, {**heated, **finishing, **blows}, {**heated, **yard}]


def _probe_table(sensor: Sensor) -> dict[str, object]:
    return {
        "device": sensor.device,
        "unit_id": UNIT_IDS[sensor.id],
        "temperature": {"register": TEMPERATURE_REGISTER, "scale": 0.01},
        "humidity": {"register": HUMIDITY_REGISTER, "scale": 0.1, "type": "uint16"},
    }
