"""A figure: what was measured, against which goal, over how many runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal


@dataclass(frozen=True, slots=True)
class Figure:
    """``values`` are the runs'; the figure is their median. ``sense`` says which side of ``goal`` is good. ``note`` is
    what belongs beside it, such as the absolute rate behind a ratio."""

    name: str
    unit: str
    goal: float
    sense: Literal["at least", "at most"]
    values: tuple[float, ...]
    note: str = ""

    @property
    def value(self) -> float:
        return median(self.values)

    @property
    def holds(self) -> bool:
        return self.value >= self.goal if self.sense == "at least" else self.value <= self.goal

    def document(self) -> dict[str, object]:
        """What ``--json`` gives of it."""
        return {"value": self.value, "unit": self.unit, "goal": self.goal, "holds": self.holds}

    def line(self) -> str:
        """A row of the table: least, middle and greatest of its runs."""
        low, high = min(self.values), max(self.values)
        spread = f"{low:>10.4g} {self.value:>10.4g} {high:>10.4g}"
        held = "holds" if self.holds else "MISSES"
        return f"{self.name:34} {spread} {self.unit:4} {self.sense} {self.goal:<8g} {held:7} {self.note}"


HEADER = f"{'figure':34} {'least':>10} {'median':>10} {'most':>10} unit goal"


def percentile(values: Sequence[float], share: float) -> float:
    """The value below which ``share`` (0..1) of the values lie, the next greater one where it falls between two."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]
