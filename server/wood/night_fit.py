"""Robust least squares with bounds, and its spread over nights: the arithmetic under leakiness.py."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from server.wood.air import Floats

HUBER = 1.345
"""In units of the errors' scale: 95 % as good as plain squares where nothing is odd (Huber; from memory)."""
ROUNDS = 15
DRAWS = 400

_MEDIAN_OF_NORMAL = 0.6745
_FREE = ((0, 1, 2, 3), (0, 1, 3), (0, 2, 3), (1, 2, 3), (0, 3), (1, 3), (2, 3), (3,))
"""Which of the four unknowns are free while the others rest on their bound of 0; the last has no bound."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """``unknowns`` (4,) of the variant ``best``; ``drawn`` (DRAWS, 4) are those of nights drawn with replacement."""

    unknowns: Floats
    best: int
    drawn: Floats


def fit(columns: Floats, change: Floats, of_night: NDArray[np.int64], seed: int) -> Fitted:
    """The variant and its four unknowns, the first three not negative, whose errors are least.

    ``columns`` (variants, m, 4), ``change`` (m,), ``of_night`` (m,) rising. Errors beyond 1.345 times their scale count
    by their size instead of its square (Huber), by weights made anew in 15 rounds. Variants are compared on one scale;
    nights are drawn with the weights of the best, and each draw may choose another variant.
    """
    weight = np.ones(columns.shape[:2])
    for _ in range(ROUNDS):
        squares = np.einsum("vmi,vm,vmj->vij", columns, weight, columns)
        found, _ = _bounded(squares, np.einsum("vmi,vm,m->vi", columns, weight, change))
        miss = np.abs(change - np.einsum("vmi,vi->vm", columns, found))
        scale = np.maximum(np.median(miss, axis=1, keepdims=True) / _MEDIAN_OF_NORMAL, 1e-9)
        weight = np.minimum(1.0, HUBER * scale / np.maximum(miss, 1e-12))
    edge = HUBER * scale.min()
    loss = np.where(miss <= edge, miss**2, edge * (2.0 * miss - edge)).sum(axis=1)
    best = int(np.argmin(loss))
    return Fitted(found[best], best, _drawn(columns, change, weight[best], of_night, seed))


def _drawn(columns: Floats, change: Floats, weight: Floats, of_night: NDArray[np.int64], seed: int) -> Floats:
    starts = np.flatnonzero(np.diff(of_night, prepend=-1))
    weighted = columns * weight[:, None]
    squares = np.add.reduceat(np.einsum("vmi,vmj->mvij", weighted, columns), starts, axis=0)
    products = np.add.reduceat(np.einsum("vmi,m->mvi", weighted, change), starts, axis=0)
    share = np.full(starts.size, 1.0 / starts.size)
    times = np.random.default_rng(seed).multinomial(starts.size, share, DRAWS).astype(np.float64)
    found, gain = _bounded(np.tensordot(times, squares, 1), np.tensordot(times, products, 1))
    return np.asarray(found[np.arange(DRAWS), np.argmax(gain, axis=1)])


def _bounded(squares: Floats, products: Floats) -> tuple[Floats, Floats]:
    """The least squares within the bounds, and by how much they lessen the loss: (..., 4) and (...).

    Three bounds leave eight sets of resting unknowns: the best of those that keep the bounds is the answer.
    """
    best, most = np.zeros_like(products), np.full(products.shape[:-1], -np.inf)
    for free in _FREE:
        some = list(free)
        part = squares[..., some, :][..., some]
        ridge = 1e-10 * np.trace(part, axis1=-2, axis2=-1)[..., None, None] * np.eye(len(some))
        trial = np.zeros_like(products)
        trial[..., some] = np.linalg.solve(part + ridge, products[..., some, None])[..., 0]
        gain = np.einsum("...i,...i->...", trial, products)
        fits = np.all(trial[..., :3] >= 0, axis=-1) & (gain > most)
        best, most = np.where(fits[..., None], trial, best), np.where(fits, gain, most)
    return best, most
