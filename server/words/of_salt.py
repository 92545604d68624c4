"""What is said of a salt check: what it waits for, what it found, and the cautions that go with salts."""

from __future__ import annotations

from collections.abc import Mapping

from server.words.keys import SENTENCES
from server.words.sentence import Sentence, Value

CAUTION = Sentence("caution-salt")
_KEYS = {
    "unheard": "salt-unheard",
    "short": "salt-short",
    "moving": "salt-moving",
    "scattered": "salt-scattered",
    "warming": "salt-warming",
    "saturated": "salt-saturated",
    "outside": "salt-outside",
    "steady": "salt-steady",
    "done": "salt-done",
    "done between rows": "salt-done-between",
    "done by two": "salt-done-two",
    "done by two between rows": "salt-done-two-between",
    "given up": "salt-given-up",
    "withdrawn": "salt-withdrawn",
}


def check_line(state: str, figures: Mapping[str, Value]) -> Sentence:
    """What a check is about, by its state or by what it waits for; of the figures it takes those it needs."""
    key = _KEYS[state]
    return Sentence(key, {name: figures[name] for name in SENTENCES[key]})
