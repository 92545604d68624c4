"""Closed half hours and a history of hours, without a record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from server.config import Config
from server.reading import ClosedBin
from server.stores.port import Rollup
from server.wood.air import vapour_pressure_pa
from tests.flow.conftest import read_config
from tests.unit.spine import CONFIG, START_MS

HOUR_MS = 3_600_000
YARD = """
[[zone]]
id = "yard"
name = "Yard"
destination = "heated"
outdoors = true
"""


def with_rooms(bench: str = "", sensor: str = "", yard: str = YARD) -> Config:
    """The bench's shop with more said of its bench room and of the sensor bench-1, and with a yard."""
    text = CONFIG.replace('name = "Bench room"\n', f'name = "Bench room"\n{bench}\n')
    text = text.replace('device = "bench-1"\n', f'device = "bench-1"\n{sensor}\n')
    return read_config(text + yard)


def closed(zone: str, temperature_c: Sequence[float], rh: Sequence[float], to_ms: int = START_MS) -> list[ClosedBin]:
    """Half hours up to a moment. Their EMC plays no part."""
    n = len(temperature_c)
    pa = vapour_pressure_pa(np.asarray(temperature_c), np.asarray(rh)).tolist()
    return [
        ClosedBin(zone, to_ms - 1_800_000 * (n - 1 - i), float(temperature_c[i]), pa[i], 8.0, 1.0) for i in range(n)
    ]


@dataclass
class Past:
    """Hours by series, as the record gives them; readings of sensors."""

    hours: dict[str, list[tuple[int, float]]] = field(default_factory=dict)
    readings: dict[str, tuple[list[int], list[float]]] = field(default_factory=dict)

    def put(self, zone: str, start_ms: Sequence[int], temperature_c: Sequence[float], rh: Sequence[float]) -> None:
        pa = vapour_pressure_pa(np.asarray(temperature_c), np.asarray(rh)).tolist()
        for name, values in (("temperature_c", temperature_c), ("vapour_pressure_pa", pa)):
            self.hours[f"zone:{zone}/{name}"] = [(int(t), float(v)) for t, v in zip(start_ms, values, strict=True)]

    def rollups(self, series: str, _: str, from_ms: int, to_ms: int) -> list[Rollup]:
        rows = self.hours.get(series, [])
        return [Rollup(series, t, v, v, v, 60) for t, v in rows if from_ms <= t < to_ms]

    def columns(self, series: str, from_ms: int, to_ms: int) -> tuple[list[int], list[float]]:
        t_ms, values = self.readings.get(series, ([], []))
        some = [(t, v) for t, v in zip(t_ms, values, strict=True) if from_ms <= t < to_ms]
        return [t for t, _ in some], [v for _, v in some]
