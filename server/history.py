"""A zone's past at a resolution that fits the picture: raw values while they fit, else hours, else days."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from server.stores.port import History, Resolution

HOUR_MS, DAY_MS = 3_600_000, 86_400_000
UNITS = {"temperature_c": "°C", "vapour_pressure_pa": "Pa", "humidity_pct": "% RH", "emc_pct": "% MC"}
DENSEST_S = 10.0
"""A zone's air is written at most this often; a range that could hold more values than asked for is not read raw."""


class HistoryDocument(BaseModel):
    """Rows are (t_ms, minimum, mean, maximum); a raw value is all three at once. Times in ms UTC."""

    model_config = ConfigDict(extra="forbid")
    zone: str
    quantity: str
    unit: str
    resolution: Resolution
    from_ms: int
    to_ms: int
    columns: tuple[Literal["t_ms"], Literal["minimum"], Literal["mean"], Literal["maximum"]]
    points: list[tuple[int, float, float, float]]


def history_of(  # noqa: PLR0917 - the range's own parameters
    history: History, zone: str, quantity: str, from_ms: int, to_ms: int, points: int
) -> HistoryDocument:
    """The range ``from_ms <= t_ms < to_ms`` of one zone's quantity in at most about ``points`` rows."""
    series = f"zone:{zone}/{quantity}"
    resolution: Resolution = "day"
    rows: list[tuple[int, float, float, float]] = []
    if to_ms - from_ms <= max(points * DENSEST_S * 1000, HOUR_MS):
        resolution = "raw"
        times, values = history.columns(series, from_ms, to_ms)
        rows = [(t, v, v, v) for t, v in zip(times, values, strict=True)]
    else:
        resolution = "hour" if to_ms - from_ms <= points * HOUR_MS else "day"
        rows = [(r.start_ms, r.minimum, r.mean, r.maximum) for r in history.rollups(series, resolution, from_ms, to_ms)]
    return HistoryDocument(
        zone=zone,
        quantity=quantity,
        unit=UNITS[quantity],
        resolution=resolution,
        from_ms=from_ms,
        to_ms=to_ms,
        columns=("t_ms", "minimum", "mean", "maximum"),
        points=rows,
    )
