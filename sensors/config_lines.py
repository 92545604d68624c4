"""Tables as lines of TOML that a person may copy into the configuration."""

from __future__ import annotations

import json
from collections.abc import Mapping


def table_lines(header: str, row: Mapping[str, object]) -> str:
    """One ``[[header]]`` with its keys, in their order; what is None is left out. Values are text, numbers, truths,
    lists of text, and tables of text."""
    lines = [f"[[{header}]]", *(f"{key} = {_value(value)}" for key, value in row.items() if value is not None)]
    return "\n".join(lines) + "\n"


def _value(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_text(str(key))} = {_value(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    return _text(str(value))


def _text(text: str) -> str:
    """A basic string of TOML 1.0: escapes are JSON's, and one control character more must be escaped."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
