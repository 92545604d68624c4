"""The past that is laid down: ordered, repeatable, believable, and joined to the live play."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import pytest

from sensors.line_formats import pairs
from sensors.modbus.rtu import answer_in
from sensors.modbus.source import ModbusSource
from sensors.payloads import json_payload
from sensors.sample import Quantity, RawSample
from server.clock import Instant
from server.config import ScreeningTable
from server.config import Sensor as SensorTable
from server.demo.bus import asked
from server.demo.devices import spoken
from server.demo.misbehaviour import DAY_MS, FIRST_DAY, Misbehaviour, misbehaviour
from server.demo.past import PERIOD_MS, past_samples
from server.demo.play import demo_config
from server.demo.probe import noise, said
from server.demo.scenario import FIRST_START_MS, PAST_FROM_MS, SENSORS, TOPICS, Sensor, configuration
from server.reading import Flag
from server.screening import Screening
from server.wood.air import vapour_pressure_pa
from server.wood.emc import emc_pct

DECODE = {
    "serial": lambda sensor, payload: pairs()(payload),
    "mqtt": lambda sensor, payload: json_payload(patterns=[TOPICS])(sensor.topic, payload),
}
BUS = {
    probe.device: probe
    for source in demo_config(0, 1, "/dev/null", "/dev/zero").sources
    if isinstance(source, ModbusSource)
    for probe in source.driver_probes()
}


def read_off(sensor: Sensor, t_ms: int) -> tuple[str, tuple[tuple[Quantity, float], ...]]:
    """What the server reads off the sensor's wire at this moment: the device's name and its figures."""
    if sensor.wire == "modbus":
        probe = BUS[sensor.id]
        (ask,) = probe.asks()
        answered = answer_in(asked(sensor, t_ms).answer(ask.frame), ask)
        assert answered is not None
        words = [int.from_bytes(answered[i : i + 2], "big") for i in (3, 5)]
        return probe.device, probe.values({ask: words})
    payload = spoken(sensor, t_ms)
    assert payload is not None
    decoded = DECODE[sensor.wire](sensor, payload)
    return decoded.device, decoded.values


SENSOR_OF = {(sensor.source, sensor.device): sensor for sensor in SENSORS}


def weeks() -> list[RawSample]:
    """The last 35 days before the first start: every sensor with every kind it can have."""
    batches = list(past_samples(FIRST_START_MS - 35 * DAY_MS, FIRST_START_MS))
    assert {len(batch) for batch in batches[:-1]} == {1000}
    return [sample for batch in batches for sample in batch]


def bad_hour_of(sample: RawSample) -> Misbehaviour | None:
    bad = misbehaviour((sample.heard_ms - 5 * 3_600_000) // DAY_MS)
    mine = bad.sensor == SENSOR_OF[sample.source, sample.device].id
    return bad if mine and bad.start_ms <= sample.heard_ms < bad.end_ms else None


def test_samples_come_in_order_and_once_a_period() -> None:
    samples = weeks()
    times = [sample.heard_ms for sample in samples]
    assert times == sorted(set(times))
    by_sensor = defaultdict(list)
    for sample in samples:
        by_sensor[sample.source, sample.device].append(sample.heard_ms)
    assert set(by_sensor) == set(SENSOR_OF)
    for heard in by_sensor.values():
        gaps = np.diff(heard)
        assert set(np.unique(gaps)) <= {PERIOD_MS, 7 * PERIOD_MS}  # a silent or garbled hour leaves out six
        assert heard[0] - times[0] < PERIOD_MS
        assert FIRST_START_MS - heard[-1] <= PERIOD_MS


def test_both_clocks_tell_the_same_story() -> None:
    for sample in next(past_samples(FIRST_START_MS - DAY_MS, FIRST_START_MS)):
        assert sample.heard_mono_s * 1000 == pytest.approx(sample.heard_ms - FIRST_START_MS, abs=1e-6)


def test_the_past_is_the_same_however_it_is_asked_for() -> None:
    begin = FIRST_START_MS - 10 * DAY_MS
    whole = [s for batch in past_samples(begin, FIRST_START_MS) for s in batch]
    cut = begin + 3 * DAY_MS + 1234
    parts = [s for a, b in ((begin, cut), (cut, FIRST_START_MS)) for batch in past_samples(a, b) for s in batch]
    assert [(s.heard_ms, s.device, s.values) for s in whole] == [(s.heard_ms, s.device, s.values) for s in parts]


def test_an_empty_past_is_empty_and_a_backward_one_refused() -> None:
    assert list(past_samples(FIRST_START_MS, FIRST_START_MS)) == []
    with pytest.raises(ValueError, match="to_ms: found 5; would be right: 6"):
        past_samples(6, 5)


def test_the_whole_past_is_there() -> None:
    count = sum(len(batch) for batch in past_samples(PAST_FROM_MS, FIRST_START_MS))
    periods = sum((FIRST_START_MS - max(PAST_FROM_MS, sensor.hung_ms)) // PERIOD_MS for sensor in SENSORS)
    lost = 0
    for day in range(FIRST_DAY - 425, FIRST_DAY):
        bad = misbehaviour(day)
        hung_ms = next(sensor.hung_ms for sensor in SENSORS if sensor.id == bad.sensor)
        lost += 6 * (bad.kind in {"silent", "garbled"} and bad.start_ms >= hung_ms)
    assert count == pytest.approx(periods - lost, abs=6)


@pytest.mark.parametrize("sensor", SENSORS, ids=lambda sensor: sensor.id)
def test_live_bytes_read_back_as_the_past_has_them(sensor: Sensor) -> None:
    # The wires' own decoders: what the past holds is what the server would have read off the wire.
    mine = [s for s in weeks() if SENSOR_OF[s.source, s.device] is sensor]
    for sample in mine[::17]:
        device, values = read_off(sensor, sample.heard_ms)
        assert device == sample.device
        read, held = dict(values), dict(sample.values)
        assert read["temperature_c"] == pytest.approx(held["temperature_c"], abs=1e-9)
        assert read["humidity_pct"] == held["humidity_pct"]


def test_sensors_say_the_rooms_air_within_their_accuracy() -> None:
    # One zone, two witnesses, one vapour: their EMC lies well inside the 1 % at which witnesses are called apart.
    t_ms = FIRST_START_MS + np.arange(36) * PERIOD_MS  # the first morning, before anything misbehaves
    first, second = (said(sensor, t_ms) for sensor in SENSORS if sensor.zone == "finishing-room")
    vapour = [vapour_pressure_pa(s.temperature_c, s.humidity_pct / 100) for s in (first, second)]
    assert vapour[0] == pytest.approx(vapour[1], rel=0.08)
    emc = [emc_pct(s.temperature_c, s.humidity_pct / 100) for s in (first, second)]
    assert np.abs(emc[0] - emc[1]).max() < 0.6


def test_screening_turns_down_only_what_misbehaves() -> None:
    tables = [SensorTable.model_validate(row) for row in configuration(0, 0, "/dev/null", "/dev/null")["sensor"]]
    screening = Screening(ScreeningTable(), tables)
    turned_down: dict[str, int] = defaultdict(int)
    for sample in weeks():
        now = Instant(sample.heard_ms, sample.heard_mono_s)
        for reading in screening.screen([sample], now).readings:
            bad = bad_hour_of(sample)
            if not reading.good or reading.flags & Flag.SATURATED:
                assert bad is not None, reading
                turned_down[bad.kind] += 1
    assert turned_down["out-of-range"] == 5 * 6 * 2
    assert turned_down["saturated"] == 5 * 6


def test_noise_is_a_pure_function_with_the_stated_moments() -> None:
    t_ms = FIRST_START_MS + np.arange(50_000, dtype=np.int64) * 1000
    scatter = noise("bench-1/humidity", t_ms)
    assert np.array_equal(scatter[::-1], noise("bench-1/humidity", t_ms[::-1]))
    # Standard errors at 50,000 draws: mean 0.0045, deviation 0.003; lag-one correlation 0.0045. Five of each.
    assert abs(scatter.mean()) < 0.023
    assert scatter.std() == pytest.approx(1.0, abs=0.016)
    assert abs(np.corrcoef(scatter[1:], scatter[:-1])[0, 1]) < 0.023
    assert np.abs(scatter).max() <= 3.0
    other = noise("bench-1/temperature", t_ms)
    assert abs(np.corrcoef(scatter, other)[0, 1]) < 0.023
