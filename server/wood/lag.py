"""What follows another figure with a delay: dy/dt = (x - y) / tau, solved exactly."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.ranges import rising, within


def first_order(time_s: ArrayLike, drive: ArrayLike, tau_s: ArrayLike, start: ArrayLike | None = None) -> Floats:
    """``y`` at each time, where ``drive`` runs in straight lines between its samples.

    ``time_s`` (n,) in s, rising, any steps; ``drive`` (..., n); ``tau_s`` > 0 s, broadcast over the leading axes;
    ``start`` is y at the first time, else the first drive. Returns (..., n). Over a step h, with x = h / tau,
    e = exp(-x) and g = (1 - e) / x: y1 = e y0 + (g - e) x0 + (1 - g) x1, exact for a straight drive, stable for every
    step. Steps are chained by doubling (an affine map of an affine map is one), so there is no loop over time. Raises
    ValueError for time that stands still or goes back, values that are no numbers, unequal lengths.
    """
    t = rising("time_s", time_s)
    x = np.asarray(drive, dtype=np.float64)
    if x.shape[-1:] != t.shape or not np.all(np.isfinite(x)):
        raise ValueError(f"drive: found shape {x.shape} or gaps; would be right: a number for each of {t.size} times")
    tau = within("tau_s", tau_s, 0, 1e12, "s", open_below=True)[..., None]
    first = x[..., :1] if start is None else np.asarray(start, dtype=np.float64)[..., None]
    step = np.diff(t) / tau
    keep = np.exp(-step)
    mean = -np.expm1(-step) / step
    add = (mean - keep) * x[..., :-1] + (1.0 - mean) * x[..., 1:]
    keep, add = (np.array(part) for part in np.broadcast_arrays(keep, add))
    reach = 1
    while reach < keep.shape[-1]:
        add[..., reach:] += keep[..., reach:] * add[..., :-reach].copy()
        keep[..., reach:] *= keep[..., :-reach].copy()
        reach *= 2
    after = keep * first + add
    return np.concatenate([np.broadcast_to(first, (*after.shape[:-1], 1)), after], axis=-1)
