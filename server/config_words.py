"""What is wrong with one table of the configuration, as what was found and what would be right."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from typing import Any, get_args

from pydantic import BaseModel

HIDDEN = "a hidden value"
_SECRET = re.compile(r"password\w*|token\w*|\w+_env|\w+_file|host|url")
"""Keys at which somebody may have put a secret itself, or an address that holds one: that is not repeated, as what is
said here goes into logs and answers."""


def nearest(name: str, known: Iterable[str]) -> str:
    names = list(known)
    close = difflib.get_close_matches(name, names, n=2, cutoff=0.6)
    return " or ".join(f"'{c}'" for c in close) if close else "one of " + ", ".join(names)


def explained(error: Any, model: type[BaseModel]) -> tuple[str, str]:
    """Pydantic's error as what was found and what would be right."""
    kind, value = error["type"], error.get("input")
    key = str(error["loc"][0]) if error["loc"] else ""
    # A port is a number here or, where a device's name stands there, no secret.
    hides = _SECRET.fullmatch(key) is not None or (key == "port" and kind.startswith("int"))
    if kind == "missing":
        return "nothing", "a value; it has no default"
    if kind == "hidden":  # what was found may hold a secret
        return str(error["ctx"]["found"]), str(error["ctx"]["right"])
    if kind == "extra_forbidden":
        return "a key nobody knows", nearest(str(error["loc"][-1]), _keys_at(model, error["loc"][:-1]))
    shown = HIDDEN if hides and value is not None else repr(value)
    if kind == "value_error":
        return str(error["ctx"].get("found", shown)), str(error["ctx"]["error"])
    return shown, error["msg"].removeprefix("Input should ").removeprefix("be ") if value is not None else "a value"


def _keys_at(model: type[BaseModel], path: Iterable[Any]) -> list[str]:
    """The keys of the table that lies at ``path`` within a table of ``model``."""
    for step in path:
        if isinstance(step, str):
            options = {field.alias or name: field for name, field in model.model_fields.items()}
            model = next(_tables_in(options[step].annotation), model)
    return [field.alias or name for name, field in model.model_fields.items()]


def _tables_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _tables_in(part)
