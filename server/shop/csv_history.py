"""Another logger's history as samples: a CSV file and which of its columns is what. Read whole before anything is done.

A row that cannot be read refuses the file, with the row's number and the reason: half a history is worse than none.
Whether a value is believed is screening's business, as for any sample.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

MOST_ROWS = 600_000
"""A row a minute for more than a year; a longer history is imported a year at a time, each whole or not at all."""
END_MS = 253_402_300_799_999

Unit = Literal["C", "F", "%", "fraction"]


class CsvHistoryError(ValueError):
    """A file or a mapping that cannot be imported. The text names file and row, what was found and what would be
    right."""


@dataclass(frozen=True, slots=True)
class Mapping:
    """Which column is what. ``time_format`` is ``iso`` (ISO 8601), ``s`` or ``ms`` since 1970 UTC, or a pattern as
    :meth:`datetime.strptime` takes it; times without a zone of their own are in ``timezone``. ``decimal`` is the sign
    before the decimals. A missing value is an empty cell, or one of ``missing``."""

    time: str
    temperature: str | None = None
    humidity: str | None = None
    time_format: str = "iso"
    timezone: str = "UTC"
    temperature_unit: Unit = "C"
    humidity_unit: Unit = "%"
    separator: str = ","
    decimal: str = "."
    skip_lines: int = 0
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row: °C and % RH, None where the logger had none."""

    t_ms: int
    temperature_c: float | None
    humidity_pct: float | None


def read_history(path: Path, mapping: Mapping) -> list[Row]:
    """The rows of ``path``, in the order of their time, one a moment.

    Raises :class:`CsvHistoryError` for the first row that cannot be read, two different rows for one moment, a column
    that is not there, and a file without rows.
    """
    _check(mapping)
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            for _ in range(mapping.skip_lines):
                file.readline()
            rows = list(_rows(csv.reader(file, delimiter=mapping.separator, strict=True), path, mapping))
    except OSError as err:
        raise CsvHistoryError(f"{path}: {err.strerror}; would be right: a file that may be read") from err
    except UnicodeDecodeError as err:
        raise CsvHistoryError(
            f"{path}: found byte 0x{err.object[err.start]:02x}, no UTF-8; would be right: UTF-8"
        ) from None
    if not rows:
        raise CsvHistoryError(f"{path}: found no row with a value; would be right: at least one")
    return _in_order(rows, path)


def _check(mapping: Mapping) -> None:
    if len(mapping.separator) != 1 or len(mapping.decimal) != 1:
        found = f"separator {mapping.separator!r}, decimal {mapping.decimal!r}"
        raise CsvHistoryError(f"found {found}; would be right: one sign each")
    try:
        ZoneInfo(mapping.timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        right = "such as Europe/Oslo or Etc/GMT-1"
        raise CsvHistoryError(f"timezone: found {mapping.timezone!r}; would be right: {right}") from None


def _rows(reader: Iterator[Sequence[str]], path: Path, mapping: Mapping) -> Iterator[tuple[int, Row]]:
    """(line number, row) of every row with a value."""
    first = 1 + mapping.skip_lines
    try:
        header = [name.strip() for name in next(reader, [])]
        columns = _columns(header, path, mapping)
        before_ms = 0
        for count, cells in enumerate(reader):
            number = first + reader.line_num - 1  # type: ignore[attr-defined]
            if not cells or all(not cell.strip() for cell in cells):
                continue
            if count >= MOST_ROWS:
                raise CsvHistoryError(f"{path}: found more than {MOST_ROWS:,} rows; would be right: a part at a time")
            row = _row(cells, columns, f"{path}, row {number}", mapping, before_ms)
            before_ms = row.t_ms
            if row.temperature_c is not None or row.humidity_pct is not None:
                yield number, row
    except csv.Error as err:
        number = first + reader.line_num - 1  # type: ignore[attr-defined]
        raise CsvHistoryError(f"{path}, row {number}: {err}; would be right: CSV (RFC 4180)") from None


def _columns(header: Sequence[str], path: Path, mapping: Mapping) -> dict[str, int]:
    wanted = {"time": mapping.time, "temperature": mapping.temperature, "humidity": mapping.humidity}
    if mapping.temperature is None and mapping.humidity is None:
        raise CsvHistoryError(
            "columns: found neither a temperature nor a humidity; would be right: at least one of them"
        )
    found = {}
    for what, name in wanted.items():
        if name is None:
            continue
        if header.count(name) != 1:
            times = "not there" if name not in header else f"{header.count(name)} times"
            there = ", ".join(header) or "no header at all"
            raise CsvHistoryError(f"{path}: column {name!r} is {times}; would be right: once, one of: {there}")
        found[what] = header.index(name)
    return found


def _row(cells: Sequence[str], columns: dict[str, int], where: str, mapping: Mapping, before_ms: int) -> Row:
    def cell(what: str) -> str | None:
        if what not in columns:
            return None
        if columns[what] >= len(cells):
            raise CsvHistoryError(f"{where}: found {len(cells)} cells; would be right: as many as the header has")
        return cells[columns[what]].strip()

    t_ms = _time_ms(cell("time") or "", where, mapping, before_ms)
    temperature = _number(cell("temperature"), f"{where}, temperature", mapping)
    humidity = _number(cell("humidity"), f"{where}, humidity", mapping)
    if temperature is not None and mapping.temperature_unit == "F":
        temperature = (temperature - 32.0) / 1.8
    if humidity is not None and mapping.humidity_unit == "fraction":
        humidity *= 100.0
    return Row(t_ms, temperature, humidity)


def _time_ms(text: str, where: str, mapping: Mapping, before_ms: int) -> int:
    try:
        if mapping.time_format in {"s", "ms"}:
            value = float(text.replace(mapping.decimal, ".")) * (1000.0 if mapping.time_format == "s" else 1.0)
            t_ms = round(value) if math.isfinite(value) else -1
        else:
            iso = mapping.time_format == "iso"
            moment = datetime.fromisoformat(text) if iso else datetime.strptime(text, mapping.time_format)  # noqa: DTZ007
            if moment.tzinfo is None:
                moment = _local(moment, ZoneInfo(mapping.timezone), where, before_ms)
            t_ms = round(moment.timestamp() * 1000.0)
    except (ValueError, OverflowError) as err:
        if isinstance(err, CsvHistoryError):
            raise
        right = {"iso": "2027-01-12T07:42:00Z", "s": "seconds since 1970", "ms": "ms since 1970"}
        raise CsvHistoryError(
            f"{where}, time: found {text[:40]!r}; would be right: {right.get(mapping.time_format, mapping.time_format)}"
        ) from None
    if not 0 <= t_ms <= END_MS:
        raise CsvHistoryError(f"{where}, time: found {text[:40]!r}; would be right: a time between 1970 and 9999")
    return t_ms


def _local(moment: datetime, zone: ZoneInfo, where: str, before_ms: int) -> datetime:
    """The moment in the logger's zone. The hour that spring leaves out names no moment. In the one that comes twice in
    autumn the order of the rows tells: it is the second where the first would lie before the row above."""
    first, second = (moment.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.timestamp() == second.timestamp():
        return first
    if datetime.fromtimestamp(first.timestamp(), zone).replace(tzinfo=None) != moment:
        found = f"{moment.isoformat(' ')}, which {zone.key} left out that day"
        raise CsvHistoryError(f"{where}, time: found {found}; would be right: the zone its clock was set to")
    return second if first.timestamp() * 1000.0 < before_ms else first


def _number(text: str | None, where: str, mapping: Mapping) -> float | None:
    if text is None or text == "" or text in mapping.missing:
        return None
    plain = text.replace(mapping.decimal, ".") if mapping.decimal != "." else text
    try:
        value = float(plain)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or "_" in plain:
        raise CsvHistoryError(f"{where}: found {text[:40]!r}; would be right: a number such as 20{mapping.decimal}4")
    return value


def _in_order(rows: list[tuple[int, Row]], path: Path) -> list[Row]:
    rows.sort(key=lambda numbered: (numbered[1].t_ms, numbered[0]))
    kept: list[tuple[int, Row]] = []
    for number, row in rows:
        if kept and kept[-1][1].t_ms == row.t_ms:
            if kept[-1][1] != row:
                at = f"row {kept[-1][0]} has other values for the same time"
                raise CsvHistoryError(f"{path}, row {number}: found a time twice, {at}; would be right: one row a time")
            continue
        kept.append((number, row))
    return [row for _, row in kept]
