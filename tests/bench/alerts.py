"""From a reading to its alert on the wall: published at a real broker, answered by the long poll that waits for it.

The rule waits for nothing here: its half hour past the limit is the rule's, not the way's. From the call that publishes
to the answer in which the alert stands, or stands no more.
"""

from __future__ import annotations

import time

import httpx
import paho.mqtt.client as paho

from tests.bench.figure import Figure, percentile
from tests.bench.pixels import say
from tests.bench.processes import broker, folder, server, shop_config, until

ROUNDS = 50
APART_S = 0.25
DRY_PCT, INSIDE_PCT = 20.0, 45.0
AT_ONCE = "\n[rules.dry-limit]\nraise_after_min = 0\nclear_after_min = 0\n"


def measure() -> list[Figure]:
    client = paho.Client(paho.CallbackAPIVersion.VERSION2, protocol=paho.MQTTv5)
    raised_s: list[float] = []
    returned_s: list[float] = []
    with folder() as place, broker(place) as port, server(place, shop_config(port, 1) + AT_ONCE) as (door, _):
        client.connect("127.0.0.1", port)
        client.loop_start()
        with httpx.Client(base_url=f"http://127.0.0.1:{door}", timeout=30.0) as wall:
            say(client, INSIDE_PCT)
            until(lambda: wall.get("/api/snapshot").json()["zones"][0]["air"] is not None, "air on the wall")
            for n in range(ROUNDS):
                time.sleep(APART_S)
                raised_s.append(_shown(client, wall, DRY_PCT + n / 100, stands=True))
                time.sleep(APART_S)
                returned_s.append(_shown(client, wall, INSIDE_PCT + n / 100, stands=False))
        client.disconnect()
        client.loop_stop()
    note = (
        f"99 % of {ROUNDS}; median {percentile(raised_s, 0.5):.3f} s, its return {percentile(returned_s, 0.99):.3f} s"
    )
    return [Figure("alert_to_wall_s", "s", 0.5, "at most", (percentile(raised_s, 0.99),), note)]


def _shown(client: paho.Client, wall: httpx.Client, humidity_pct: float, *, stands: bool) -> float:
    """Seconds until the alert is there (unacknowledged), or is told to be back."""
    version = wall.get("/api/snapshot").json()["version"]
    began_s = time.monotonic()
    say(client, humidity_pct)
    while True:
        found = wall.get("/api/snapshot", params={"after": version, "wait_s": 20}).json()
        states = {alert["state"] for alert in found["alerts"] if alert["rule"] == "dry-limit"}
        if ("unacknowledged" in states) is stands:
            return time.monotonic() - began_s
        if time.monotonic() - began_s > 20:
            raise TimeoutError(f"alert: found {states} after 20 s; would be right: stands={stands}")
        version = found["version"]
