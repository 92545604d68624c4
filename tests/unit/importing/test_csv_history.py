"""Another logger's CSV: read by its mapping, or refused with the row and the reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.shop.csv_history import CsvHistoryError, Mapping, Row, read_history

PLAIN = Mapping("time", "t", "rh")
OSLO = replace(PLAIN, timezone="Europe/Oslo", time_format="%d.%m.%Y %H:%M", separator=";", decimal=",")


def read(tmp_path: Path, text: str | bytes, mapping: Mapping = PLAIN) -> list[Row]:
    path = tmp_path / "logger.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_history(path, mapping)


def test_columns_are_found_by_name_whatever_their_order(tmp_path: Path) -> None:
    text = "rh,battery, t ,time\n41.5,98,20.25,2026-01-12T07:42:00Z\n,97,20.5,2026-01-12T07:43:00+01:00\n"
    rows = read(tmp_path, text)
    assert [(r.temperature_c, r.humidity_pct) for r in rows] == [(20.5, None), (20.25, 41.5)]
    assert rows[1].t_ms - rows[0].t_ms == 59 * 60_000


def test_fahrenheit_fractions_and_decimal_commas(tmp_path: Path) -> None:
    mapping = replace(OSLO, temperature_unit="F", humidity_unit="fraction")
    (row,) = read(tmp_path, "time;t;rh\n12.01.2026 07:42;68,5;0,415\n", mapping)
    assert row.temperature_c == pytest.approx(20.27777, abs=1e-4)  # (F - 32) / 1.8, by the scale's definition
    assert row.humidity_pct == pytest.approx(41.5)
    assert row.t_ms == round(datetime(2026, 1, 12, 7, 42, tzinfo=ZoneInfo("Europe/Oslo")).timestamp() * 1000)


@pytest.mark.parametrize(("time_format", "text"), [("s", "1768203720"), ("ms", "1768203720000"), ("s", "1768203720.0")])
def test_seconds_and_milliseconds_since_1970(tmp_path: Path, time_format: str, text: str) -> None:
    (row,) = read(tmp_path, f"time,t,rh\n{text},20,40\n", replace(PLAIN, time_format=time_format))
    assert row.t_ms == 1_768_203_720_000


def test_what_stands_before_the_header_and_what_is_missing_are_left_out(tmp_path: Path) -> None:
    text = "logger 7\nexported today\ntime,t,rh\n2026-01-12T07:42Z,20,--\n\n2026-01-12T07:43Z,--,--\n"
    rows = read(tmp_path, b"\xef\xbb\xbf" + text.encode(), replace(PLAIN, skip_lines=2, missing=("--",)))
    assert [(r.temperature_c, r.humidity_pct) for r in rows] == [(20.0, None)]


@pytest.mark.parametrize(
    ("text", "mapping", "said"),
    [
        ("time,t,rh\n2026-01-12T07:42Z,20,40\n2026-01-12T07:43Z,warm,40\n", PLAIN, "row 3, temperature: found 'warm'"),
        ("time,t,rh\n2026-01-12T07:42Z,20,nan\n", PLAIN, "row 2, humidity: found 'nan'; would be right: a number"),
        ("time,t,rh\n2026-01-12T07:42Z,2_0,40\n", PLAIN, "row 2, temperature: found '2_0'"),
        ("time,t,rh\n2026-01-12T07:42Z,1e999,40\n", PLAIN, "row 2, temperature: found '1e999'"),
        ("time,t,rh\nyesterday,20,40\n", PLAIN, "row 2, time: found 'yesterday'; would be right: 2027-01-12T07:42"),
        ("time,t,rh\n-5,20,40\n", replace(PLAIN, time_format="s"), "row 2, time: found '-5'; would be right: a time"),
        ("time,t,rh\n1e30,20,40\n", replace(PLAIN, time_format="s"), "row 2, time: found '1e30'"),
        ("time,t\n2026-01-12T07:42Z,20\n", PLAIN, "column 'rh' is not there; would be right: once, one of: time, t"),
        ("time,t,t,rh\n", PLAIN, "column 't' is 2 times"),
        ("", PLAIN, "column 'time' is not there; would be right: once, one of: no header at all"),
        ("time,t,rh\n", PLAIN, "found no row with a value"),
        ("time,t,rh\n2026-01-12T07:42Z,20\n", PLAIN, "row 2: found 2 cells; would be right: as many as the header has"),
        (
            "time,t,rh\n2026-01-12T07:42Z,20,40\n2026-01-12T07:42Z,21,40\n",
            PLAIN,
            "row 3: found a time twice, row 2 has",
        ),
        ('time,t,rh\n2026-01-12T07:42Z,"20"x,40\n', PLAIN, "row 2: "),
        (b"time,t,rh\n2026-01-12T07:42Z,20\xb0,40\n", PLAIN, "found byte 0xb0, no UTF-8; would be right: UTF-8"),
        ("time;t;rh\n29.03.2026 02:30;20;40\n", OSLO, "which Europe/Oslo left out that day"),
        ("a,b\n", Mapping("a"), "found neither a temperature nor a humidity"),
    ],
)
def test_the_first_row_that_cannot_be_read_refuses_the_file(
    tmp_path: Path, text: str | bytes, mapping: Mapping, said: str
) -> None:
    with pytest.raises(CsvHistoryError) as refused:
        read(tmp_path, text, mapping)
    assert said in str(refused.value)
    assert "; would be right: " in str(refused.value)


def test_the_same_row_twice_is_one_and_a_lone_row_of_the_hour_that_comes_twice_is_its_first(tmp_path: Path) -> None:
    rows = read(tmp_path, "time;t;rh\n25.10.2026 02:30;20;40\n25.10.2026 02:30;20;40\n", OSLO)
    assert [r.t_ms for r in rows] == [1_792_888_200_000]  # 00:30 UTC, while summer time lasts


def test_a_logger_in_local_time_goes_through_the_hour_that_comes_twice(tmp_path: Path) -> None:
    local = ["01:40", "02:00", "02:20", "02:40", "02:00", "02:20", "02:40", "03:00"]
    text = "".join(f"25.10.2026 {clock};{20 + n};40\n" for n, clock in enumerate(local))
    rows = read(tmp_path, "time;t;rh\n" + text, OSLO)
    assert [r.temperature_c for r in rows] == [20.0 + n for n in range(8)]
    assert {b.t_ms - a.t_ms for a, b in pairwise(rows)} == {1_200_000}


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        (replace(PLAIN, timezone="Europe/Nowhere"), "timezone: found 'Europe/Nowhere'; would be right: such as"),
        (replace(PLAIN, separator=";;"), "found separator ';;', decimal '.'; would be right: one sign each"),
    ],
)
def test_a_mapping_that_cannot_be_is_named(tmp_path: Path, mapping: Mapping, said: str) -> None:
    with pytest.raises(CsvHistoryError, match=said):
        read(tmp_path, "time,t,rh\n2026-01-12T07:42Z,20,40\n", mapping)


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    path = tmp_path_factory.mktemp("any") / "logger.csv"
    path.write_bytes(b"time,t,rh\n2026-01-12T07:42Z,20,40\n" + content)
    try:
        said = ""
        assert read_history(path, PLAIN)
    except CsvHistoryError as refused:
        said = str(refused)
    assert not said or "; would be right: " in said
