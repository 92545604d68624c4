"""From a message to pixels: 100 of them, half a second apart, alternating two humidities.

From the call that publishes to the first drawn frame whose number's rectangle differs. The limit on rate is lifted.
"""

from __future__ import annotations

import json
import time
from functools import partial

import paho.mqtt.client as paho

from tests.bench.figure import Figure, percentile
from tests.bench.processes import broker, folder, server, shop_config, until
from tests.bench.wall import display, window

MESSAGES = 100
APART_S = 0.5
HUMIDITIES = (35.0, 55.0)


def measure() -> list[Figure]:
    client = paho.Client(paho.CallbackAPIVersion.VERSION2, protocol=paho.MQTTv5)
    took_ms: list[float] = []
    with folder() as place, broker(place) as port, server(place, shop_config(port, 1)) as (door, _):
        client.connect("127.0.0.1", port)
        client.loop_start()
        say(client, HUMIDITIES[1])
        with display() as screen, window(place, door, screen) as wall:
            wall.first_figure_s()
            time.sleep(2 * APART_S)
            for n in range(MESSAGES):
                seen, began_s = len(wall.frames_s()), time.monotonic()
                say(client, HUMIDITIES[n % 2])
                until(partial(wall.has_drawn, seen + 1), "another number", 10, 0.005)
                took_ms.append(1000 * (wall.frames_s()[seen] - began_s))
                time.sleep(max(0.0, APART_S - (time.monotonic() - began_s)))
        client.disconnect()
        client.loop_stop()
    note = f"median {percentile(took_ms, 0.5):.0f} ms, 1280×800, software GL"
    return [Figure("message_to_pixels_p99_ms", "ms", 300.0, "at most", (percentile(took_ms, 0.99),), note)]


def say(client: paho.Client, humidity_pct: float) -> None:
    client.publish("shop/s0/air", json.dumps({"temperature": 20.0, "humidity": humidity_pct}), qos=1)


def measure_first() -> list[Figure]:
    """From the start of the window's process to its first figure, the server being up."""
    client = paho.Client(paho.CallbackAPIVersion.VERSION2, protocol=paho.MQTTv5)
    with folder() as place, broker(place) as port, server(place, shop_config(port, 1)) as (door, _):
        client.connect("127.0.0.1", port)
        client.loop_start()
        client.publish("shop/s0/air", json.dumps({"temperature": 20.0, "humidity": 41.0}), qos=1).wait_for_publish(10)
        client.disconnect()
        client.loop_stop()
        took_s = []
        with display() as screen:
            for _ in range(3):
                with window(place, door, screen) as wall:
                    took_s.append(wall.first_figure_s())
    return [Figure("kiosk_first_picture_s", "s", 2.0, "at most", tuple(took_s), "1280×800, software GL")]
