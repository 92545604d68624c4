"""What pydantic refuses, in a problem document's words: where in the document that was sent, what was found there, and
what would be right, which is the field's own description where it has one."""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

LONGEST_FOUND, LONGEST_FIELD, LONGEST_SAID = 100, 120, 300
"""Characters of what somebody sent that are repeated to them, of a field's place, and of what we say was found."""
_PLAIN = (("Input should be ", ""), ("String should have ", ""), ("Value error, ", ""), ("List should have ", ""))


def shortened(text: str, most: int = LONGEST_FOUND) -> str:
    """The beginning of a text that is too long to be repeated, and how long it was."""
    end = f"… ({len(text):,} signs)"
    return text if len(text) <= most else text[: most - len(end)] + end


@dataclass(frozen=True, slots=True)
class Refusal:
    """Where, what was found, what would be right."""

    field: str
    found: str
    would_be_right: str


def refusal(model: Any, error: Mapping[str, Any]) -> Refusal:
    """One error of pydantic's about a body of ``model`` (None where it is about no body)."""
    where, *parts = error["loc"]
    found, kind = _shown(error.get("input")), error["type"]
    right = str(error["msg"])
    for begins, instead in _PLAIN:
        right = instead + right.removeprefix(begins) if right.startswith(begins) else right
    path, place = [str(part) for part in parts], None
    if where == "body" and model is not None:
        path, place = _walked(model, parts)
        right = place.said or right
    if kind in {"union_tag_invalid", "union_tag_not_found"}:
        path.append(str(error["ctx"]["discriminator"]).strip("'"))
        right = f"one of {', '.join(map(repr, _tags(place)))}"
        found = _shown(error["ctx"]["tag"]) if "tag" in error["ctx"] else "nothing"
    elif kind == "missing":
        # What is missing is missing from the whole body, which is not sent back: there may be a secret in it.
        found, right = "nothing", (place.said if place is not None and place.said else "a value; it has no default")
    elif kind == "extra_forbidden" and place is not None:
        found, right = "a field nobody asked for", f"one of {', '.join(place.fields)}"
    elif kind == "model_attributes_type" and place is not None:
        right = f"an object with {', '.join(_fields(place))}"
        if tags := _tags(place):
            right = f"an object whose kind is one of {', '.join(map(repr, tags))}"
    elif kind == "value_error":
        right = str(error["msg"]).removeprefix("Value error, ")
        sent = error.get("input")
        if isinstance(sent, Mapping) and len(repr(sent)) > LONGEST_FOUND:  # what matters would be cut off
            found = "the fields " + ", ".join(sorted(str(name) for name in sent))
    return Refusal(shortened(".".join(path) or str(where), LONGEST_FIELD), found, right)


def _shown(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, str) and len(value) > LONGEST_FOUND:
        return f"{value[:40]!r}… ({len(value):,} signs)"
    return shortened(repr(value))


@dataclass(frozen=True, slots=True)
class _Place:
    kinds: tuple[Any, ...]
    """The types that may stand there."""
    said: str
    fields: tuple[str, ...] = ()
    """Those of the model around it."""


def _walked(model: Any, parts: Sequence[str | int]) -> tuple[list[str], _Place]:
    """The path without the tags that pydantic puts between, and what the schema has at its end."""
    path: list[str] = []
    place = _Place(*_opened(model))
    for n, part in enumerate(parts):
        models = [one for one in place.kinds if isinstance(one, type) and issubclass(one, BaseModel)]
        if len(models) > 1:  # a union's: the part is the tag, which the document has in a field of its own
            chosen = next((one for one in models if part in _tags(_Place((one,), ""))), None)
            place = _Place((chosen,) if chosen else (), place.said)
            continue
        if models:
            fields = tuple(models[0].model_fields)
            known = models[0].model_fields.get(str(part))
            kinds, said = ((), "") if known is None else _opened(known)
            place = _Place(kinds, said, fields)
        elif isinstance(part, int):
            place = _Place(*_opened(next((get_args(kind)[0] for kind in place.kinds if get_args(kind)), None)))
        elif n == len(parts) - 1 and path:  # a tag of pydantic's own, inside one field
            continue
        path.append(str(part))
    return path, place


def _opened(kind: Any) -> tuple[tuple[Any, ...], str]:
    """The alternatives of a type or a field, and its description."""
    if isinstance(kind, FieldInfo):
        inner, said = _opened(kind.annotation)
        return inner, kind.description or said
    if get_origin(kind) is Annotated:
        base, *more = get_args(kind)
        inner, said = _opened(base)
        return inner, next((one.description for one in more if isinstance(one, FieldInfo) and one.description), said)
    if get_origin(kind) in {Union, types.UnionType}:
        opened = [_opened(one) for one in get_args(kind)]
        return tuple(k for kinds, _ in opened for k in kinds), next((said for _, said in opened if said), "")
    return (kind,), ""


def _fields(place: _Place) -> list[str]:
    """Those of the models that may stand there."""
    models = [one for one in place.kinds if isinstance(one, type) and issubclass(one, BaseModel)]
    return list(dict.fromkeys(name for one in models for name in one.model_fields))


def _tags(place: _Place | None) -> list[str]:
    """What the field ``kind`` of the models that may stand there says."""
    found: list[str] = []
    for one in () if place is None else place.kinds:
        known = one.model_fields.get("kind") if isinstance(one, type) and issubclass(one, BaseModel) else None
        if known is not None and get_origin(known.annotation) is Literal:
            found += get_args(known.annotation)
    return found
