"""The words of making: what a command that changes the configuration is answered, what it may be refused for, and what
the journal says of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict

from server.reading import JournalEntry, MadeKind

ChangeKind = Literal["made", "changed", "removed"]
CHANGES: tuple[ChangeKind, ...] = ("made", "changed", "removed")
"""Kinds of journal entry for what is configured at the wall."""


class Locked(Exception):
    """It stands in the configuration file, and only there may it be changed. The text is for a person."""


class Unknown(Exception):
    """There is no such thing. The text says which there are."""


class NothingAsked(Exception):
    """Nothing waits for a person at this source."""


@dataclass(eq=False)
class InUse(Exception):
    """It cannot be taken away, or not be changed like that: ``found`` names what rests on it."""

    found: str
    would_be_right: str


class MadePart(BaseModel):
    """One thing that was made, changed or taken away."""

    model_config = ConfigDict(extra="forbid")
    kind: MadeKind
    id: str


class MakingDone(BaseModel):
    """The answer to a command; ``repeated`` when the id had been carried out before; ``later`` are the settings that
    count from the next start on."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    made: list[MadePart]
    gone: list[MadePart]
    changed: list[MadePart] = []
    later: list[str] = []
    version: str


def asked(deed: str, **content: object) -> str:
    """A mark of all that a command asks, so that its id with other content is told. Holds nothing of it."""
    text = json.dumps([deed, content], sort_keys=True, default=str)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


class By(NamedTuple):
    """Whose command, and when."""

    command_id: str
    who: str
    now_ms: int


def change_entry(
    kind: ChangeKind,
    part: tuple[MadeKind, str],
    by: By,
    before: Mapping[str, object] | None = None,
    after: Mapping[str, object] | None = None,
) -> JournalEntry:
    """What the journal says of a change: who, when, of what, from what to what."""
    what, name = part
    data: dict[str, object] = {"recorded_ms": by.now_ms, "who": by.who, "what": what, "from": before, "to": after}
    return JournalEntry(f"{kind}:{by.command_id}:{what}:{name}", by.now_ms, kind, name, data)
