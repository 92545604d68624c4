"""The sentences of one language, read from its Fluent files: ``en.ftl``, and others of its parts beside it."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from fluent.runtime import FluentBundle, FluentResource

from server.words.functions import Units, functions

log = logging.getLogger(__name__)

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
    """One language. ``strict`` is for tests: what cannot be said raises there; on the wall it shows as ``[key]`` and is
    logged once, since a missing sentence must not take the figures away with it.

    Raises :class:`WordsError` for a language without a file.
    """

    def __init__(self, language: str = "en", *, strict: bool = False) -> None:
        if language not in languages():
            raise WordsError(f"language: found '{language}'; would be right: one of {', '.join(languages())}")
        self.language = language
        self.strict = strict
        self._bundles = {units: _bundle(language, units) for units in ("metric", "imperial")}
        self._missed: set[str] = set()

    def say(self, key: str, values: SayValues | None = None, units: Units = "metric") -> str:
        """The sentence with its values put in."""
        bundle = self._bundles[units]
        if not bundle.has_message(key):
            return self._miss(key, "no such sentence")
        text, errors = bundle.format_pattern(bundle.get_message(key).value, dict(values or {}))
        if errors:
            return self._miss(key, "; ".join(str(e) for e in errors))
        return str(text)

    def _miss(self, key: str, reason: str) -> str:
        if self.strict:
            raise WordsError(f"{self.language}: cannot say '{key}': {reason}")
        if key not in self._missed:
            self._missed.add(key)
            log.error("Cannot say '%s' in '%s': %s", key, self.language, reason)
        return f"[{key}]"


@cache  # reading the file takes a tenth of a second; nothing is put into a bundle once it is made
def _bundle(language: str, units: Units) -> FluentBundle:
    bundle = FluentBundle([language], functions=dict(functions(units)), use_isolating=False)
    for text in texts(language):
        bundle.add_resource(FluentResource(text))
    return bundle
