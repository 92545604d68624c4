"""A remote that speaks InfluxDB's ``/api/v2/write``. The only importer of influxdb-client; imported when configured.

Writes are synchronous, one request each. The library's batching writer is not for a copy that must not lose data: it
keeps points in memory and drops them after some tries.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from email.utils import parsedate_to_datetime
from typing import Any

from influxdb_client.client.influxdb_client import InfluxDBClient
from influxdb_client.client.write_api import SYNCHRONOUS
from influxdb_client.domain.write_precision import WritePrecision
from influxdb_client.rest import ApiException
from urllib3.exceptions import HTTPError

from server.stores.line_protocol import LineWriter
from server.stores.remote import Point, RemoteAway, RemoteError, RemoteRefuses, RowsRefused, TooMuch

_OF_THE_ROWS = (400, 422)
_TOO_MUCH = 413
_PASSING = (408, 425, 429)
_TOLD = 300


@dataclass(frozen=True, slots=True)
class Address:
    """Where and as whom. ``ca_file`` names a private authority; certificates are always checked."""

    url: str
    org: str
    bucket: str
    timeout_s: float
    ca_file: str | None = None


class InfluxRemote:
    """Implements :class:`server.stores.remote.Remote`. ``token`` None is for a server without accounts."""

    def __init__(self, address: Address, token: str | None, source: str) -> None:
        self._address = address
        self._lines = LineWriter(source)
        self._client = InfluxDBClient(
            url=address.url,
            token=token or "",
            org=address.org or "-",
            timeout=round(address.timeout_s * 1000),
            enable_gzip=False,
            verify_ssl=True,
            ssl_ca_cert=address.ca_file,
        )
        self._writer = self._client.write_api(write_options=SYNCHRONOUS)

    def write(self, points: Sequence[Point]) -> None:
        try:
            body = self._lines.body(points)
        except ValueError as error:
            raise RowsRefused(str(error), 0) from error
        try:
            self._writer.write(self._address.bucket, self._address.org or "-", body, WritePrecision.MS)  # type: ignore[arg-type]
        except ApiException as error:
            raise _told(error) from error
        except (HTTPError, OSError, UnicodeDecodeError) as error:
            raise RemoteAway(f"{type(error).__name__}: {str(error)[:_TOLD]}") from error

    def close(self) -> None:
        self._client.close()  # type: ignore[no-untyped-call]  # the library's own


def _told(error: ApiException) -> RemoteError:
    """The remote's answer as one of our errors."""
    status = int(error.status or 0)
    said = (str(status or ""), " ".join(f"{error.reason or ''}: {error.body or ''}".split()).rstrip(": "))
    text = " ".join(part for part in said if part)[:_TOLD]
    if status in _OF_THE_ROWS:
        return RowsRefused(text, status)
    if status == _TOO_MUCH:
        return TooMuch(text)
    if status in _PASSING or status >= 500:
        return RemoteAway(text, _retry_after_s(error.headers or {}))
    return RemoteRefuses(text)


def _retry_after_s(headers: Mapping[str, Any]) -> float | None:
    """RFC 9110, 10.2.3: seconds, or a date; a date is measured by the remote's own clock, never by ours."""
    wanted = str(headers.get("Retry-After") or "").strip()
    if wanted.isdecimal():
        return float(wanted[:9])
    try:
        return max(0.0, (parsedate_to_datetime(wanted) - parsedate_to_datetime(headers["Date"])).total_seconds())
    except (KeyError, TypeError, ValueError):
        return None
