"""What a sensor may say: by its type, by its own table, and the values that only a dead one says."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from server.config import ScreeningTable, Sensor
from server.reading import Flag
from server.screening import Screening
from server.sensor_types import sensor_type, sensor_types
from server.wood.emc import emc_pct
from tests.unit.screening.said import NOW, sample


def bench(**more) -> Sensor:
    return Sensor(id="bench-1", source="line", zone="bench", **more)


def flags(sensor: Sensor, t: float | None, rh: float | None) -> list[Flag]:
    return [r.flags for r in Screening(ScreeningTable(), [sensor]).screen([sample(0, t, rh)], NOW).readings]


@pytest.mark.parametrize(
    ("kind", "t", "rh", "sentinel"),
    [
        ("sht4x", -45.0, 47.0, (True, False)),  # -45 + 175 x 0/65535
        ("sht4x", 130.0, 47.0, (True, False)),  # -45 + 175 x 65535/65535
        ("sht4x", 20.0, -6.0, (False, True)),  # -6 + 125 x 0/65535
        ("hdc10xx", -40.0, 0.0, (True, False)),  # -40 + 165 x 0/65536
        ("aht2x", -50.0, 47.0, (True, False)),
        ("si70xx", -46.85, 47.0, (True, False)),
        ("bme280", 85.0, 47.0, (True, False)),
        ("dht22", 0.0, 0.0, (True, True)),
        ("generic", 0.0, 0.0, (True, True)),
        ("generic", 0.0, 47.0, (False, False)),  # a winter's morning
        ("dht22", 0.0, 47.0, (False, False)),
        ("sht4x", 85.0, 10.0, (False, False)),  # its own range goes on: the shop's limit counts
    ],
)
def test_what_a_dead_sensor_says(kind: str, t: float, rh: float, sentinel: tuple[bool, bool]) -> None:
    """Field pitfall 14. The curves: makers' data sheets, from memory."""
    assert tuple(f == Flag.SENTINEL for f in flags(bench(type=kind), t, rh)) == sentinel


def test_the_power_on_value_of_a_one_wire_chip() -> None:
    """85.0 °C, data sheet, from memory. Another type may well measure it."""
    assert flags(bench(type="ds18b20"), 85.0, None) == [Flag.SENTINEL]
    assert flags(bench(), 85.0, None) == [Flag.NONE]


def test_zeros_that_come_in_messages_of_their_own() -> None:
    one = Screening(ScreeningTable(), [bench()])
    found = [one.screen([s], NOW).readings[0] for s in (sample(0, 0.0, None), sample(0.1, None, 0.0))]
    assert [r.flags for r in found] == [Flag.NONE, Flag.SENTINEL]
    assert one.screen([sample(1, 0.0, None)], NOW).readings[0].flags == Flag.SENTINEL
    late = Screening(ScreeningTable(), [bench()])
    late.screen([sample(0, 0.0, None)], NOW)
    assert late.screen([sample(600, None, 0.0)], NOW).readings[0].flags == Flag.NONE, "hours apart is not together"


def test_a_sensors_own_table_wins() -> None:
    assert flags(bench(type="dht11"), 55.0, 40.0) == [Flag.RANGE, Flag.NONE]
    assert flags(bench(type="dht11", temperature_max_c=60), 55.0, 40.0) == [Flag.NONE, Flag.NONE]
    assert flags(bench(sentinels=()), 0.0, 0.0) == [Flag.NONE, Flag.NONE]
    assert flags(bench(sentinels=("21.5/*",)), 21.5, 40.0) == [Flag.SENTINEL, Flag.NONE]
    assert flags(bench(humidity_min_pct=5), 20.0, 4.0) == [Flag.NONE, Flag.RANGE]


def test_the_makers_accuracy_unless_the_table_says_one() -> None:
    assert (bench(type="dht11").accuracy_c, bench(type="dht11").accuracy_humidity_pct) == (2.0, 5.0)
    assert bench(type="dht11", accuracy_c=1.0).accuracy_c == 1.0
    assert (bench().accuracy_c, bench().accuracy_humidity_pct) == (0.3, 2.0)


def test_an_unknown_type_and_an_unreadable_sentinel_are_refused() -> None:
    with pytest.raises(ValidationError, match="sht4x"):
        bench(type="sht45")
    with pytest.raises(ValidationError, match="found '-45'; would be right: temperature/humidity"):
        bench(sentinels=("-45",))


@pytest.mark.parametrize("kind", list(sensor_types()))
def test_every_type_names_its_source_and_its_reason(kind: str) -> None:
    known = sensor_type(kind)
    assert "memory" in known.source or "no source" in known.source
    assert known.why
    assert known.sentinels
    assert known.temperature_c[0] < known.temperature_c[1]


VALUES = st.one_of(st.floats(), st.floats(-60, 160), st.sampled_from([0.0, -45.0, 85.0, 100.0, 104.9, 105.0]))


@given(
    st.lists(st.tuples(VALUES, VALUES), min_size=1, max_size=6),
    st.sampled_from(list(sensor_types())),
    st.floats(-10, 10),
    st.floats(-20, 20),
    st.sampled_from(["water", "ice"]),
)
def test_nothing_leaves_as_good_that_physics_cannot_take(
    said: list[tuple[float, float]], kind: str, offset_c: float, offset_pct: float, over: str
) -> None:
    """Field pitfall 12: NaN cannot leave; a good humidity lies within 0..100 whatever the sensor and its offsets."""
    sensor = bench(type=kind, offset_c=offset_c, offset_humidity_pct=offset_pct, humidity_over=over)
    one = Screening(ScreeningTable(), [sensor])
    for n, (t, rh) in enumerate(said):
        found = one.screen([sample(n, t, rh)], NOW)
        assert len(found.readings) + len(found.refused) == 2, "nothing is lost"
        assert all(math.isfinite(r.value) for r in found.readings)
        good = {r.series.partition("/")[2]: r.value for r in found.readings if r.good}
        if "humidity_pct" in good:
            assert 0.0 <= good["humidity_pct"] <= 100.0
            assert math.isfinite(float(emc_pct(good.get("temperature_c", 20.0), good["humidity_pct"] / 100.0)))


def test_what_is_no_number_is_kept_with_its_reason_and_the_rest_goes_on() -> None:
    found = Screening(ScreeningTable(), [bench()]).screen([sample(0, math.nan, 40.0)], NOW)
    assert [r.series for r in found.readings] == ["bench-1/humidity_pct"]
    assert [(r.reason, r.payload) for r in found.refused] == [
        ("temperature_c: found nan; would be right: a finite number", b"nan")
    ]
