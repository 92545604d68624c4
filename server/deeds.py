"""What a person does to an alert: the command, its answer, and what the journal says of it."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict, ValidationError

from server.alerts.book import AlertBook, UnknownAlert, WrongState
from server.alerts.shelving import Deed, acknowledge, shelve, told_now, unshelve
from server.clock import Instant
from server.reading import Alert, AlertState, JournalEntry
from server.stores.port import OtherCommand, Reply


@dataclass(frozen=True, slots=True)
class AlertCommand:
    """What a person does to an alert. ``command_id`` is made by the client: the same id twice is one deed."""

    command_id: str
    deed: Deed
    alert: str
    hours: float = 0.0


class CommandDone(BaseModel):
    """The answer to a command; ``repeated`` when the id had been carried out before, ``already`` when somebody else, or
    the air, had seen to it before this one came: then it changed nothing."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    alert: str
    state: AlertState
    version: str
    already: bool = False


def answered_before(command: AlertCommand, earlier: Reply, version: str) -> CommandDone:
    """The answer to a command that was carried out before. Raises OtherCommand where its id was another's."""
    try:
        done = CommandDone.model_validate({**earlier, "repeated": True, "version": version})
    except ValidationError:
        raise OtherCommand(command.command_id) from None
    if done.alert != command.alert:
        raise OtherCommand(command.command_id)
    return done


def carried_out(book: AlertBook, command: AlertCommand, now: Instant) -> tuple[AlertBook, Alert, list[Alert]]:
    """The book after it, the alert as it then stands, and the alerts that changed: also what came and went while nobody
    was there, for now somebody is. Raises AlertError (unknown, wrong state, no such time)."""
    after, alert = _done(book, command, now)
    told_book, told = told_now(after, now.wall_ms)
    return told_book, alert, told if after is book else [alert, *told]


def _done(book: AlertBook, command: AlertCommand, now: Instant) -> tuple[AlertBook, Alert]:
    match command.deed:
        case "acknowledge":
            return acknowledge(book, command.alert, now.wall_ms)
        case "shelve":
            return shelve(book, command.alert, command.hours, now_ms=now.wall_ms, mono_s=now.mono_s)
        case "unshelve":
            return unshelve(book, command.alert, now_ms=now.wall_ms, mono_s=now.mono_s)


def over_already(command: AlertCommand, alert: Alert | None) -> Alert:
    """The alert of a command for which none stands any more, as the record has it: to acknowledge it is done already.
    Raises UnknownAlert for one that never was, WrongState for what cannot be done to one that is over."""
    if alert is None:
        raise UnknownAlert("alert", command.alert, "the id of an alert in the snapshot")
    if command.deed != "acknowledge":
        raise WrongState("alert", alert.state, "an alert that stands; this one is over")
    return alert


def entry_of(command: AlertCommand, alert: Alert, now: Instant) -> JournalEntry:
    """What the journal says of it; the command's id makes writing it twice once."""
    data: dict[str, object] = {"alert": alert.id, "rule": alert.rule, "state": alert.state}
    if command.deed == "shelve":
        data["hours"] = command.hours
    kinds = {"acknowledge": "acknowledged", "shelve": "shelved", "unshelve": "unshelved"}
    return JournalEntry(command.command_id, now.wall_ms, kinds[command.deed], alert.subject, data)
