"""A sentence before it is said: its key and values, in no language yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from server.words.figures import at_text, date_text, day_text, stamp_text
from server.words.functions import Units
from server.words.loader import Words


@dataclass(frozen=True, slots=True)
class When:
    """A moment that becomes a text only when the language is known: ``at`` near ``now_ms``, a ``day``, a ``stamp``, a
    ``date`` of any year."""

    t_ms: int
    now_ms: int
    timezone: str
    style: Literal["at", "day", "stamp", "date"] = "at"

    def text(self, words: Words) -> str:
        """The moment in words."""
        match self.style:
            case "at":
                return at_text(self.t_ms, self.now_ms, self.timezone, words)
            case "day":
                return day_text(self.t_ms, self.timezone, words)
            case "stamp":
                return stamp_text(self.t_ms, self.timezone, words)
            case "date":
                return date_text(self.t_ms, self.timezone, words)


Value = float | int | str | When


@dataclass(frozen=True, slots=True)
class Sentence:
    """One of the keys of :mod:`server.words.keys` and the values it needs, each with its unit in its name."""

    key: str
    values: Mapping[str, Value] = field(default_factory=dict)


def render(sentence: Sentence, words: Words, units: Units = "metric") -> dict[str, object]:
    """The sentence as documents carry it: ``{"text", "key", "values"}``, moments in the values said as text. All of it
    is English where the language asked for lacks the sentence."""
    words = words.speaking(sentence.key)
    values = {name: v.text(words) if isinstance(v, When) else v for name, v in sentence.values.items()}
    return {"text": words.say(sentence.key, values, units), "key": sentence.key, "values": values}
