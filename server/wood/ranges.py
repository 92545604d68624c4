"""Input that is out of range is refused by name, with the range and the unit."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats

INDOORS_C = (-20.0, 50.0)
OUTDOORS_C = (-50.0, 50.0)
WIDTH_M, WIDTH_UNIT = (0.001, 3.0), "m (1 to 3,000 mm)"
PER_PCT, PER_PCT_UNIT = (0.0, 0.02), "(a fraction per 1 % MC, not per cent)"
"""A coefficient of movement; wood's lie below 0.005."""


def within(name: str, given: ArrayLike, low: float, high: float, unit: str, *, open_below: bool = False) -> Floats:
    """``given`` as floats, all of them in low..high (``open_below``: above low). Raises ValueError; nan is refused."""
    span = f"above {low:g} to {high:,g}" if open_below else f"{low:g} to {high:,g}"
    try:
        values = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"{name}: found {given!r:.60}; would be right: {span} {unit}".rstrip()) from None
    fits = (values <= high) & ((values > low) if open_below else (values >= low))
    if not np.all(fits):
        found = np.atleast_1d(values)[~np.atleast_1d(fits)][0]
        raise ValueError(f"{name}: found {found:g}; would be right: {span} {unit}".rstrip())
    return values


def rising(name: str, given: ArrayLike) -> Floats:
    """``given`` as one row of finite times that never stand still or go back. Raises ValueError naming the place."""
    values = np.asarray(given, dtype=np.float64)
    if values.ndim != 1 or not np.all(np.isfinite(values)):
        raise ValueError(
            f"{name}: found shape {values.shape} or a time that is no number; would be right: one row of times"
        )
    back = np.flatnonzero(np.diff(values) <= 0)
    if back.size:
        at = int(back[0])
        found = f"{values[at + 1]:g} after {values[at]:g} at row {at + 1}"
        raise ValueError(f"{name}: found {found}; would be right: each time after the one before")
    return values


def alike(**given: ArrayLike) -> None:
    """All of ``given`` have one shape. Raises ValueError naming those that differ."""
    shapes = {name: np.shape(values) for name, values in given.items()}
    if len(set(shapes.values())) > 1:
        found = ", ".join(f"{name} {shape}" for name, shape in shapes.items())
        raise ValueError(f"{' and '.join(shapes)}: found shapes {found}; would be right: one length for all")
