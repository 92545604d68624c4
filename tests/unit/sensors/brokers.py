"""Real brokers with settings that the product's own has not: with passwords, TLS, access lists, or only MQTT 3.1.1."""

from __future__ import annotations

import asyncio
import base64
import hashlib
import json
import os
import socket
import subprocess
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from tests.unit.sensors.helpers import free_port, until

MOSQUITTO = "/usr/sbin/mosquitto"
DYNAMIC_SECURITY = sorted(Path("/usr/lib").glob("*/mosquitto_dynamic_security.so"))


def answers(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


@asynccontextmanager
async def a_mosquitto(folder: Path, *lines: str, port: int | None = None) -> AsyncIterator[int]:
    """mosquitto with these lines in its configuration, answering on the port that is given back."""
    port = port or free_port()
    conf = _configuration(folder, f"listener {port} 127.0.0.1", *lines, "log_dest none")
    child = await asyncio.create_subprocess_exec(MOSQUITTO, "-c", str(conf), stderr=asyncio.subprocess.DEVNULL)
    try:
        await until(lambda: answers(port) or child.returncode is not None, what="mosquitto")
        assert child.returncode is None, "mosquitto does not like its configuration"
        yield port
    finally:
        if child.returncode is None:
            child.terminate()
        await child.wait()


def _configuration(folder: Path, *lines: str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    # As root it would give up root for a user that cannot read our files.
    user = ["user root"] if os.geteuid() == 0 else []
    (folder / "conf").write_text("\n".join([*lines, *user]) + "\n")
    return folder / "conf"


def password_file(folder: Path, **users: str) -> Path:
    """mosquitto's own, made by its own tool."""
    folder.mkdir(parents=True, exist_ok=True)
    passwords = folder / "passwords"
    passwords.touch(mode=0o600)
    for user, password in users.items():
        subprocess.run(["mosquitto_passwd", "-b", str(passwords), user, password], check=True)
    return passwords


def topic_rights(folder: Path, user: str, password: str, *topics: str) -> list[str]:
    """The lines for a mosquitto that grants ``user`` these topics and refuses to subscribe to any other. Its plain
    access list lets everybody subscribe and is silent then; the plugin of its package says no (0x87, and 0x80)."""
    folder.mkdir(parents=True, exist_ok=True)
    salt = os.urandom(12)
    hashed = hashlib.pbkdf2_hmac("sha512", password.encode(), salt, 101)
    grants = [
        {"acltype": kind, "topic": topic, "allow": True}
        for topic in topics
        for kind in ("subscribePattern", "publishClientReceive")
    ]
    rules = folder / "rights.json"
    kept = {
        "defaultACLAccess": {
            "publishClientSend": True,
            "publishClientReceive": True,
            "subscribe": False,
            "unsubscribe": True,
        },
        "clients": [
            {
                "username": user,
                "password": base64.b64encode(hashed).decode(),
                "salt": base64.b64encode(salt).decode(),
                "iterations": 101,
                "roles": [{"rolename": "reader"}],
            }
        ],
        "roles": [{"rolename": "reader", "acls": grants}],
    }
    rules.write_text(json.dumps(kept))
    return [f"plugin {DYNAMIC_SECURITY[0]}", f"plugin_opt_config_file {rules}", "allow_anonymous false"]


OLD = """
import asyncio, sys
from amqtt.broker import Broker

async def main():
    listener = {"type": "tcp", "bind": "127.0.0.1:" + sys.argv[1]}
    plugins = {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}}
    await Broker({"listeners": {"default": listener}, "plugins": plugins}).start()
    await asyncio.Event().wait()

asyncio.run(main())
"""


@asynccontextmanager
async def an_old_broker(port: int | None = None) -> AsyncIterator[int]:
    """amqtt 0.12 in a process of its own: a real broker that knows MQTT 3.1.1 alone and never answers MQTT 5."""
    port = port or free_port()
    child = await asyncio.create_subprocess_exec(
        sys.executable, "-c", OLD, str(port), stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL
    )
    try:
        await until(lambda: answers(port) or child.returncode is not None, 30, what="amqtt")
        assert child.returncode is None
        yield port
    finally:
        if child.returncode is None:
            child.kill()
        await child.wait()


def authority(folder: Path, name: str) -> Path:
    """A certificate authority made by openssl; its certificate, with the key beside it as ``.key``."""
    folder.mkdir(parents=True, exist_ok=True)
    certificate = folder / f"{name}.crt"
    _openssl("req", "-x509", *_KEY, "-keyout", certificate.with_suffix(".key"), "-out", certificate, "-days", 2,
             "-subj", f"/CN={name}")  # fmt: skip
    return certificate


def certificate(ca: Path, name: str, names: str = "DNS:localhost,IP:127.0.0.1", days: int = 2) -> Path:
    """A certificate for ``names`` signed by ``ca``; one with ``days`` of -1 has expired."""
    made = ca.parent / f"{name}.crt"
    request, extension = made.with_suffix(".csr"), made.with_suffix(".ext")
    extension.write_text(f"subjectAltName={names}\n")
    _openssl("req", *_KEY, "-keyout", made.with_suffix(".key"), "-out", request, "-subj", f"/CN={name}")
    _openssl("x509", "-req", "-in", request, "-CA", ca, "-CAkey", ca.with_suffix(".key"), "-CAcreateserial",
             "-days", days, "-extfile", extension, "-out", made)  # fmt: skip
    return made


_KEY = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes")


def _openssl(*arguments: object) -> None:
    done = subprocess.run(["openssl", *map(str, arguments)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
