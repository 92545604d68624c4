"""Eight devices of a fictional shop, and the air they measure. Each reading of a device has a temperature of its own,
so that it can be found again in the record whatever label it got."""

from __future__ import annotations

import json
import random
from dataclasses import dataclass
from math import sin

SEED = 20270114
WARMER_C = 0.002
"""A step."""
DRY = range(20, 72)
"""Steps between which the finishing room is far too dry."""


@dataclass(frozen=True, slots=True)
class Device:
    """``source`` and ``sensor`` are as configured."""

    sensor: str
    source: str
    base_pct: float
    topic: str = ""

    def air(self, step: int) -> tuple[float, float]:
        """°C and % RH at a step: smooth, with some noise."""
        noise = random.Random(f"{SEED} {self.sensor} {step}").uniform(-0.2, 0.2)
        dried = 3.0 * max(0, min(step - DRY.start, 8, DRY.stop - step)) if self.sensor in FINISHING else 0.0
        return round(19.0 + WARMER_C * step, 3), round(self.base_pct + 2 * sin(step / 30) + noise - dried, 1)

    def says(self, step: int, own_ms: int) -> list[tuple[str, str]]:
        """Topic and payload of each of its messages."""
        return self.puts(*self.air(step), own_ms)

    def tries(self, step: int, temperature: float, own_ms: int) -> list[tuple[str, str]]:
        """The same air under a temperature that tells this try from the device's piece."""
        return self.puts(temperature, self.air(step)[1], own_ms)

    def puts(self, temperature: float, humidity: float, own_ms: int) -> list[tuple[str, str]]:
        """The same for any air."""
        if self is NESTED:
            return [(self.topic, json.dumps({"node": {"air": {"t": temperature, "rh": humidity}}}))]
        if self is NUMBERS:
            return [(f"{self.topic}/temperature", str(temperature)), (f"{self.topic}/humidity", str(humidity))]
        stated = {"t_ms": own_ms} if self is OWN else {}
        return [(self.topic, json.dumps({"temperature": temperature, "humidity": humidity, **stated}))]


FINISHING = ("nested", "numbers")
LINE = Device("line", "line", 46.0)
PROBE = Device("probe", "bus", 45.0)
OWN = Device("own", "mq", 50.0, "shop/own/air")
PLAIN = Device("plain", "mq", 50.0, "shop/plain/air")
ODD = Device("odd", "mq", 48.0, "shop/odd/air")
NESTED = Device("nested", "nested", 45.0, "gateway/nested")
NUMBERS = Device("numbers", "numbers", 45.0, "plain/numbers")
FOUND = Device("found", "found", 48.0, "gateway-of-its-own/found")
AT_THE_BROKER = (OWN, PLAIN, ODD, NESTED, NUMBERS, FOUND)
EVERYBODY = (LINE, PROBE, *AT_THE_BROKER)

ANNOUNCED = {
    f"homeassistant/sensor/found/{kind}/config": json.dumps(
        {
            "stat_t": FOUND.topic,
            "val_tpl": f"{{{{ value_json.{kind} }}}}",
            "dev_cla": kind,
            "unit_of_meas": unit,
            "dev": {"ids": ["found"], "name": "Store"},
        }
    )
    for kind, unit in (("temperature", "°C"), ("humidity", "%"))
}


def registers(step: int) -> dict[int, int]:
    """What the probe holds: thousandths of a degree, tenths of a percent."""
    temperature, humidity = PROBE.air(step)
    return {0: round(temperature * 1000), 1: round(humidity * 10)}


def config_text(line: str, bus: str, broker_port: int) -> str:
    zones = {"bench": "Bench room", "loft": "Rack loft", "finish": "Finishing room", "store": "Store"}
    stands = {"line": "bench", "probe": "bench", "own": "loft", "plain": "loft", "nested": "finish",
              "numbers": "finish", "found": "store", "odd": "store"}  # fmt: skip
    sources = {
        "mq": 'topics = ["shop/+/air"]',
        "nested": 'topics = ["gateway/+"]\npaths = {temperature = "node.air.t", humidity_pct = "node.air.rh"}',
        "numbers": 'topics = ["plain/+/temperature", "plain/+/humidity"]\nformat = "number"',
        "found": 'discovery = "homeassistant"',
        "any": 'topics = ["any/#"]',
    }
    parts = ['[shop]\nname = "Night"\ntimezone = "Europe/Oslo"\n[api]\nport = 0\n[broker]\nenabled = false\n']
    parts += ['[[destination]]\nid = "heated"\nname = "heated rooms"\nregion = "most-areas"\n']
    parts += [f'[[zone]]\nid = "{z}"\nname = "{name}"\ndestination = "heated"\n' for z, name in zones.items()]
    parts += [f'[[source]]\nid = "line"\nkind = "serial"\nport = "{line}"\nsettle_s = 0.0\n']
    parts += [
        f'[[source]]\nid = "bus"\nkind = "modbus"\nport = "{bus}"\nperiod_s = 60\n'
        '[[source.probes]]\ndevice = "probe"\nunit_id = 1\ntemperature = {register = 0, scale = 0.001}\n'
        'humidity = {register = 1, scale = 0.1, type = "uint16"}\n'
    ]
    parts += [
        f'[[source]]\nid = "{id}"\nkind = "mqtt"\nhost = "127.0.0.1"\nport = {broker_port}\n{more}\n'
        for id, more in sources.items()  # noqa: A001
    ]
    for one in EVERYBODY:
        device = "" if one is LINE else f'device = "{one.sensor}"\n'
        chip = 'type = "sht4x"\n' if one is ODD else ""
        parts += [
            f'[[sensor]]\nid = "{one.sensor}"\nsource = "{one.source}"\n{device}{chip}zone = "{stands[one.sensor]}"\n'
        ]
    parts += ["[rules.record-space]\nfree_mb = 1\n[rules.dry-limit]\nclear_after_min = 8\n"]
    return "".join(parts)
