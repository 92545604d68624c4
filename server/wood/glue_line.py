"""The water that a glue line brings into the strips beside it, and how the swelling there goes down.

Water-borne glue gives its water to the wood on both sides of a joint. That wood swells in its thickness; planed flat
while it stands out, it sinks once the water has gone, and the line shows (Wengert, Aching Glue Joints, woodweb.com,
read). From a line x the water goes two ways: across the strips, which share it with the next lines, and out at the
faces. With D the same everywhere these are a product (Crank, The Mathematics of Diffusion, 2nd ed., 2.17): lines of W
kg/m² at every b m in wood of r kg/m³, thickness-mean, % MC above what the panel held before,

    M(x, t) = 100 W / (r b) · (1 + 2 Σ exp(-(2 π n / b)² τ) cos(2 π n x / b)) · Z(τ),  τ = ∫ D dt,

where Z is what is left of an even plate behind a film at its faces (Crank 4.3.6). D is that of the wood as it stands;
beside a line it is damper and passes faster, so the time errs on the long side. How far a line stands out is its own
swelling less that between two lines; the wood beside it holds some of that back, so it is an upper bound.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.ranges import PER_PCT, PER_PCT_UNIT, WIDTH_M, WIDTH_UNIT, within
from server.wood.warming import film_roots

SHOWS_MM = 0.025
"""A line that stands out by less, a thousandth of an inch, does not show under a finish. Common practice, no source."""
_FOURIER_FROM = 0.05
"""Of τ / b²: below it the lines do not know of each other yet, and their images are the shorter sum."""
SOURCE = "Glue's water in the strips: diffusion across strips and out at the faces (Crank 2.17, 4.3.6; recalled)."


@dataclass(frozen=True, slots=True)
class GlueLine:
    """``water_kg_m2`` to each m² of line; ``strip_m`` from one line to the next; ``thickness_m`` of the panel, with
    ``faces`` (1 or 2) that pass ``film_kg_m2_s_pct`` for each 1 % MC; oven-dry density as it is, kg/m³; D, m²/s;
    ``per_pct``, change of thickness for 1 % MC, a fraction. Raises ValueError out of range."""

    water_kg_m2: float
    strip_m: float
    thickness_m: float
    faces: int
    film_kg_m2_s_pct: float
    dry_kg_m3: float
    d_m2_s: float
    per_pct: float

    def __post_init__(self) -> None:
        within("water_kg_m2", self.water_kg_m2, 0, 1, "kg/m² (0 to 1,000 g/m²)")
        within("strip_m", self.strip_m, *WIDTH_M, WIDTH_UNIT)
        within("thickness_m", self.thickness_m, 0.3e-3, 0.3, "m (0.3 to 300 mm)")
        within("faces", self.faces, 1, 2, "faces")
        within("film_kg_m2_s_pct", self.film_kg_m2_s_pct, 0, 1, "kg/(m² s %)")
        within("dry_kg_m3", self.dry_kg_m3, 50, 2000, "kg/m³")
        within("d_m2_s", self.d_m2_s, 0, 1e-6, "m²/s", open_below=True)
        within("per_pct", self.per_pct, *PER_PCT, PER_PCT_UNIT)

    @property
    def added_pct(self) -> float:
        """What the lines add to the mean of the whole panel before any of it leaves, % MC."""
        return 100.0 * self.water_kg_m2 / (self.dry_kg_m3 * self.strip_m)

    def across(self, tau_m2: ArrayLike, x_m: ArrayLike) -> Floats:
        """How much more stands at ``x_m`` from a line than even over the strips, once ∫ D dt is ``tau_m2`` > 0. Shapes
        broadcast; the mean over a strip is 1."""
        s, at = np.broadcast_arrays(
            np.asarray(tau_m2, np.float64) / self.strip_m**2, np.asarray(x_m, np.float64) / self.strip_m
        )
        s, at = s[..., None], at[..., None]
        n, images = np.arange(1, 5), np.arange(-4, 5)
        early = np.exp(-((at + images) ** 2) / (4.0 * s)).sum(-1) / np.sqrt(4.0 * np.pi * s[..., 0])
        late = 1.0 + 2.0 * (np.exp(-((2.0 * np.pi * n) ** 2) * s) * np.cos(2.0 * np.pi * n * at)).sum(-1)
        return np.asarray(np.where(s[..., 0] < _FOURIER_FROM, early, late))

    def left(self, tau_m2: ArrayLike) -> Floats:
        """Which part of it has not left through the faces, 1 at first."""
        tau = np.asarray(tau_m2, np.float64)
        half = self.thickness_m / self.faces
        biot = 100.0 * self.film_kg_m2_s_pct * half / (self.dry_kg_m3 * self.d_m2_s)
        if biot < 1e-6:
            return np.ones_like(tau)
        b = film_roots(biot)
        size = 2.0 * biot**2 / (b**2 * (b**2 + biot**2 + biot))
        return np.asarray(np.exp(-(tau[..., None] / half**2) * b**2) @ (size / size.sum()))

    def excess_pct(self, tau_m2: ArrayLike, x_m: ArrayLike) -> Floats:
        """Above what the panel held before, mean of its thickness, at ``x_m`` from a line, % MC."""
        return np.asarray(self.added_pct * self.across(tau_m2, x_m) * self.left(tau_m2))

    def stands_out_mm(self, tau_m2: ArrayLike) -> Floats:
        """By how much a line stands out of each face."""
        apart = self.excess_pct(tau_m2, 0.0) - self.excess_pct(tau_m2, 0.5 * self.strip_m)
        return np.asarray(1000.0 * 0.5 * self.thickness_m * self.per_pct * apart)

    def tau_until(self, shows_mm: float = SHOWS_MM) -> float:
        """∫ D dt, m², from which on a line stands out by no more than that: it goes down all the time."""
        low, high = 1e-8 * self.strip_m**2, 2.0 * self.strip_m**2
        if float(self.stands_out_mm(low)) <= shows_mm:
            return 0.0
        for _ in range(5):
            every = np.geomspace(low, high, 48)
            at = int(np.count_nonzero(self.stands_out_mm(every) > shows_mm))
            low, high = float(every[max(at - 1, 0)]), float(every[min(at, every.size - 1)])
        return high
