"""The seam between the wall and the server: what the window asks of a client, and the values that cross.

A client never touches a widget and a window never waits for a client. ``tests/kiosk/test_client_contract.py`` runs over
every member.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol
from uuid import uuid4

Snapshot = dict[str, Any]
Deed = Literal["acknowledge", "shelve", "unshelve"]


@dataclass(frozen=True, slots=True)
class Command:
    """One deed on one alert. ``command_id`` is made once, so that a deed sent twice is done once."""

    alert: str
    deed: Deed
    hours: float | None = None
    command_id: str = field(default_factory=lambda: str(uuid4()))

    @property
    def path(self) -> str:
        return f"/api/alerts/{self.alert}/{self.deed}"

    def body(self) -> dict[str, object]:
        extra: dict[str, object] = {} if self.hours is None else {"hours": self.hours}
        return {"command_id": self.command_id, **extra}


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a command stands. ``reason`` says why it was refused (by the server) or failed (never reached it)."""

    command: Command
    status: Literal["sending", "done", "refused", "failed"]
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Link:
    """How the server is reached: ``starting`` until the first answer or failure, then ``live`` or ``away`` and why."""

    state: Literal["starting", "live", "away"] = "starting"
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Update:
    """All a window needs: the last snapshot (None before the first), the link, and the newest command's outcome."""

    snapshot: Snapshot | None = None
    link: Link = Link()
    outcome: Outcome | None = None


class Client(Protocol):
    """One connection to the server, at work on a thread of its own."""

    def start(self, on_change: Callable[[], None]) -> None:
        """Begin. ``on_change`` is called from the client's thread when :meth:`latest` differs; it must not block."""

    def latest(self) -> Update:
        """What is known now; from any thread. Older states are gone: a window only ever draws the last one."""

    def send(self, command: Command) -> None:
        """Queue a deed and return at once; its outcome shows in :meth:`latest`."""

    def stop(self) -> None:
        """End within a second; from any thread, also twice, also before :meth:`start`."""
