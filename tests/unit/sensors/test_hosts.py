"""What may stand where another machine is named. Limits: RFC 1035 section 2.3.4, RFC 1123 section 2.1."""

import pytest

from sensors.hosts import is_host


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1",
        "::1",
        "fe80::1%eth0",
        "broker",
        "broker.lan",
        "my_broker.local.",
        "xn--bro-hoa.lan",
        "büro.lan",
        "3com.example",
        f"{'a' * 63}.lan",
    ],
)
def test_names_and_addresses_are_hosts(host: str) -> None:
    assert is_host(host)


@pytest.mark.parametrize(
    "host",
    [
        "",
        " ",
        "a b",
        "a\0b",
        "a..b",
        ".a",
        "-a.lan",
        "a-.lan",
        "mqtt://a",
        "u:pw@a",
        "a:1883",
        "[::1]",
        "a/b",
        "a\n",
        f"{'a' * 64}.lan",
        ".".join(["a" * 60] * 5),
        "256.1.1.1",
        "1.2.3",
        "a\ud800",
        "u\uff20a",
        "a#b",
        "a?b",
    ],
)
def test_nothing_else_is(host: str) -> None:
    assert not is_host(host)
