"""The shape of a panel whose strips each bend by themselves: what a straightedge over all of it shows, and the waves.

A glued joint holds the two edges that meet in it in one plane, so the slope of the panel's top runs on from strip to
strip, and within a strip it turns by the strip's own curvature. With d the depth of the top below the line through the
panel's two edges, that is

    d'' = -k(x),   d(0) = d(w) = 0,

k positive where the top is hollow (:mod:`server.wood.cup`), even within a strip: d is a row of parabolas, and closed.
Strips of one curvature make one arc, k w² / 8 deep. Strips that turn about make a row of waves, and where their
number is even no arc at all. Upper bounds as in :mod:`server.wood.cup`: strips are taken to be stiff along their joints
and to hold each other back in nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.cup import ring_curvature_per_m
from server.wood.ranges import within

STRIP_M = (0.001, 3.0)
ALL_M = 3.0
SOURCE = "Strips in a panel: each strip's own arc, edge to edge (geometry)."


@dataclass(frozen=True, slots=True)
class Shape:
    """``cup_mm`` is the greatest depth of the top below the line through the panel's edges, positive where the top is
    hollow; ``wave_mm`` by how much a strip's middle stands out from its two joints beside its neighbour's, the panel's
    mean arc taken off: what is felt from strip to strip. Each has the curvatures' shape without its last axis."""

    cup_mm: Floats
    wave_mm: Floats


def shape_of(widths_m: ArrayLike, curvature_per_m: ArrayLike) -> Shape:
    """Of strips ``widths_m`` (n,) from one edge to the other, each with its curvature (…, n), 1/m.

    One strip has no wave: all of it is cup. Raises ValueError for no strip, one under 1 mm, or more than 3 m in all.
    """
    widths = np.atleast_1d(within("widths_m", widths_m, *STRIP_M, "m (1 to 3,000 mm)"))
    k = np.asarray(curvature_per_m, np.float64)
    if widths.size == 0 or k.shape[-1] != widths.size:
        found = f"{widths.size} widths and {k.shape[-1]} curvatures"
        raise ValueError(f"strips: found {found}; would be right: one or more, each with both")
    within("panel_m", widths.sum(), 0, ALL_M + 1e-9, "m (all strips together)")
    turned = -np.cumsum(k * widths, axis=-1)
    before = np.concatenate([np.zeros((*k.shape[:-1], 1)), turned[..., :-1]], axis=-1)
    rises = before * widths - 0.5 * k * widths**2
    tilt = -rises.sum(axis=-1, keepdims=True) / widths.sum()
    ends = np.cumsum(rises + tilt * widths, axis=-1)
    starts = np.concatenate([np.zeros((*k.shape[:-1], 1)), ends[..., :-1]], axis=-1)
    slope = before + tilt
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        top = np.where(k == 0.0, 0.5 * widths, np.clip(slope / k, 0.0, widths))
    at_top = starts + slope * top - 0.5 * k * top**2
    depths = np.concatenate([at_top, ends], axis=-1)
    deepest = np.abs(depths).argmax(axis=-1)[..., None]
    arc = (k * widths).sum(axis=-1, keepdims=True) / widths.sum()
    own = (k - arc) * widths**2 / 8.0
    apart = np.abs(np.diff(own, axis=-1))
    wave = apart.max(axis=-1) if widths.size > 1 else np.zeros(k.shape[:-1])
    return Shape(1000.0 * np.take_along_axis(depths, deepest, -1)[..., 0], 1000.0 * np.asarray(wave))


def ring_bend_per_m(
    tangential_strain: ArrayLike, radial_strain: ArrayLike, ring_angle_deg: ArrayLike, ring_radius_m: ArrayLike
) -> Floats:
    """Curvature, 1/m, that an even change gives a strip whose rings stand at ``ring_angle_deg`` to its face (0 flatsawn
    .. 90 quartersawn), positive where the face towards the heart is hollow.

    Under the exact map of :func:`~server.wood.cup.ring_curvature_per_m` a line at that angle moves across itself by
    e_R p - (e_T - e_R) x atan(x / p); twice differentiated, 2 (e_T - e_R) cos³ v / r. Raises ValueError outside 0..90
    degrees and for a radius that is not positive.
    """
    v = np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees"))
    return np.asarray(ring_curvature_per_m(tangential_strain, radial_strain, ring_radius_m) * np.cos(v) ** 3)
