"""What the server and the window cost a machine while nothing much happens: 60 quiet seconds of both.

Four sensors speak once a minute through the broker, eight series; the wall hangs on a virtual display.
"""

from __future__ import annotations

import json
import threading
import time

import paho.mqtt.client as paho

from tests.bench.figure import Figure
from tests.bench.processes import broker, cpu_s, folder, rss_mb, server, shop_config
from tests.bench.wall import display, window

QUIET_S = 60.0
SETTLE_S = 8.0


def sensors(port: int, stop: threading.Event) -> None:
    """Four devices, each saying its air once a minute, a quarter of a minute apart."""
    client = paho.Client(paho.CallbackAPIVersion.VERSION2, protocol=paho.MQTTv5)
    client.connect("127.0.0.1", port)
    client.loop_start()
    n = 0
    while not stop.wait(15.0 if n >= 4 else 0.2):
        said = {"temperature": 20 + 0.01 * (n % 7), "humidity": 41 + 0.1 * (n % 5)}
        client.publish(f"shop/s{n % 4}/air", json.dumps(said), qos=1)
        n += 1
    client.disconnect()
    client.loop_stop()


def measure() -> list[Figure]:
    stop = threading.Event()
    with folder() as place, broker(place) as port, server(place, shop_config(port, 4)) as (door, serving):
        talking = threading.Thread(target=sensors, args=(port, stop))
        talking.start()
        try:
            with display() as screen, window(place, door, screen) as wall:
                wall.first_figure_s()
                time.sleep(SETTLE_S)
                before = cpu_s(serving.pid), cpu_s(wall.pid)
                time.sleep(QUIET_S)
                server_s, kiosk_s = cpu_s(serving.pid) - before[0], cpu_s(wall.pid) - before[1]
                server_mb, kiosk_mb = rss_mb(serving.pid), rss_mb(wall.pid)
        finally:
            stop.set()
            talking.join()
    return [
        Figure("server_idle_cpu_pct", "%", 1.0, "at most", (100 * server_s / QUIET_S,), "8 series, one a minute"),
        Figure("server_rss_mb", "MB", 150.0, "at most", (server_mb,)),
        Figure("kiosk_idle_cpu_pct", "%", 2.0, "at most", (100 * kiosk_s / QUIET_S,), "virtual display, software GL"),
        Figure("kiosk_rss_mb", "MB", 200.0, "at most", (kiosk_mb,), "virtual display, software GL"),
    ]
