"""The sentences of one language, read from its Fluent files: ``en.ftl``, and others of its parts beside it."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import get_args

from fluent.runtime import FluentBundle, FluentResource

from server.words.functions import Language, Units, functions

log = logging.getLogger(__name__)

FALLBACK = "en"

SayValues = Mapping[str, float | int | str]


class WordsError(Exception):
    """A language without a file; or, where words are strict, a sentence that cannot be said."""


@cache
def languages() -> tuple[str, ...]:
    """The languages there is a file for."""
    return tuple(sorted({f.name.split(".", 1)[0] for f in files("server.words").iterdir() if f.name.endswith(".ftl")}))


def texts(language: str) -> list[str]:
    """What the Fluent files of a language hold."""
    found = (f for f in files("server.words").iterdir() if f.name.endswith(".ftl"))
    ours = sorted((f for f in found if f.name.split(".", 1)[0] == language), key=lambda f: f.name)
    return [f.read_text(encoding="utf-8") for f in ours]


class Words:
    """One language. ``strict`` is for tests: what cannot be said raises there; on the wall it is said in English, else
    shows as ``[key]``, and is logged once, since a missing sentence must not take the figures away with it.

    Raises :class:`WordsError` for a language that may not be asked for.
    """

    def __init__(self, language: str = FALLBACK, *, strict: bool = False) -> None:
        if language not in get_args(Language):
            raise WordsError(f"language: found '{language}'; would be right: one of {', '.join(get_args(Language))}")
        self.language = language
        self.strict = strict
        self._bundles = {units: _bundle(language, units) for units in ("metric", "imperial")}

    def say(self, key: str, values: SayValues | None = None, units: Units = "metric") -> str:
        """The sentence with its values put in."""
        text, problem = _said(self._bundles[units], key, values)
        return self._miss(key, values, units, problem) if problem else text

    def speaking(self, key: str) -> Words:
        """Itself, or English where this language does not have the sentence: its values are then said in English too,
        and no sentence is half in one language and half in another."""
        if self.language == FALLBACK or self._bundles["metric"].has_message(key):
            return self
        _log_once(self.language, key, "no such sentence")
        return Words(FALLBACK, strict=self.strict)

    def _miss(self, key: str, values: SayValues | None, units: Units, problem: str) -> str:
        if self.strict:
            raise WordsError(f"{self.language}: cannot say '{key}': {problem}")
        _log_once(self.language, key, problem)
        text, problem = _said(_bundle(FALLBACK, units), key, values)
        return f"[{key}]" if problem else text


_missed: set[tuple[str, str]] = set()
"""What was logged already: each request makes its own :class:`Words`."""


def _log_once(language: str, key: str, problem: str) -> None:
    if (language, key) not in _missed:
        _missed.add((language, key))
        log.error("Cannot say '%s' in '%s': %s", key, language, problem)


def _said(bundle: FluentBundle, key: str, values: SayValues | None) -> tuple[str, str]:
    """The text, and why it cannot be said."""
    if not bundle.has_message(key):
        return "", "no such sentence"
    text, errors = bundle.format_pattern(bundle.get_message(key).value, dict(values or {}))
    return str(text), "; ".join(str(e) for e in errors)


@cache  # reading the file takes a tenth of a second; nothing is put into a bundle once it is made
def _bundle(language: str, units: Units) -> FluentBundle:
    bundle = FluentBundle([language], functions=dict(functions(units, language)), use_isolating=False)
    for text in texts(language):
        bundle.add_resource(FluentResource(text))
    return bundle
