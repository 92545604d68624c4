"""What every remote must do: the seam in a dictionary, a small fake of the write endpoint, and the real servers.

Field pitfall 31: the library is in one file, and this is the contract test against the servers it speaks to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from server.stores.influx import Address, InfluxRemote
from server.stores.remote import Point, Remote, RemoteAway, RemoteRefuses, RowsRefused
from tests.flow.conftest import free_port
from tests.remotes import (
    BUCKET,
    FakeRemote,
    FakeServer,
    InfluxServer,
    Kept,
    VictoriaServer,
    own_folder,
    running,
    wait_for,
)

T0 = 1_700_000_000_000
"""In the past: VictoriaMetrics drops what lies more than two days ahead of the machine's clock, and says yes."""
KINDS = ["seam", "fake", "influx", "victoria"]
Pair = tuple[Remote, Callable[[], Kept]]


def made(url: str, bucket: str = BUCKET, timeout_s: float = 20.0) -> InfluxRemote:
    return InfluxRemote(Address(url, "shop", bucket, timeout_s), "token", "Test shop")


@pytest.fixture(scope="module")
def servers() -> Iterator[Callable[[str], Any]]:
    """Each real server once for the module, started when first asked for."""
    with own_folder() as folder:
        kinds = {"influx": InfluxServer, "victoria": VictoriaServer}
        up: dict[str, Any] = {}

        def server(kind: str) -> Any:
            if kind not in up:
                up[kind] = kinds[kind](folder / kind)
                up[kind].start()
            return up[kind]

        try:
            yield server
        finally:
            for one in up.values():
                one.kill()


@pytest.fixture(params=KINDS)
def remote(request: pytest.FixtureRequest, servers: Callable[[str], Any]) -> Iterator[Pair]:
    if request.param == "seam":
        seam = FakeRemote()
        yield seam, seam.kept
        return
    server = FakeServer() if request.param == "fake" else servers(request.param)
    client = made(server.url)
    yield client, server.kept
    client.close()
    client.close()
    if isinstance(server, FakeServer):
        server.close()
    else:
        server.wipe()


def rows(points: list[Point]) -> Kept:
    return {(p.series, p.t_ms): (p.value, float(p.flags), p.value if p.raw is None else p.raw) for p in points}


def shows(pair: Pair, wanted: Kept) -> None:
    wait_for(lambda: pair[1]() == wanted, f"the {len(wanted)} rows that were written", 20.0)


def test_what_is_written_is_there_after_the_yes(remote: Pair) -> None:
    points = [
        Point("bench-1/temperature_c", T0, 20.5, 0, None),
        Point("bench-1/humidity_pct", T0 + 1, 100.0, 8, 103.5),
        Point("zone:loft/emc_pct", T0 + 2, 9.0, 2560, None),
        Point("line:T 1, north = ü/temperature_c", T0, -3.0, 1024, None),
    ]
    remote[0].write(points)
    shows(remote, rows(points))


def test_sent_twice_is_there_once(remote: Pair) -> None:
    """Field pitfall 30: resending is harmless."""
    points = [Point("bench-1/emc_pct", T0 + n * 1000, 8 + n / 64, 0, None) for n in range(200)]
    remote[0].write(points)
    remote[0].write(points[50:])
    shows(remote, rows(points))


def test_another_value_for_the_same_moment_leaves_nothing_of_the_first(remote: Pair, request: Any) -> None:
    """Field pitfall 30: whole numbers, fractions, flags and raw values take each other's place."""
    if "victoria" in request.node.callspec.id:
        pytest.skip("it keeps the greatest of what came for a moment, its documentation says: no replacing there")
    first, second = Point("bench-1/emc_pct", T0, 9.0, 8, 9.5), Point("bench-1/emc_pct", T0, 8.125, 0, None)
    remote[0].write([first])
    remote[0].write([second])
    shows(remote, rows([second]))


def test_a_batch_of_five_thousand(remote: Pair) -> None:
    points = [Point(f"t{n % 10}/humidity_pct", T0 + n * 100, 5 + n / 128, 0, None) for n in range(5000)]
    remote[0].write(points)
    shows(remote, rows(points))


def test_a_name_of_any_sign_arrives(remote: Pair) -> None:
    points = [
        Point(f"{name}/emc_pct", T0, 8.0, 0, None)
        for name in (
            "a b",
            "a,b",
            "a=b",
            'a"b"',
            "a\\",
            "a\\,b",
            "a\\ b",
            "50 %",
            "ü–½",
            "zone",
            "a/b",
            "%",
            "%25",
            "'",
        )
    ]
    remote[0].write(points)
    shows(remote, rows(points))


def test_numbers_that_are_none_are_no_points(remote: Pair) -> None:
    if isinstance(remote[0], FakeRemote):
        pytest.skip("the seam's fake makes no lines")
    with pytest.raises(RowsRefused, match="found value inf"):
        remote[0].write([Point("bench-1/emc_pct", T0, float("inf"), 0, None)])
    assert remote[1]() == {}


def test_a_bucket_that_is_not_there_is_for_a_person(servers: Callable[[str], Any]) -> None:
    client = made(servers("influx").url, "nowhere")
    try:
        with pytest.raises(RemoteRefuses, match=r"404.*nowhere"):
            client.write([Point("bench-1/emc_pct", T0, 8.0, 0, None)])
    finally:
        client.close()


def test_a_row_beyond_the_servers_calendar_is_refused_and_the_others_may_be_there(
    servers: Callable[[str], Any],
) -> None:
    """A real partial answer: InfluxDB writes what it can and says 400."""
    server = servers("influx")
    good, bad = Point("bench-1/emc_pct", T0, 8.0, 0, None), Point("bench-1/emc_pct", 10_413_792_000_000, 8.0, 0, None)
    client = made(server.url)
    try:
        with pytest.raises(RowsRefused, match=r"400.*time outside range") as caught:
            client.write([good, bad])
        assert caught.value.status == 400
        assert server.kept() == rows([good])
    finally:
        client.close()
        server.wipe()


def test_nobody_there_is_nobodys_fault() -> None:
    client = made(f"http://127.0.0.1:{free_port()}")
    try:
        with pytest.raises(RemoteAway, match="refused"):
            client.write([Point("bench-1/emc_pct", T0, 8.0, 0, None)])
    finally:
        client.close()


def test_a_certificate_of_nobody_is_for_a_person(tmp_path: Path) -> None:
    """TLS is checked: a server that cannot prove its name gets neither token nor points."""
    import ssl
    import subprocess

    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    subject = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1"]
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", *subject]
    subprocess.run([*command, "-keyout", key, "-out", certificate], check=True, capture_output=True)
    server = FakeServer()
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    server.wrap(context)
    url = server.url.replace("http:", "https:")
    point = Point("bench-1/emc_pct", T0, 8.0, 0, None)
    stranger = made(url)
    friend = InfluxRemote(Address(url, "", BUCKET, 20.0, str(certificate)), None, "Test shop")
    try:
        with pytest.raises(RemoteRefuses, match="CERTIFICATE_VERIFY_FAILED"):
            stranger.write([point])
        assert server.requests == []
        friend.write([point])
        assert server.kept() == rows([point])
    finally:
        stranger.close()
        friend.close()
        server.close()


def test_a_server_that_comes_back_is_found_by_the_same_client() -> None:
    with own_folder() as folder, running(VictoriaServer(folder / "v")) as server:
        client = made(server.url)
        try:
            client.write([Point("bench-1/emc_pct", T0, 8.0, 0, None)])
            server.stop()
            with pytest.raises(RemoteAway):
                client.write([Point("bench-1/emc_pct", T0 + 1, 8.5, 0, None)])
            server.start()
            client.write([Point("bench-1/emc_pct", T0 + 1, 8.5, 0, None)])
            assert set(server.kept()) == {("bench-1/emc_pct", T0), ("bench-1/emc_pct", T0 + 1)}
        finally:
            client.close()
