"""Where in a message a value stands: a dotted place such as ``climate.air.0.t``, or a template in its plainest form.

Of a template only ``{{ value }}``, the whole message, and ``{{ value_json.a['b'][0] }}``, one place in its JSON, are
understood. It is read as a place, once; nothing is ever evaluated.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from sensors.decoding import Unreadable

STEPS_LIMIT = 16
TEXT_LIMIT = 256

_TEMPLATE = re.compile(r"\{\{-?\s*(value_json|value)\b(.*?)\s*-?\}\}", re.ASCII | re.DOTALL)
_NAME = r"[^\s.\[\]'\"{}|()]{1,64}"
_STEP = re.compile(
    rf"\.({_NAME})|\[\s*'([^'\\]{{1,64}})'\s*\]|\[\s*\"([^\"\\]{{1,64}})\"\s*\]|\[\s*(\d{{1,3}})\s*\]", re.ASCII
)
_INDEX = re.compile(r"\d{1,3}", re.ASCII)
_PLAIN = "{{ value_json.a.b }} or {{ value }}, without filters or sums"


@dataclass(frozen=True, slots=True)
class Place:
    """A way into a JSON value: names of an object's entries, and whole numbers where a list is met. No steps mean the
    whole message as text. ``text`` is as it was written; a key that itself holds points is tried as that first."""

    text: str
    steps: tuple[str, ...]

    def look_up(self, value: object) -> object:
        """What stands there, None if nothing does."""
        if isinstance(value, Mapping) and self.text in value:
            return value[self.text]
        for step in self.steps:
            if isinstance(value, Mapping):
                value = value.get(step)
            elif isinstance(value, list) and _INDEX.fullmatch(step) and int(step) < len(value):
                value = value[int(step)]
            else:
                return None
        return value


def place(text: str) -> Place:
    """A dotted place or a template. Raises :class:`sensors.decoding.Unreadable` with what would be right."""
    if "{" in text or "}" in text:
        return template(text)
    _check_length(text)
    steps = tuple(text.split("."))
    if not all(steps) or len(steps) > STEPS_LIMIT or not text.isprintable():
        raise Unreadable(f"found {text[:80]!r}; would be right: up to {STEPS_LIMIT} names parted by points: air.0.t")
    return Place(text, steps)


def json_place(text: str) -> Place:
    """A place in JSON: not the whole message. Raises :class:`sensors.decoding.Unreadable`."""
    found = place(text)
    if not found.steps:
        raise Unreadable(f'found {text[:80]!r}; would be right: a place in the JSON, or format = "number"')
    return found


def check_place(text: str) -> str | None:
    """Why ``text`` is no place in JSON, with what would be right; None if it is one."""
    try:
        json_place(text)
    except Unreadable as err:
        return str(err)
    return None


def template(text: str) -> Place:
    """A template in its plainest form. Raises :class:`sensors.decoding.Unreadable` with what would be right."""
    _check_length(text)
    whole = _TEMPLATE.fullmatch(text.strip())
    if whole is None:
        raise Unreadable(f"found the template {text[:80]!r}; would be right: {_PLAIN}")
    root, rest = whole[1], whole[2].rstrip()
    steps: list[str] = []
    at = 0
    while at < len(rest) and (step := _STEP.match(rest, at)) is not None:
        steps.append(next(part for part in step.groups() if part is not None))
        at = step.end()
    if not all(map(str.isprintable, steps)):  # nor could it be written down in a reason
        raise Unreadable(f"found the template {text[:80]!r}; would be right: names of printable characters")
    if at < len(rest) or bool(steps) != (root == "value_json") or len(steps) > STEPS_LIMIT:
        found = rest[at:].strip() or (rest if root == "value" and rest else root)
        raise Unreadable(f"found {found[:40]!r} in the template {text[:80]!r}; would be right: {_PLAIN}")
    return Place(text, tuple(steps))


def _check_length(text: str) -> None:
    if not 1 <= len(text) <= TEXT_LIMIT:
        raise Unreadable(f"found {text[:40]!r}; would be right: a place of 1 to {TEXT_LIMIT} characters, such as air.t")
