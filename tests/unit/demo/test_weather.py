"""The outdoor year against the station file it was taken from, and its calendar."""

from __future__ import annotations

import zipfile
from datetime import UTC, datetime, timedelta
from importlib import resources
from pathlib import Path

import numpy as np
import psychrolib
import pytest

from server.demo import make_weather
from server.demo.weather import COLDER_BY_K, HOUR_MS, LATER_BY_DAYS, OutdoorYear
from server.wood.air import relative_humidity

# Source: pvlib 0.16.1 wheel, pvlib/data/723170TYA.CSV (TMY3 station 723170), rows read from the wheel.
STATION_ROWS = [
    ("01/01/1988", 1, 10.0, 77.0),
    ("01/12/1988", 7, -11.7, 88.0),
    ("02/28/1996", 24, 9.2, 35.0),
    ("07/15/1981", 15, 31.1, 45.0),
    ("12/31/1980", 24, 2.2, 89.0),
]


def utc_ms(year: int, month: int, day: int, standard_hour: float) -> int:
    """Ms since 1970 of an hour of the station's own clock, UTC-5."""
    return round((datetime(year, month, day, tzinfo=UTC) + timedelta(hours=standard_hour + 5)).timestamp() * 1000)


@pytest.mark.parametrize(("date", "hour", "temperature_c", "humidity_pct"), STATION_ROWS)
@pytest.mark.parametrize("year", [2025, 2027, 2028])
def test_hours_are_the_stations_moved_as_stated(
    date: str, hour: int, temperature_c: float, humidity_pct: float, year: int
) -> None:
    month, day, _ = (int(part) for part in date.split("/"))
    ours = datetime(2027, month, day, tzinfo=UTC) + timedelta(days=LATER_BY_DAYS)  # 2027: a year of 365 days
    month, day = ours.month, ours.day
    t_c, p_pa = OutdoorYear.load().at(utc_ms(year, month, day, hour))
    assert t_c == pytest.approx(temperature_c - COLDER_BY_K, abs=1e-9)
    assert 100 * relative_humidity(t_c, p_pa) == pytest.approx(humidity_pct, abs=1e-9)


def test_vapour_agrees_with_an_independent_library_above_freezing() -> None:
    # Source: psychrolib 2.5 (ASHRAE Handbook Fundamentals 2017, SI); below 0 °C it takes humidity over ice, so compare
    # above only. Both compute the same published equation, so the tolerance is rounding.
    psychrolib.SetUnitSystem(psychrolib.SI)
    for month in range(5, 10):
        t_c, p_pa = OutdoorYear.load().at(utc_ms(2026, month, 10, 14.5))
        rh = float(relative_humidity(t_c, p_pa))
        assert float(p_pa) == pytest.approx(psychrolib.GetVapPresFromRelHum(float(t_c), rh), rel=1e-9)


def test_half_hours_lie_on_the_line() -> None:
    year = OutdoorYear.load()
    t_c, _ = year.at([utc_ms(2027, 1, 12, 7), utc_ms(2027, 1, 12, 7.5), utc_ms(2027, 1, 12, 8)])
    assert t_c[1] == pytest.approx((t_c[0] + t_c[2]) / 2, abs=1e-9)


def test_29_february_repeats_the_28th_and_no_minute_jumps() -> None:
    year = OutdoorYear.load()
    day = 24 * HOUR_MS
    feb_28 = utc_ms(2028, 2, 28, 1) + np.arange(24) * HOUR_MS
    assert np.array_equal(year.at(feb_28)[0], year.at(feb_28 + day)[0])
    minutes = utc_ms(2028, 2, 28, 0) + np.arange(3 * 24 * 60) * 60_000
    hourly = np.abs(np.diff(year.at(minutes[::60])[0]))
    assert np.abs(np.diff(year.at(minutes)[0])).max() <= hourly.max() / 60 + 1e-9


def test_leap_and_common_years_agree_from_march_on() -> None:
    year = OutdoorYear.load()
    assert np.array_equal(year.at(utc_ms(2027, 3, 1, 1.5)), year.at(utc_ms(2028, 3, 1, 1.5)))


def test_air_is_never_above_saturation() -> None:
    t_c, p_pa = OutdoorYear.load().at(utc_ms(2026, 1, 1, 0) + np.arange(365 * 24 * 6) * 600_000)
    assert relative_humidity(t_c, p_pa).max() <= 1.0 + 1e-12


def test_the_week_of_the_first_start_is_cold() -> None:
    week = utc_ms(2027, 1, 9, 0) + np.arange(8 * 24) * HOUR_MS
    t_c, _ = OutdoorYear.load().at(week)
    assert -17.0 < t_c.min() < -14.0
    assert t_c.mean() < -6.0
    assert t_c[3 * 24 : 4 * 24].mean() < t_c[2 * 24 : 3 * 24].mean() - 3.0  # the 12th is when the cold arrives


def test_the_csv_carries_its_provenance() -> None:
    head = resources.files("server.demo").joinpath("weather.csv").read_text(encoding="utf-8").split("month,day")[0]
    for word in ("723170", "pvlib 0.16.1", "BSD 3-Clause", "National Renewable Energy Laboratory", "make_weather.py"):
        assert word in head


def station_text(hours: int) -> str:
    """A station file's text with that many hours, the two columns and nothing else."""
    lines = ['723170,"A STATION",NC,-5.0,36.1,-79.9,273', "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C),RHum (%)"]
    lines += [f"01/{1 + n // 24:02d}/1988,{1 + n % 24:02d}:00,1.0,50" for n in range(hours)]
    return "\n".join(lines)


def test_a_short_station_file_is_refused_and_writes_nothing(tmp_path: Path) -> None:
    wheel = tmp_path / "wheel.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        archive.writestr(make_weather.MEMBER, station_text(48))
        archive.writestr(make_weather.LICENCE, "a licence")
    with pytest.raises(ValueError, match="found 48 hours; would be right: 8760"):
        make_weather.main(wheel, tmp_path / "out.csv")
    assert not (tmp_path / "out.csv").exists()


def test_a_station_file_without_its_columns_is_refused() -> None:
    text = station_text(3).replace("RHum (%)", "RH")
    with pytest.raises(ValueError, match=r"would be right: columns Dry-bulb \(C\) and RHum \(%\)"):
        list(make_weather.rows(text))
