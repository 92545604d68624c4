"""A zone's past at a resolution that fits the picture: raw values while they fit, else hours, else days."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from server.stores.port import History, Resolution

HOUR_MS = 3_600_000
HOURS_LOOKED_AT = 24 * 366
"""A longer range is answered in days without looking for anything finer."""
UNITS = {"temperature_c": "°C", "vapour_pressure_pa": "Pa", "humidity_pct": "% RH", "emc_pct": "% MC"}
Row = tuple[int, float, float, float]


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
    resolution, rows = _fitting(history, series, from_ms, to_ms, points)
    return HistoryDocument(
        zone=zone,
        quantity=quantity,
        unit=UNITS[quantity],
        resolution=resolution,
        from_ms=from_ms,
        to_ms=to_ms,
        columns=("t_ms", "minimum", "mean", "maximum"),
        points=_thinned(rows, points),
    )


def _fitting(history: History, series: str, from_ms: int, to_ms: int, points: int) -> tuple[Resolution, list[Row]]:
    """The finest resolution that fits. How many raw values there are is known from the hours, without reading them."""
    if (to_ms - from_ms) // HOUR_MS > HOURS_LOOKED_AT:
        return "day", _rolled(history, series, "day", from_ms, to_ms)
    hours, readings = history.extent(series, from_ms - HOUR_MS + 1, to_ms)
    if readings <= points or to_ms - from_ms <= HOUR_MS:
        times, values = history.columns(series, from_ms, to_ms)
        return "raw", [(t, v, v, v) for t, v in zip(times, values, strict=True)]
    if hours <= points:
        return "hour", _rolled(history, series, "hour", from_ms, to_ms)
    return "day", _rolled(history, series, "day", from_ms, to_ms)


def _rolled(history: History, series: str, step: Literal["hour", "day"], from_ms: int, to_ms: int) -> list[Row]:
    return [(r.start_ms, r.minimum, r.mean, r.maximum) for r in history.rollups(series, step, from_ms, to_ms)]


def _thinned(rows: list[Row], points: int) -> list[Row]:
    """Neighbours put together until at most ``points`` rows are left: least, plain mean of means, greatest."""
    size = -(-len(rows) // points)
    if size <= 1:
        return rows
    groups = [rows[i : i + size] for i in range(0, len(rows), size)]
    return [(g[0][0], min(r[1] for r in g), sum(r[2] for r in g) / len(g), max(r[3] for r in g)) for g in groups]
