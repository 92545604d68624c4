"""The kiosk's own words, one Fluent file a language (and others of its parts beside it: ``en.ftl``, ``en.rack.ftl``).

Labels and what the window says of itself; sentences about air and wood come from the server, in the same language. A
key is written in full, or as an f-string whose beginning is (``f"screen-{name}"``): a test finds every use of it.
"""

from __future__ import annotations

import logging
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fluent.runtime import FluentBundle

log = logging.getLogger(__name__)

FALLBACK = "en"
FOLDER = Path(__file__).parent

strict_by_default = False
"""Tests set it: there, what cannot be said is an error."""

Value = str | int | float


class WordsError(Exception):
    """A language without a file; or, where words are strict, a text that cannot be said."""


@cache
def languages() -> tuple[str, ...]:
    """The languages there is a file for."""
    return tuple(sorted({f.name.split(".", 1)[0] for f in FOLDER.glob("*.ftl")}))


class Words:
    """One language: ``words("shelved-until", at="7:42")``.

    On the wall a text that cannot be said is said in English, else by its key, and logged once: a missing word must not
    take the figures away with it. ``strict`` (None: as the module says) raises there instead.

    Raises :class:`WordsError` for a language without a file.
    """

    def __init__(self, language: str = FALLBACK, *, strict: bool | None = None) -> None:
        if language not in languages():
            raise WordsError(f"language: found '{language}'; would be right: one of {', '.join(languages())}")
        self.language = language
        self.strict = strict_by_default if strict is None else strict
        self._plain: dict[str, str] = {}
        self._missed: set[str] = set()

    def __call__(self, key: str, /, **values: Value) -> str:
        """The text with its values put in. A whole number chooses the plural; a figure comes as a text already."""
        if not values and key in self._plain:
            return self._plain[key]
        text, problem = _said(self.language, key, values)
        if problem:
            return self._miss(key, values, problem)
        if not values:
            self._plain[key] = text
        return text

    def has(self, key: str) -> bool:
        """Whether there is such a text."""
        return bool(_bundle(self.language).has_message(key))

    def _miss(self, key: str, values: dict[str, Value], problem: str) -> str:
        if self.strict:
            raise WordsError(f"{self.language}: cannot say '{key}': {problem}")
        if key not in self._missed:
            self._missed.add(key)
            log.warning("cannot say '%s' in '%s': %s", key, self.language, problem)
        text, problem = _said(FALLBACK, key, values)
        return key if problem else text


def _said(language: str, key: str, values: dict[str, Value]) -> tuple[str, str]:
    """(text, why it cannot be said)"""
    bundle = _bundle(language)
    if not bundle.has_message(key):
        return "", "no such words"
    pattern = bundle.get_message(key).value
    if pattern is None:
        return "", "it has no text"
    text, errors = bundle.format_pattern(pattern, values)
    return str(text), "; ".join(str(error) for error in errors)


@cache
def _bundle(language: str) -> FluentBundle:
    """Read at the first word: a language nobody chose is never read."""
    from fluent.runtime import FluentBundle, FluentResource  # noqa: PLC0415 - the client is under way before it is read

    bundle = FluentBundle([language], use_isolating=False)
    for path in sorted(FOLDER.glob(f"{language}.*ftl")):
        bundle.add_resource(FluentResource(path.read_text(encoding="utf-8")))
    return bundle
