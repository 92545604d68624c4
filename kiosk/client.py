"""The seam between the wall and the server: what the window asks of a client, and the values that cross.

A client never touches a widget and a window never waits for a client. ``tests/kiosk/test_client_contract.py`` runs over
every member.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
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
class Ask:
    """A question to the server, under a ``key`` of the asker's: a newer one with that key takes its place. ``body`` is
    sent along where the door asks for one; nothing is changed there by it."""

    key: str
    path: str
    query: tuple[tuple[str, str], ...] = ()
    body: Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class Tell:
    """Something to be written down, under a ``key``. Its body holds an id that was made once, or says the same however
    often it is sent, so that told twice is done once."""

    key: str
    path: str
    body: Mapping[str, Any] | None = None
    method: Literal["POST", "PUT", "DELETE"] = "POST"


@dataclass(frozen=True, slots=True)
class Refused:
    """Why: the field, what was found there and what would be right, as far as the server said; ``text`` is one
    sentence."""

    text: str
    field: str = ""
    found: str = ""
    would_be_right: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """How an :class:`Ask` or :class:`Tell` stands. ``document`` is what was answered (while it is asked again, what was
    answered before); ``refused`` says why the server would not, or why nothing came (``failed``)."""

    of: Ask | Tell
    status: Literal["sending", "here", "refused", "failed"]
    document: Any = None
    refused: Refused | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """How the server is reached: ``starting`` until the first answer or failure, then ``live`` or ``away`` and why."""

    state: Literal["starting", "live", "away"] = "starting"
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Update:
    """All a window needs: the last snapshot (None before the first), the link, the newest command's outcome, and by its
    key the newest answer to whatever else was asked or told."""

    snapshot: Snapshot | None = None
    link: Link = Link()
    outcome: Outcome | None = None
    answers: Mapping[str, Answer] = field(default_factory=dict)


class Client(Protocol):
    """One connection to the server, at work on a thread of its own."""

    def start(self, on_change: Callable[[], None]) -> None:
        """Begin. ``on_change`` is called from the client's thread when :meth:`latest` differs; it must not block."""

    def latest(self) -> Update:
        """What is known now; from any thread. Older states are gone: a window only ever draws the last one."""

    def send(self, command: Command) -> None:
        """Queue a deed and return at once; its outcome shows in :meth:`latest`."""

    def ask(self, ask: Ask) -> None:
        """Ask and return at once; the answer shows in :meth:`latest` under its key. What was asked under that key
        before is not waited for any longer."""

    def tell(self, tell: Tell) -> None:
        """As :meth:`ask`; what cannot be delivered is tried again for a minute. One told under the same key before goes
        on, and its answer is no longer shown."""

    def forget(self, keys: Iterable[str]) -> None:
        """Show these answers no longer, nor any that is still to come; what was told is told."""

    def use(self, language: str, units: str) -> None:
        """Ask in that language and those units from now on, and for the whole snapshot at once. Answers that stand are
        not asked again by themselves."""

    def stop(self) -> None:
        """End within a second; from any thread, also twice, also before :meth:`start`."""
