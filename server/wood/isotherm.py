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

    def emc_and_slope(self, rh: Floats) -> tuple[Floats, Floats]:
        """EMC, %, and how it rises with ``rh``, % per unit."""
        kh = self.k * rh
        a, b = self.k1 * kh, self.k1_k2 * kh * kh
        dry = 1.0 - kh
        bottom = 1.0 + a + b
        part = (a + 2.0 * b) / bottom
        rise = (self.k1 + 4.0 * self.k1_k2 * kh - part * (self.k1 + 2.0 * self.k1_k2 * kh)) / bottom
        return self.scale * (kh / dry + part), self.scale * self.k * (1.0 / (dry * dry) + rise)
