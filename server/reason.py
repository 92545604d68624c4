"""Why an alert is kept back, as a value."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """Why an alert is suppressed by design: the key of a sentence, and what it is said with."""

    key: str
    values: dict[str, float | int | str]
