"""What a guess is: how a wire seems to be written, how sure that is, and what speaks for it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sensors.meaning import Reading, Sure

Values = Mapping[str, float | int | str]
Options = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for a guess, or why there is none: a sentence's key and its figures."""

    key: str
    values: Values = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Guess:
    """What a wire seems to say. ``options`` is what the source's table has to say beside id, kind and place;
    ``devices`` are the names heard ("" where there is one without a name); ``read`` of ``heard`` lines are understood.
    """

    options: Options
    reading: Reading
    devices: tuple[str, ...]
    sure: Sure
    why: tuple[Reason, ...]
    read: int
    heard: int


def shown(text: str, most: int = 60) -> str:
    """A text of a device's as a person can look at it, cut to a length."""
    safe = "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in text)
    return safe if len(safe) <= most else safe[: most - 1] + "…"
