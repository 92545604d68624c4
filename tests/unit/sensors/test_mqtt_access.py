"""TLS, passwords and access lists against a real mosquitto, with certificates that openssl makes here."""

from __future__ import annotations

import asyncio
import logging
import re
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from sensors.driver import LinkLost, LinkRefused
from sensors.mqtt import MqttSubscription, Publisher, Tls
from sensors.mqtt.source import MqttSource, build_mqtt
from sensors.payloads import number_payload
from tests.unit.sensors.brokers import a_mosquitto, authority, certificate, password_file, topic_rights
from tests.unit.sensors.helpers import Notes, real_now, running, until
from tests.unit.sensors.test_mqtt import TOPICS, subscription

SECRET = "quiet-as-sawdust"
VERSIONS = pytest.mark.parametrize("protocol", ["5", "3.1.1"])


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Our authority ``ca`` and another, a broker's certificate of each kind, and one of a client."""
    folder = tmp_path_factory.mktemp("papers")
    ca = authority(folder, "ca")
    authority(folder, "another")
    certificate(ca, "right")
    certificate(ca, "expired", days=-1)
    certificate(ca, "elsewhere", names="DNS:broker.example")
    certificate(ca, "client", names="DNS:kiosk")
    return folder


def tls_lines(papers: Path, name: str = "right") -> list[str]:
    key = [f"cafile {papers / 'ca.crt'}", f"certfile {papers / f'{name}.crt'}", f"keyfile {papers / f'{name}.key'}"]
    return [*key, "tls_version tlsv1.2", "allow_anonymous true"]


@pytest.fixture
async def tls_broker(papers: Path, tmp_path: Path) -> AsyncIterator[int]:
    async with a_mosquitto(tmp_path, *tls_lines(papers)) as port:
        yield port


@VERSIONS
async def test_the_right_authority_is_believed_and_a_burst_comes_through(
    papers: Path, tls_broker: int, protocol: str
) -> None:
    """More than one TLS record holds, and the bound is reached in the midst: what is decrypted lies in no socket."""
    tls, notes = Tls(papers / "ca.crt"), Notes()
    ours = subscription(tls_broker, tls=tls, protocol=protocol, unacknowledged_limit=40)
    async with running(ours, notes), Publisher("127.0.0.1", tls_broker, tls=tls, protocol=protocol) as device:
        for number in range(500):
            device.publish("shop/loft/temperature", str(number))
        done = 0
        while done < 500:
            await until(lambda: len(notes.items) > done)  # noqa: B023 - awaited before it changes
            acknowledge = notes.items[done].acknowledge
            assert acknowledge is not None
            acknowledge()
            done += 1
        await device.flushed()
    assert notes.temperatures == list(range(500))


async def test_an_unknown_authority_is_refused(papers: Path, tls_broker: int) -> None:
    wrong = papers / "another.crt"
    with pytest.raises(LinkRefused) as caught:
        await subscription(tls_broker, tls=Tls(wrong)).run(Notes())
    assert re.fullmatch(
        rf"127.0.0.1:{tls_broker}: the broker's certificate is not believed: .*certificate.* \(by {wrong}\); "
        "would be right: ca_file with the authority that signed it",
        str(caught.value),
    )
    with pytest.raises(LinkRefused, match="by the authorities this machine believes"):
        await subscription(tls_broker, tls=Tls()).run(Notes())


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("expired", "certificate has expired; would be right: a renewed certificate at the broker"),
        ("elsewhere", "IP address mismatch.*would be right: as host, not 127.0.0.1, but a name its certificate holds"),
    ],
)
async def test_a_certificate_that_does_not_fit_is_refused(papers: Path, tmp_path: Path, name: str, says: str) -> None:
    async with a_mosquitto(tmp_path, *tls_lines(papers, name)) as port:
        with pytest.raises(LinkRefused, match=says):
            await subscription(port, tls=Tls(papers / "ca.crt")).run(Notes())


async def test_another_name_is_told_by_name(papers: Path, tmp_path: Path) -> None:
    async with a_mosquitto(tmp_path, *tls_lines(papers, "elsewhere")) as port:
        ours = MqttSubscription(
            "shop",
            "localhost",
            port,
            topics=TOPICS,
            decode=number_payload(patterns=TOPICS),
            client_id="x",
            tls=Tls(papers / "ca.crt"),
            now=real_now,
        )
        with pytest.raises(LinkRefused, match=r"Hostname mismatch.*not localhost, but a name its certificate holds"):
            await ours.run(Notes())


@VERSIONS
async def test_a_broker_may_want_our_certificate(papers: Path, tmp_path: Path, protocol: str) -> None:
    """With TLS 1.3 the no comes after the handshake, in place of the answer to CONNECT."""
    ours = Tls(papers / "ca.crt", papers / "client.crt", papers / "client.key")
    async with a_mosquitto(tmp_path, *tls_lines(papers), "require_certificate true") as port:
        with pytest.raises(LinkRefused, match=r"CERTIFICATE.*would be right: cert_file and key_file that this broker"):
            await subscription(port, tls=Tls(papers / "ca.crt"), protocol=protocol).run(Notes())
        async with running(subscription(port, tls=ours, protocol=protocol), Notes()) as task:
            assert not task.done()


async def test_tls_and_none_do_not_meet(papers: Path, tls_broker: int, tmp_path: Path) -> None:
    with pytest.raises(LinkLost, match="would be right: tls = true, if this is its TLS port"):
        await subscription(tls_broker).run(Notes())
    async with a_mosquitto(tmp_path / "plain", "allow_anonymous true") as port:
        with pytest.raises((LinkLost, LinkRefused), match=f"127.0.0.1:{port}: .*TLS"):
            await subscription(port, tls=Tls(papers / "ca.crt")).run(Notes())


async def test_something_else_behind_tls_is_told(papers: Path) -> None:
    async def chatter(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"220 ready\r\n")
        await writer.drain()
        writer.close()
        await writer.wait_closed()

    server = await asyncio.start_server(chatter, "127.0.0.1", 0)
    async with server:
        port = server.sockets[0].getsockname()[1]
        with pytest.raises(LinkRefused, match="found no TLS there; would be right: the broker's TLS port"):
            await subscription(port, tls=Tls(papers / "ca.crt")).run(Notes())


async def test_a_file_that_is_gone_is_named_and_a_renewed_one_is_taken(
    papers: Path, tls_broker: int, tmp_path: Path
) -> None:
    file = tmp_path / "trusted.crt"
    ours = subscription(tls_broker, tls=Tls(file))
    with pytest.raises(LinkRefused, match=rf"ca_file: found {file} \(No such file.*would be right: a PEM file of cert"):
        await ours.run(Notes())
    file.write_bytes((papers / "ca.crt").read_bytes())
    async with running(ours, Notes()) as task:
        assert not task.done()


@pytest.fixture
def all_logs(caplog: pytest.LogCaptureFixture) -> pytest.LogCaptureFixture:
    caplog.set_level(logging.DEBUG)
    return caplog


@VERSIONS
async def test_a_password_opens_and_shows_nowhere(
    tmp_path: Path, all_logs: pytest.LogCaptureFixture, protocol: str
) -> None:
    """Right or wrong, no log and no message holds it, nor any text made of the driver."""
    passwords = password_file(tmp_path, kiosk=SECRET)
    async with a_mosquitto(tmp_path, "allow_anonymous false", f"password_file {passwords}") as port:
        right = subscription(port, username="kiosk", password=SECRET, protocol=protocol)
        async with running(right, Notes()) as task:
            assert not task.done()
        wrong = subscription(port, username="kiosk", password=SECRET + "x", protocol=protocol)
        with pytest.raises(LinkRefused, match="the broker says: Not authorized; would be right: the user name") as no:
            await wrong.run(Notes())
        with pytest.raises(LinkRefused, match="Not authorized"):
            await subscription(port, protocol=protocol).run(Notes())
    told = [str(no.value), repr(no.value), repr(right._access), repr(vars(wrong)), all_logs.text]
    assert not any(SECRET in text for text in told)


@VERSIONS
async def test_a_topic_that_is_not_granted_is_refused_by_name(tmp_path: Path, protocol: str) -> None:
    lines = topic_rights(tmp_path, "kiosk", SECRET, "shop/+/temperature")
    login: dict[str, Any] = {"username": "kiosk", "password": SECRET, "protocol": protocol}
    async with a_mosquitto(tmp_path, *lines) as port:
        async with running(subscription(port, **login), Notes()) as task:
            assert not task.done()
        with pytest.raises(LinkRefused, match=r"says to the topic office/#: .*would be right: .*a right to read th"):
            await subscription(port, topics=["shop/+/temperature", "office/#"], **login).run(Notes())


async def test_a_publisher_that_may_not_publish_is_not_taken_for_lost(tmp_path: Path) -> None:
    passwords = password_file(tmp_path, kiosk=SECRET)
    (tmp_path / "acl").write_text("user kiosk\ntopic read shop/#\n")
    lines = ["allow_anonymous false", f"password_file {passwords}", f"acl_file {tmp_path / 'acl'}"]
    async with (
        a_mosquitto(tmp_path, *lines) as port,
        Publisher("127.0.0.1", port, username="kiosk", password=SECRET) as device,
    ):
        device.publish("shop/loft/temperature", "20.4")
        await device.flushed()


TABLE = {"id": "shop", "kind": "mqtt", "topics": TOPICS, "format": "number", "host": "localhost"}


async def test_the_configuration_says_it_all(papers: Path, tls_broker: int, tmp_path: Path) -> None:
    key = tmp_path / "client.key"
    key.write_bytes((papers / "client.key").read_bytes())
    key.chmod(0o600)
    mine = {"ca_file": papers / "ca.crt", "cert_file": papers / "client.crt", "key_file": key}
    source = MqttSource.model_validate({**TABLE, "port": tls_broker, "tls": True, "protocol": "3.1.1", **mine})
    notes = Notes()
    async with (
        running(build_mqtt(source, real_now, tmp_path), notes),
        Publisher("localhost", tls_broker, tls=source.tls_files()) as device,
    ):
        device.publish("shop/loft/temperature", "20.4")
        await until(lambda: notes.samples)


def test_the_port_follows_tls() -> None:
    assert MqttSource.model_validate(TABLE).broker_port == 1883
    assert MqttSource.model_validate({**TABLE, "tls": True}).broker_port == 8883
    assert MqttSource.model_validate({**TABLE, "tls": True, "port": 1883}).broker_port == 1883


@pytest.mark.parametrize(
    ("options", "where", "says"),
    [
        ({"ca_file": "ca.crt"}, "ca_file", "^tls = true beside it"),
        ({"tls": True, "ca_file": "/no/such"}, "ca_file", "^a PEM file of certificates"),
        ({"tls": True, "ca_file": "ca.key"}, "ca_file", "^a PEM file of certificates"),
        ({"tls": True, "cert_file": "client.crt"}, "key_file", "^cert_file and key_file together"),
        ({"tls": True, "key_file": "client.key"}, "key_file", "^cert_file and key_file together"),
        ({"tls": True, "cert_file": "client.crt", "key_file": "ca.key"}, "key_file", "^a PEM certificate and its key"),
        ({"tls": True, "cert_file": "client.crt", "key_file": "open.key"}, "key_file", "chmod 600"),
        ({"protocol": "4"}, "protocol", "'auto', '5' or '3.1.1'"),
        ({"tls": True, "verify": False}, "verify", "not permitted"),
    ],
)
def test_mistakes_about_tls_are_named(
    papers: Path, monkeypatch: pytest.MonkeyPatch, options: dict[str, Any], where: str, says: str
) -> None:
    monkeypatch.chdir(papers)
    (papers / "open.key").write_bytes((papers / "client.key").read_bytes())
    (papers / "open.key").chmod(0o644)
    with pytest.raises(ValidationError) as caught:
        MqttSource.model_validate({**TABLE, **options})
    (error,) = caught.value.errors()
    assert error["loc"][0] == where
    assert re.search(says, str(error.get("ctx", {}).get("error") or error["msg"]))


def test_a_key_with_a_passphrase_does_not_ask_on_the_terminal(papers: Path, tmp_path: Path) -> None:
    from tests.unit.sensors.brokers import _openssl

    locked = tmp_path / "locked.key"
    _openssl("ec", "-in", papers / "client.key", "-aes128", "-passout", "pass:x", "-out", locked)
    locked.chmod(0o600)
    with pytest.raises(LinkRefused, match=f"found {locked} .*would be right: a PEM certificate and its key without a"):
        Tls(None, papers / "client.crt", locked).context()


@pytest.mark.parametrize(("held", "right"), [("a" * 65536, "at most 65535 bytes"), ("a\udcffb", "printable text")])
def test_a_password_that_cannot_be_sent_is_refused_without_showing_it(
    monkeypatch: pytest.MonkeyPatch, held: str, right: str
) -> None:
    monkeypatch.setenv("SHOP_PASSWORD", held)
    with pytest.raises(ValidationError, match=right) as caught:
        MqttSource.model_validate({**TABLE, "username": "kiosk", "password_env": "SHOP_PASSWORD"})
    assert held not in str(caught.value)
