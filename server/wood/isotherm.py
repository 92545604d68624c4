"""The sorption curve at given temperatures, for code that asks for it many times in a row."""

from __future__ import annotations

from typing import NamedTuple

from server.wood.air import Floats
from server.wood.emc import coefficients


class Isotherm(NamedTuple):
    """Equation 4-5 of :mod:`server.wood.emc` with its temperature already in: the same figures, a third of the work."""

    scale: Floats
    k: Floats
    k1: Floats
    k1_k2: Floats

    @classmethod
    def at(cls, temperature_c: Floats) -> Isotherm:
        """Of wood at ``temperature_c``, any shape."""
        w, k, k1, k2 = coefficients(temperature_c)
        return cls(1800.0 / w, k, k1, k1 * k2)

    def emc_pct(self, rh: Floats) -> Floats:
        """EMC, %, at ``rh`` 0..1, unchecked."""
        kh = self.k * rh
        a = self.k1 * kh
        b = self.k1_k2 * kh * kh
        return self.scale * (kh / (1.0 - kh) + (a + 2.0 * b) / (1.0 + a + b))

    def chord_to(self, rh: Floats) -> Chord:
        """The chords that end at ``rh`` 0..1."""
        kh = self.k * rh
        steep, water = self.scale * self.k, self.k1 + self.k1_k2 * kh
        whole = steep / (1.0 + kh * water)
        return Chord(
            self.k,
            self.k1,
            self.k1_k2,
            steep / (1.0 - kh),
            whole * (water + self.k1_k2 * kh),
            whole * self.k1_k2 * (2.0 + self.k1 * kh),
        )


class Chord(NamedTuple):
    """Straight lines between two points of the curve, one of them known.

    With y = K h, the difference of eq. 4-5 between y and z divides by y - z without a remainder, so nothing cancels
    where the two meet and the chord becomes the tangent:
    K scale (1 / ((1 - y)(1 - z)) + (K1 + 2 q (y + z) + K1 q y z) / ((1 + K1 y + q y²)(1 + K1 z + q z²))), q = K1 K2.
    """

    k: Floats
    k1: Floats
    k1_k2: Floats
    dry: Floats
    level: Floats
    rise: Floats

    def slope_from(self, rh: Floats) -> Floats:
        """% MC per unit of humidity, between ``rh`` 0..1 and the known point."""
        y = self.k * rh
        return self.dry / (1.0 - y) + (self.level + self.rise * y) / (1.0 + y * (self.k1 + self.k1_k2 * y))
