"""The configured remotes: makes their forwarders, knows how they are, and sends again what one has lost."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Mapping, Sequence

from server.clock import Clock
from server.config import RemoteTable
from server.reading import RemoteState
from server.stores.forward import Forwarder, Pace
from server.stores.port import Reply
from server.stores.remote import Outbox, Place, Remote, RemoteRefuses


class Remotes:
    """All of them, by id."""

    def __init__(self, forwarders: Mapping[str, Forwarder] | None = None) -> None:
        self.forwarders: Mapping[str, Forwarder] = forwarders or {}

    def states(self) -> tuple[RemoteState, ...]:
        """How each copy is doing."""
        return tuple(forwarder.state() for forwarder in self.forwarders.values())

    async def rewind(self, remote: str, from_ms: int, command_id: str) -> Reply:
        """Send one remote everything from ``from_ms`` on again. Raises KeyError for an id nobody configured,
        StoreFull."""
        return await self.forwarders[remote].rewind(from_ms, command_id)


async def make_remotes(
    tables: Sequence[RemoteTable],
    shop: str,
    outbox: Outbox,
    clock: Clock,
    pace: Callable[[RemoteTable], Pace] | None = None,
) -> Remotes:
    """Forwarders that still have to be run. ``shop`` names the points of a remote whose table names no source."""
    await outbox.know({table.id: _place(table, shop) for table in tables})
    made = {}
    for table in tables:
        speed = Pace(most=table.batch_rows) if pace is None else pace(table)
        where = f"{table.bucket} at {table.url}"
        made[table.id] = Forwarder(table.id, where, outbox, _connecting(table, shop), clock, speed)
    return Remotes(made)


def _place(table: RemoteTable, shop: str) -> Place:
    quantities = frozenset(table.quantities)

    def wanted(series: str) -> bool:
        return not quantities or series.rpartition("/")[2] in quantities

    return Place("\n".join((table.url, table.org, table.bucket, table.source or shop)), wanted)


def _connecting(table: RemoteTable, shop: str) -> Callable[[], Remote]:
    def connect() -> Remote:
        from server.stores.influx import Address, InfluxRemote  # noqa: PLC0415 - heavy; most shops have no remote

        ca_file = None if table.ca_file is None else str(table.ca_file)
        address = Address(table.url, table.org, table.bucket, table.timeout_s, ca_file)
        try:
            return InfluxRemote(address, token(table), table.source or shop)
        except OSError as error:
            raise RemoteRefuses(f"ca_file: found {table.ca_file} ({error}); would be right: a certificate") from error

    return connect


def token(table: RemoteTable) -> str | None:
    """The remote's token, from its file or the environment; None if the table names neither.

    Raises RemoteRefuses saying what is wrong with the file or the variable, never what it holds.
    """
    if table.token_env is not None:
        text, where = os.environ.get(table.token_env, ""), f"token_env: {table.token_env}"
    elif table.token_file is not None:
        text, where = _private_text(table), f"token_file: {table.token_file}"
    else:
        return None
    text = text.strip()
    if not text or not text.isascii() or not text.isprintable():
        found = "nothing" if not text else "text that is no token"
        raise RemoteRefuses(f"{where}: found {found}; would be right: the remote's token, one line of plain letters")
    return text


def _private_text(table: RemoteTable) -> str:
    assert table.token_file is not None  # noqa: S101 - asked for it above
    try:
        with table.token_file.open(encoding="utf-8") as file:
            mode = stat.S_IMODE(os.fstat(file.fileno()).st_mode)
            if mode & 0o077:
                found = f"mode {mode:o}, others may read it"
                raise RemoteRefuses(f"token_file: {table.token_file}: found {found}; would be right: mode 600")
            return file.read(10_000)
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "no text"
        right = "a file of mode 600 that this user may read, holding the token"
        raise RemoteRefuses(f"token_file: {table.token_file}: found {why}; would be right: {right}") from error
