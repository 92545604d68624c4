"""``stillstack store import``: the flags that say which column is what, and the deed."""

from __future__ import annotations

import argparse
import asyncio
import sys
from pathlib import Path
from typing import get_args

from server.clock import SystemClock
from server.importing import import_history
from server.serve import config_path, read_config
from server.shop.csv_history import CsvHistoryError, Mapping, Unit


def add_import_options(parser: argparse.ArgumentParser) -> None:
    """The file, the sensor whose history it becomes, and how the file is written."""
    parser.add_argument("file", type=Path, help="CSV with one line of column names")
    parser.add_argument("--sensor", required=True, metavar="ID", help="a sensor of the configuration")
    parser.add_argument("--time", required=True, metavar="COLUMN")
    parser.add_argument("--temperature", metavar="COLUMN[:C|F]", help="in °C unless :F is added")
    parser.add_argument("--humidity", metavar="COLUMN[:%%|fraction]", help="in %% unless :fraction (0 to 1) is added")
    parser.add_argument(
        "--time-format",
        default="iso",
        metavar="FORMAT",
        help="iso, s or ms since 1970, or a pattern: %%d.%%m.%%Y %%H:%%M",
    )
    parser.add_argument("--timezone", metavar="ZONE", help="of times that name none (default: the shop's)")
    parser.add_argument("--separator", default=",", help="between cells (default ,)")
    parser.add_argument("--decimal", default=".", help="before decimals (default .)")
    parser.add_argument("--skip-lines", type=int, default=0, metavar="N", help="lines before the column names")
    parser.add_argument("--missing", action="append", default=[], metavar="TEXT", help="cell that stands for no value")


def take_in(args: argparse.Namespace, state: Path) -> int:
    """Import; says what became of it. Raises CsvHistoryError, ConfigError, StoreError."""
    config = read_config(config_path())
    mapping = _mapping(args, config.shop.timezone)
    work = import_history(args.file, args.sensor, mapping, config=config, state=state, clock=SystemClock())
    sys.stdout.write(f"{asyncio.run(work).text()}\n")
    return 0


def _mapping(args: argparse.Namespace, shops_zone: str) -> Mapping:
    temperature, temperature_unit = _column(args.temperature, "C", "--temperature")
    humidity, humidity_unit = _column(args.humidity, "%", "--humidity")
    return Mapping(
        args.time,
        temperature,
        humidity,
        time_format=args.time_format,
        timezone=args.timezone or shops_zone,
        temperature_unit=temperature_unit,
        humidity_unit=humidity_unit,
        separator=args.separator,
        decimal=args.decimal,
        skip_lines=max(0, args.skip_lines),
        missing=tuple(args.missing),
    )


def _column(given: str | None, usual: Unit, flag: str) -> tuple[str | None, Unit]:
    """A column's name and its unit, which is behind the last colon if that is one."""
    if given is None:
        return None, usual
    name, colon, unit = given.rpartition(":")
    fitting: tuple[Unit, ...] = ("C", "F") if usual == "C" else ("%", "fraction")
    for one in fitting:
        if colon and unit == one:
            return name, one
    if colon and unit in get_args(Unit):
        raise CsvHistoryError(f"{flag}: found the unit {unit}; would be right: {' or '.join(fitting)}")
    return given, usual
