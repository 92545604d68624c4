"""What the tables of all kinds of source have in common."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from sensors import decoding

Keys = Annotated[
    dict[str, decoding.Field],
    Field(default_factory=dict, description="names of your own for the fields, as name = field"),
]


def right(reason: str) -> str:
    """What would be right, out of a reason: the configuration's report says itself what was found."""
    return reason.rpartition("would be right: ")[2]


def must(check: Callable[[str], str | None]) -> AfterValidator:
    """A validator out of a check that gives a reason or None."""

    def validate(value: str) -> str:
        if reason := check(value):
            raise ValueError(right(reason))
        return value

    return AfterValidator(validate)


class SourceTable(BaseModel):
    """What every table says."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    id: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="your name for it, small letters")]
    keys: Keys
    temperature_unit: Annotated[
        decoding.TemperatureUnit, Field(description="unit of a temperature that does not say its own")
    ] = "C"


SECRET_LIMIT = 65535
"""Bytes; what MQTT (5.0, section 3.1.3.6) can send as a password."""


def secret(named: Path | str) -> str:
    """What a file of mode 600 or an environment variable holds. Raises ValueError: what is wrong, never the secret."""
    held = _of_environment(named) if isinstance(named, str) else _of_file(named)
    if len(held.encode()) > SECRET_LIMIT:
        raise ValueError(f"a secret of at most {SECRET_LIMIT} bytes")
    return held


def _of_environment(name: str) -> str:
    if name not in os.environ:
        raise ValueError("an environment variable that is set")
    held = os.environ[name]
    if not held.isprintable():  # bytes that are no UTF-8 too: the library's complaint would show the character
        raise ValueError("an environment variable that holds printable text")
    return held


def _of_file(path: Path) -> str:
    if not str(path).isprintable():
        raise ValueError("the name of a text file of mode 600, in printable characters")
    try:
        mode = stat.S_IMODE(path.stat().st_mode)
        if mode & 0o077:
            raise ValueError(f"a file that only its owner may read: chmod 600 {path} (it has mode {mode:o})")
        return path.read_text(encoding="utf-8").rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as err:
        why = err.strerror if isinstance(err, OSError) else "not text"
        raise ValueError(f"a text file of mode 600 that we may read ({why})") from None
