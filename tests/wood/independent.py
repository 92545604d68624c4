"""Moisture in one board by SciPy's integrators: the equations of the wood model written a second time, from the papers
and not from our code, with the exact diffusivity, a scalar surface and the air straight between records.

Also the bench's baseline, so it is written to be quick: what it costs is LSODA's banded steps and NumPy on a few cells.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from math import exp, log
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

_R = 1.987


def saturation_pa(t_c: float) -> float:
    """ASHRAE Fundamentals (2017) ch. 1 eq. 6."""
    k = t_c + 273.15
    return exp(
        -5.8002206e3 / k + 1.3914993 + k * (-4.8640239e-2 + k * (4.1764768e-5 + k * -1.4452093e-8)) + 6.5459673 * log(k)
    )


class OneBoard:
    """One board as an initial value problem: y is the cells' moisture in %, then the wood's temperature."""

    def __init__(
        self, widths_m: Any, *, specific_gravity: float, volumetric_shrinkage: float, films: tuple[float, float],
        times_s: Any, temperature_c: Any, humidity_pct: Any, rate_factor: float = 1.0,
    ) -> None:  # fmt: skip
        self.w = np.asarray(widths_m)
        self.n, self.thickness = self.w.size, float(self.w.sum())
        self.g, self.sv, self.rate = specific_gravity, volumetric_shrinkage, rate_factor
        self.dry = 1000.0 * self.g / (1.0 - self.sv * 20.0 / 30.0)
        self.films = films
        faces = max(1, (films[0] > 0) + (films[1] > 0))
        self.lag = self.dry * 1.1 * 1570.0 * self.thickness * 0.13 / faces
        self.t = [float(t) for t in times_s]
        self.c = [float(c) for c in temperature_c]
        self.p = [float(h) / 100.0 * saturation_pa(float(c)) for h, c in zip(humidity_pct, temperature_c, strict=True)]
        self.rh = [0.5, 0.5]

    def __call__(self, t: float, y: Any) -> Any:
        i = min(max(bisect_right(self.t, t) - 1, 0), len(self.t) - 2)
        s = (t - self.t[i]) / (self.t[i + 1] - self.t[i])
        air_c, air_pa = self.c[i] + s * (self.c[i + 1] - self.c[i]), self.p[i] + s * (self.p[i + 1] - self.p[i])
        m, wood_c = y[:-1], float(y[-1])
        gm = self.g / (1.0 - self.sv / 30.0 * (30.0 - m))
        v = 1.0 - gm * (0.667 + 0.01 * m)
        a = np.sqrt(v)
        x = 1.0 / (_R * (wood_c + 273.15))
        d = a / ((1.0 - v) * (1.0 - a)) * np.exp((70.0 * x) * m + (log(0.07e-4 * self.rate) - 9200.0 * x))
        half = 0.5 * self.w / d
        out = np.empty(self.n + 1)
        flux = np.diff(m) / (half[1:] + half[:-1])
        out[0], out[1 : self.n] = 0.0, -flux
        out[: self.n - 1] += flux
        for face, cell in ((0, 0), (1, self.n - 1)):
            if self.films[face] > 0:
                out[cell] += self._inflow(face, float(m[cell]), float(half[cell]), wood_c, air_pa)
        out[: self.n] /= self.w
        out[self.n] = (air_c - wood_c) / self.lag
        return out

    def _inflow(self, face: int, m: float, half: float, t: float, air_pa: float) -> float:
        """Per cent metres a second, where film and half a cell are in balance (Newton, from the last answer)."""
        saturation = saturation_pa(t)
        w = 349.0 + 1.29 * t + 0.0135 * t * t
        k = 0.805 + 0.000736 * t - 0.00000273 * t * t
        k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
        k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
        film = self.films[face] * saturation * 100.0 / self.dry
        air = min(air_pa / saturation, 1.0)
        h = self.rh[face]
        for _ in range(60):
            kh = k * h
            one, two = k1 * kh, k1 * k2 * kh * kh
            top, bottom = one + 2.0 * two, 1.0 + one + two
            emc = 1800.0 / w * (kh / (1.0 - kh) + top / bottom)
            rise = ((k1 + 4.0 * k1 * k2 * kh) * bottom - top * (k1 + 2.0 * k1 * k2 * kh)) / bottom**2
            slope = 1800.0 / w * k * (1.0 / (1.0 - kh) ** 2 + rise)
            step = ((m - emc) / half - film * (h - air)) / (slope / half + film)
            h = min(max(h + step, 1e-9), 1.0)
            if abs(step) < 1e-12:
                break
        self.rh[face] = h
        return film * (air - h)

    def run(self, start_pct: Any, start_c: float, at_s: Any, *, method: str = "LSODA", rtol: float, atol: float) -> Any:
        """Profiles at ``at_s``, shape (k, cells), and how often the right side was asked for."""
        y0 = np.concatenate([np.broadcast_to(np.asarray(start_pct, float), self.n), [start_c]])
        extra: dict[str, Any] = {"lband": 1, "uband": 1} if method == "LSODA" else {"jac_sparsity": self._sparsity()}
        found = solve_ivp(self, (self.t[0], self.t[-1]), y0, method=method, t_eval=at_s, rtol=rtol, atol=atol, **extra)
        assert found.success, found.message
        return found.y[:-1].T, found.nfev

    def _sparsity(self) -> Any:
        n = self.n + 1
        s = np.eye(n) + np.eye(n, k=1) + np.eye(n, k=-1)
        s[:, -1] = 1.0
        return s


def graded(thickness_m: float, cells: int, face_m: float, both: bool = True) -> Any:
    """Cells that grow from the face (or both) by a constant ratio; found by bisection, apart from our own grid."""
    length, count = (thickness_m / 2, cells // 2) if both else (thickness_m, cells)
    find: Callable[[float], float] = lambda q: face_m * (count if q == 1 else (q**count - 1) / (q - 1)) - length  # noqa: E731
    low, high = 1.0, 4.0
    for _ in range(200):
        mid = (low + high) / 2
        low, high = (mid, high) if find(mid) < 0 else (low, mid)
    half = face_m * low ** np.arange(count)
    half *= length / half.sum()
    return np.concatenate([half, half[::-1]]) if both else half
