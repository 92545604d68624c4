"""Which keys somebody means who types a name: words in any order, near spellings, trade and botanical names."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher

_LIKE = 0.75
"""Words less alike than this (matching letters, twice, over all letters) are other words."""
_ENOUGH = 0.6
_BY_KEY = 0.02
"""So much nearer is one whose very key is meant than one that is only called so too."""
_EMPTY = frozenset({"wood", "timber", "lumber", "the", "of", "common", "tree", "spp", "sp", "and"})


def nearest_keys(found: str, names: Mapping[str, Iterable[str]], most: int = 5) -> list[str]:
    """Up to ``most`` keys, best first, that are like ``found`` or called like it: ``names`` are the other names of each
    key. Empty where none is."""
    wanted = _words(found)
    scores = {
        key: max(_likeness(wanted, _words(key)) + _BY_KEY, *(_likeness(wanted, _words(name)) for name in called), 0.0)
        for key, called in names.items()
    }
    likely = sorted((key for key, score in scores.items() if score >= _ENOUGH), key=lambda key: (-scores[key], key))
    return likely[:most]


def _words(text: str) -> list[str]:
    words = re.findall(r"[^\W\d_]+", text.lower())
    return [word for word in words if word not in _EMPTY] or words


def _likeness(wanted: list[str], name: list[str]) -> float:
    """1 for the same words in any order; a word that is asked for and not there costs more than one too many."""
    if not wanted or not name:
        return 0.0
    together = SequenceMatcher(None, "".join(wanted), "".join(name)).ratio()
    there = sum(max(_alike(one, other) for other in name) for one in wanted) / len(wanted)
    return max(there - 0.05 * max(0, len(name) - len(wanted)), together if together >= _LIKE else 0.0)


def _alike(one: str, other: str) -> float:
    matcher = SequenceMatcher(None, one, other)
    if matcher.real_quick_ratio() < _LIKE or matcher.quick_ratio() < _LIKE:
        return 0.0
    ratio = matcher.ratio()
    return ratio if ratio >= _LIKE else 0.0
