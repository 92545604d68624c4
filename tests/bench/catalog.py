"""Every figure there is: which function measures it, and its names. Those of later issues come with them."""

from __future__ import annotations

from collections.abc import Callable

from tests.bench import (
    alerts,
    forward,
    glueup,
    idle,
    ingest,
    lots,
    pixels,
    record_size,
    rules,
    season,
    tick,
    verdicts,
    wear,
    wood,
)
from tests.bench.figure import Figure

Measure = Callable[[], list[Figure]]

MEASURES: tuple[tuple[Measure, tuple[str, ...]], ...] = (
    (ingest.measure, ("ingest_ratio_to_bare_mqtt",)),
    (season.measure_sql, ("season_speedup_to_raw_sqlite",)),
    (season.measure_open, ("season_open_ms",)),
    (forward.measure, ("forward_points_per_s", "forward_memory_mb")),
    (record_size.measure, ("bytes_per_reading",)),
    (wear.measure, ("record_mb_per_hour",)),
    (idle.measure, ("server_idle_cpu_pct", "server_rss_mb", "kiosk_idle_cpu_pct", "kiosk_rss_mb")),
    (pixels.measure_first, ("kiosk_first_picture_s",)),
    (pixels.measure, ("message_to_pixels_p99_ms",)),
    (alerts.measure, ("alert_to_wall_s",)),
    (wood.measure, ("wood_speedup_to_solve_ivp", "wood_mean_error_pct_mc")),
    (wood.measure_growth, ("wood_cost_exponent",)),
    (wood.measure_bandwidth, ("wood_bandwidth_share_pct",)),
    (lots.measure, ("rebuild_year_200_lots_s", "correct_quarter_200_lots_s", "correct_quarter_reading_delay_ms")),
    (tick.measure, ("tick_1000_series_5000_lots_cpu_pct", "snapshot_p99_ms", "tick_1000_series_5000_lots_rss_mb")),
    (
        verdicts.measure,
        ("verdicts_5000_lots_cpu_s", "verdicts_5000_lots_reading_delay_ms", "verdict_after_telling_s"),
    ),
    (glueup.measure, ("glueup_12_boards_ms",)),
    (rules.measure, ("rules_1000_series_500_lots_ms",)),
    (wood.measure_tick, ("wood_tick_1000_boards_ms", "outlook_200_boards_s", "wood_import_s")),
)
