"""The past of the fictional workshop, as the samples its wires would have handed on."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

import numpy as np

from sensors.sample import RawSample
from server.demo.indoor import IndoorAir, workshop_air
from server.demo.misbehaviour import DAY_MS
from server.demo.probe import said
from server.demo.scenario import READING_PERIOD_S, SENSORS

BATCH = 1000
PERIOD_MS = READING_PERIOD_S * 1000
WINDOW_MS = 7 * DAY_MS


def past_samples(from_ms: int, to_ms: int, air: IndoorAir | None = None) -> Iterator[list[RawSample]]:
    """Every sensor's samples with ``from_ms <= heard_ms < to_ms``, in time order, in lists of 1,000 (the last shorter).

    ``heard_mono_s`` counts to 0 at ``to_ms``: a clock that starts there goes on from it. A silent hour has no samples,
    nor has a garbled one, since nothing could be read. Raises ValueError when ``to_ms`` lies before ``from_ms``.
    """
    if to_ms < from_ms:
        raise ValueError(f"to_ms: found {to_ms}; would be right: {from_ms} (from_ms) or later")
    samples = _samples(from_ms, to_ms, air or workshop_air())
    return iter(lambda: list(islice(samples, BATCH)), [])


def _samples(from_ms: int, to_ms: int, air: IndoorAir) -> Iterator[RawSample]:
    """One sample after the other, worked out a week at a time."""
    for begin in range(from_ms, to_ms, WINDOW_MS):
        week = [
            sample
            for sensor in range(len(SENSORS))
            for sample in _of_sensor(sensor, begin, min(begin + WINDOW_MS, to_ms), to_ms, air)
        ]
        yield from sorted(week, key=lambda sample: sample.heard_ms)


def _of_sensor(index: int, begin_ms: int, end_ms: int, zero_ms: int, air: IndoorAir) -> Iterator[RawSample]:
    sensor = SENSORS[index]
    phase_ms = sensor.phase_s * 1000
    first = -((phase_ms - max(begin_ms, sensor.hung_ms)) // PERIOD_MS) * PERIOD_MS + phase_ms
    t_ms = np.arange(first, end_ms, PERIOD_MS, dtype=np.int64)
    what = said(sensor, t_ms, air)
    heard = what.spoke & ~what.garbled
    columns = zip(
        t_ms[heard].tolist(), what.temperature_c[heard].tolist(), what.humidity_pct[heard].tolist(), strict=True
    )
    for t, temperature_c, humidity_pct in columns:
        yield RawSample(
            source=sensor.source,
            device=sensor.device,
            values=(("temperature_c", temperature_c), ("humidity_pct", humidity_pct)),
            heard_ms=t,
            heard_mono_s=(t - zero_ms) / 1000.0,
        )
