"""Messages a second through broker, screening and record, against a bare subscriber of the same library.

One publisher in its own process sends 100,000 distinct QoS 1 messages of one number; the broker's queue is unlimited.
Ours: from the first heard to the last row committed. Bare: a paho subscriber that acknowledges by hand, from the first
to the last. Both sides run in turn, three times.
"""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from pathlib import Path

import httpx
import paho.mqtt.client as paho
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from tests.bench.figure import Figure
from tests.bench.processes import ROOT, broker, folder, server, shop_config, until

MESSAGES = 100_000
RUNS = 3
TOPIC = "shop/s0/humidity"
PUBLISH = """
import socket, sys, threading
port, count = int(sys.argv[1]), int(sys.argv[2])
topic = b"shop/s0/humidity"
sock = socket.create_connection(("127.0.0.1", port))
sock.sendall(b"\\x10\\x12\\x00\\x04MQTT\\x04\\x02\\x00\\x3c\\x00\\x06sender")
assert sock.recv(4)[:1] == b"\\x20"
answered = threading.Event()
def count_answers():
    left = 4 * count
    while left > 0:
        left -= len(sock.recv(65536))
    answered.set()
threading.Thread(target=count_answers, daemon=True).start()
for first in range(0, count, 1000):
    packets = bytearray()
    for n in range(first, min(first + 1000, count)):
        body = b"\\x00" + bytes([len(topic)]) + topic + (n % 65535 + 1).to_bytes(2, "big") + b"%.5f" % (40 + n * 5e-5)
        packets += b"\\x32" + bytes([len(body)]) + body
    sock.sendall(packets)
answered.wait()
sock.sendall(b"\\xe0\\x00")
"""
"""A publisher that costs next to nothing: MQTT 3.1.1 packets (OASIS 2014, sections 3.1, 3.3, 3.4) written by hand."""


def publish(port: int, count: int = MESSAGES) -> subprocess.Popen[bytes]:
    """A publisher at work; distinct values that stay within the limits on rate."""
    return subprocess.Popen([sys.executable, "-c", PUBLISH, str(port), str(count)], cwd=ROOT)


def bare(port: int) -> float:
    """Messages a second of a subscriber that only acknowledges."""
    times: list[float] = []
    done = threading.Event()
    client = paho.Client(paho.CallbackAPIVersion.VERSION2, client_id="bare", protocol=paho.MQTTv5, manual_ack=True)

    def heard(c: paho.Client, _data: object, message: paho.MQTTMessage) -> None:
        c.ack(message.mid, message.qos)
        times.append(time.monotonic())
        if len(times) == MESSAGES:
            done.set()

    up = threading.Event()
    client.on_message = heard
    client.on_subscribe = lambda *_: up.set()
    wanted = Properties(PacketTypes.CONNECT)
    wanted.ReceiveMaximum = 100
    client.connect("127.0.0.1", port, properties=wanted)
    client.loop_start()
    client.subscribe(TOPIC, qos=1)
    up.wait(10)
    sender = publish(port)
    if not done.wait(120):
        raise TimeoutError(f"bare subscriber: {len(times)} of {MESSAGES} came")
    sender.wait()
    client.disconnect()
    client.loop_stop()
    return MESSAGES / (times[-1] - times[0])


def ours(port: int, place: Path) -> float:
    """Readings a second of the running server, counted by itself after the commit."""
    place.mkdir()
    with server(place, shop_config(port, 1, number=True)) as (door, _), httpx.Client() as http:
        url = f"http://127.0.0.1:{door}/api/"
        until(lambda: http.get(url + "sources").json()[0]["state"] == "listening", "the subscription")
        sender = publish(port)
        until(lambda: http.get(url + "health").json()["readings"] > 0, "the first reading", every_s=0.005)
        began_s, before = time.monotonic(), http.get(url + "health").json()["readings"]
        until(lambda: http.get(url + "health").json()["readings"] >= MESSAGES, "the last reading", 180, 0.1)
        took_s = time.monotonic() - began_s
        sender.wait()
    return (MESSAGES - before) / took_s


def measure() -> list[Figure]:
    with folder() as place, broker(place) as port:
        rates = [(ours(port, place / str(run)), bare(port)) for run in range(RUNS)]
    ratios = tuple(mine / plain for mine, plain in rates)
    mine = sorted(rate for rate, _ in rates)[RUNS // 2]
    plain = sorted(rate for _, rate in rates)[RUNS // 2]
    note = f"{mine:,.0f} readings/s through the record, {plain:,.0f} messages/s bare"
    return [Figure("ingest_ratio_to_bare_mqtt", "1", 0.4, "at least", ratios, note)]
