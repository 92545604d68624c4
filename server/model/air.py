"""The air of every zone as the model needs it: half hour by half hour, side by side, with no hole in it.

A half hour that nobody recorded takes the last one's air; for six hours that counts as known. Before a zone's first
half hour its first one stands, and never counts as known; a zone that has none has a room's air, likewise.

Within a half hour the air runs straight from the mean of the one before to its own. That is a quarter of an hour late,
which no wood notices, needs nothing that is still to come, and spares the solver a jump at every edge that no air made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from server.bins import BIN_MS
from server.model.half_hours import HalfHours
from server.wood.air import Floats, saturation_pressure_pa
from server.wood.air_series import BRIDGED_S, AirSeries

LEAST_COVERED = 0.2
"""A half hour of which less was recorded counts as empty."""
_ROOM_C, _ROOM_RH = 20.0, 0.45
_BRIDGED_BINS = round(BRIDGED_S * 1000 / BIN_MS)


@dataclass(frozen=True, slots=True)
class ShopAir:
    """Air from ``from_ms`` on, both ends whole half hours of UTC: ``temperature_c``, ``pressure_pa`` and ``known`` have
    shape (1 + half hours, zones), in the order of ``zones``; the first row is the half hour before ``from_ms``."""

    from_ms: int
    zones: tuple[str, ...]
    temperature_c: Floats
    pressure_pa: Floats
    known: NDArray[np.bool_]

    @property
    def to_ms(self) -> int:
        """Its end."""
        return self.from_ms + BIN_MS * (len(self.temperature_c) - 1)

    @classmethod
    def of(cls, zones: Sequence[str], heard: Mapping[str, HalfHours], from_ms: int, to_ms: int) -> ShopAir:
        """From each zone's half hours; those from before ``from_ms`` fill what is empty after it.

        Raises ValueError where the ends are no half hours, or nothing lies between them.
        """
        if from_ms % BIN_MS or to_ms % BIN_MS or to_ms <= from_ms:
            raise ValueError(f"air: found {from_ms} to {to_ms} ms; would be right: half hours of UTC, one or more")
        n = (to_ms - from_ms) // BIN_MS + 1
        c, pa, known = np.empty((n, len(zones))), np.empty((n, len(zones))), np.empty((n, len(zones)), np.bool_)
        for i, zone in enumerate(zones):
            c[:, i], pa[:, i], known[:, i] = _filled(heard.get(zone, HalfHours.none()), from_ms - BIN_MS, n)
        return cls(from_ms, tuple(zones), c, pa, known)

    def between(self, from_ms: int, to_ms: int) -> AirSeries:
        """The half hours between two edges as the solver takes them. Raises ValueError beyond its ends."""
        if not self.from_ms <= from_ms < to_ms <= self.to_ms:
            raise ValueError(f"air: found {from_ms} to {to_ms} ms; would be right: {self.from_ms} to {self.to_ms} ms")
        first, last = ((edge - self.from_ms) // BIN_MS for edge in (from_ms, to_ms))
        before, own = slice(first, last), slice(first + 1, last + 1)
        edges = from_ms / 1000.0 + np.arange(last - first + 1, dtype=np.float64) * (BIN_MS / 1000.0)
        c, pa = self.temperature_c, self.pressure_pa
        return AirSeries(edges, c[before], c[own], pa[before], pa[own], self.known[own])


def _filled(heard: HalfHours, from_ms: int, n: int) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    given = (heard.covered >= LEAST_COVERED) & (heard.ends_ms <= from_ms + n * BIN_MS)
    if not given.any():
        room = float(saturation_pressure_pa(_ROOM_C)) * _ROOM_RH
        return np.full(n, _ROOM_C), np.full(n, room), np.zeros(n, np.bool_)
    place = (heard.ends_ms[given] - from_ms) // BIN_MS - 1
    last = np.searchsorted(place, np.arange(n), side="right") - 1
    which = np.maximum(last, 0)
    c, pa = heard.temperature_c[given][which], heard.pressure_pa[given][which]
    known = (last >= 0) & (np.arange(n) - place[which] <= _BRIDGED_BINS)
    return c, pa, known
