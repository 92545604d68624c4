"""The rooms' balance of vapour and heat: limits, conservation, independent implementations, and the year it gives."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from server.demo import indoor
from server.demo.indoor import STEP_H, STEP_MS, Hours, IndoorAir, State, workshop_air
from server.demo.rooms import ROOMS
from server.demo.scenario import EXTRACTOR_M3_PER_H, EXTRACTOR_ZONE, FIRST_START_MS, PAST_FROM_MS, TOWN, YARD
from server.demo.weather import OutdoorYear
from server.wood.air import Floats, relative_humidity, saturation_pressure_pa
from server.wood.emc import emc_pct

BENCH = ROOMS[0]
STILL = replace(
    BENCH, closed_per_h=0.0, working_per_h=0.0, open_per_h=0.0, wick_per_h=0.0, buffer_per_h=0.0, water_g_per_h=0.0
)
rates = st.floats(0.0, 5.0)


def held(steps: int, *, working: bool = False, heating: bool = False, extracting: bool = False) -> Hours:
    """The same hour over and over."""
    no, yes = np.zeros(steps, dtype=np.bool_), np.ones(steps, dtype=np.bool_)
    return Hours(
        heating=yes if heating else no, warm=no, working=yes if working else no, windows=no,
        extracting=yes if extracting else no,
    )  # fmt: skip


def local_ms(year: int, month: int, day: int, hour: int = 0) -> int:
    return round(datetime(year, month, day, hour, tzinfo=TOWN).timestamp() * 1000)


@given(loss=rates, exchange=rates, ratio=st.floats(1.0, 200.0), step_h=st.floats(1e-3, 24.0))
def test_a_step_is_the_exponential_of_its_rates(loss: float, exchange: float, ratio: float, step_h: float) -> None:
    # Independent implementation: scipy.linalg.expm (Pade). Tolerance: rounding of the squarings.
    back = exchange / ratio
    matrix = np.array([[-loss - exchange, exchange, 1.0], [back, -back, 0.0], [0.0, 0.0, 0.0]]) * step_h
    ours = indoor.transition(loss_per_h=loss, buffer_per_h=exchange, buffer_ratio=ratio, step_h=step_h)
    assert ours == pytest.approx(expm(matrix)[:2], rel=1e-10, abs=1e-12)


@given(exchange=rates, ratio=st.floats(1.0, 200.0), p=st.floats(100, 3000), q=st.floats(100, 3000))
def test_without_ventilation_and_sources_no_vapour_comes_or_goes(
    exchange: float, ratio: float, p: float, q: float
) -> None:
    step = indoor.transition(loss_per_h=0.0, buffer_per_h=exchange, buffer_ratio=ratio)
    after_p, after_q = step @ [p, q, 0.0]
    assert after_p + ratio * after_q == pytest.approx(p + ratio * q, rel=1e-12)


@given(loss=rates, exchange=rates, ratio=st.floats(1.0, 200.0))
def test_two_half_steps_are_one_step(loss: float, exchange: float, ratio: float) -> None:
    whole = indoor.transition(loss_per_h=loss, buffer_per_h=exchange, buffer_ratio=ratio)
    half = indoor.transition(loss_per_h=loss, buffer_per_h=exchange, buffer_ratio=ratio, step_h=STEP_H / 2)
    once = np.array([700.0, 900.0])
    for _ in range(2):
        once = half @ [*once, 50.0]
    assert once == pytest.approx(whole @ [700.0, 900.0, 50.0], rel=1e-12)


def vapour_of(room: indoor.Room, start_pa: float, outdoor_pa: float, at: Hours, room_c: float = 20.0) -> Floats:
    """Vapour pressure over the steps of ``at``, everything else held; the buffer begins in balance."""
    steps = len(at.heating)
    start = State(room_c, start_pa, float(relative_humidity(room_c, start_pa)))
    return indoor.vapour(room, start, np.full(steps, room_c), np.full(steps, outdoor_pa), at)[0]


def test_a_sealed_room_keeps_its_vapour() -> None:
    sealed = replace(STILL, buffer_per_h=1.2)
    assert vapour_of(sealed, 700.0, 200.0, held(1000)) == pytest.approx(700.0, rel=1e-11)


def test_endless_ventilation_is_outdoors() -> None:
    airy = replace(BENCH, working_per_h=1e5)
    # What is left is the source over the ventilation, here 2e-3 Pa.
    assert vapour_of(airy, 700.0, 200.0, held(6, working=True))[-1] == pytest.approx(200.0, abs=1e-2)


def test_ventilation_and_wick_settle_between_outdoors_and_saturation() -> None:
    full = float(saturation_pressure_pa(20.0))
    n, w = BENCH.closed_per_h, BENCH.wick_per_h
    settled = vapour_of(BENCH, 700.0, 200.0, held(40_000, heating=True))[-1]
    assert settled == pytest.approx((n * 200.0 + w * full) / (n + w), rel=1e-9)


def test_the_extractor_is_air_from_outdoors_of_its_own_and_in_its_room_alone() -> None:
    # Independent implementation: scipy.integrate.solve_ivp, an hour of it in the finishing room.
    room = next(one for one in ROOMS if one.zone == EXTRACTOR_ZONE)
    full, n = float(saturation_pressure_pa(20.0)), room.working_per_h + EXTRACTOR_M3_PER_H / room.volume_m3
    source = room.water_g_per_h * 1e-3 * 461.5 * 293.15 / room.volume_m3

    def rates_of(_: float, y: Floats) -> list[float]:
        p, q = y
        drawn = n * (250.0 - p) + room.wick_per_h * (full - p) + room.buffer_per_h * (q - p) + source
        return [drawn, room.buffer_per_h / room.buffer_ratio * (p - q)]

    there = solve_ivp(rates_of, (0, 1), [750.0, 750.0], method="LSODA", rtol=1e-9, atol=1e-7).y[0, -1]
    at = held(6, working=True, heating=True, extracting=True)
    assert vapour_of(room, 750.0, 250.0, at)[-1] == pytest.approx(there, rel=1e-6)
    off = held(6, working=True, heating=True)
    assert np.array_equal(vapour_of(BENCH, 750.0, 250.0, at), vapour_of(BENCH, 750.0, 250.0, off))


def test_the_extractor_keeps_its_hours() -> None:
    from_ms = local_ms(2027, 1, 11)
    t_ms = np.arange(from_ms, local_ms(2027, 1, 18), STEP_MS, dtype=np.int64)
    on = t_ms[indoor.hours(t_ms).extracting]
    assert (on[0], on[-1] + STEP_MS) == (local_ms(2027, 1, 12, 14), local_ms(2027, 1, 12, 15))
    assert len(on) == 6


def test_the_yard_is_outdoors() -> None:
    t_ms = FIRST_START_MS + np.arange(50) * 777_777
    for a, b in zip(workshop_air().at(YARD, t_ms), OutdoorYear.load().at(t_ms), strict=True):
        assert np.array_equal(a, b)


def test_peoples_water_is_in_the_air_by_an_independent_library() -> None:
    # Source: psychrolib 2.5 (ASHRAE Handbook Fundamentals 2017): grams per m3 from humidity ratio and moist air volume.
    # Tolerance: the handbook's gas constants carry four to six digits.
    psychrolib.SetUnitSystem(psychrolib.SI)
    room = replace(STILL, water_g_per_h=120.0)
    after = float(vapour_of(room, 700.0, 200.0, held(6, working=True))[-1])

    def grams(p_pa: float) -> float:
        ratio = psychrolib.GetHumRatioFromVapPres(p_pa, 101325.0)
        return float(1000 * ratio / psychrolib.GetMoistAirVolume(20.0, ratio, 101325.0) * room.volume_m3)

    assert grams(after) - grams(700.0) == pytest.approx(120.0, rel=1e-3)


def test_a_working_week_agrees_with_an_independent_solver() -> None:
    # Independent implementation: scipy.integrate.solve_ivp (LSODA), restarted wherever something switches.
    t_ms = np.arange(local_ms(2027, 1, 11), local_ms(2027, 1, 16), STEP_MS, dtype=np.int64)
    at = indoor.hours(t_ms)
    ours = vapour_of(BENCH, 700.0, 250.0, at)
    full = float(saturation_pressure_pa(20.0))
    back = BENCH.buffer_per_h / BENCH.buffer_ratio
    state = np.array([700.0, 700.0])
    edges = [0, *(np.flatnonzero(np.diff(at.working.astype(int))) + 1).tolist(), len(t_ms)]
    for begin, end in pairwise(edges):
        busy = bool(at.working[begin])
        n = BENCH.working_per_h if busy else BENCH.closed_per_h
        source = BENCH.water_g_per_h * 1e-3 * 461.5 * 293.15 / BENCH.volume_m3 if busy else 0.0

        def rates_of(_: float, y: Floats, n: float = n, source: float = source) -> list[float]:
            p, q = y
            drawn = n * (250.0 - p) + BENCH.wick_per_h * (full - p) + BENCH.buffer_per_h * (q - p) + source
            return [drawn, back * (p - q)]

        state = solve_ivp(rates_of, (0, (end - begin) * STEP_H), state, method="LSODA", rtol=1e-9, atol=1e-7).y[:, -1]
        assert ours[end - 1] == pytest.approx(state[0], rel=1e-6)


def test_an_unheated_room_nears_outdoors_exponentially() -> None:
    t_c = indoor.temperatures(STILL, 20.0, np.full(300, 5.0), held(300))
    hours_gone = STEP_H * np.arange(1, 301)
    floats_to = 5.0 + STILL.gain_k
    assert t_c == pytest.approx(floats_to + (20.0 - floats_to) * np.exp(-hours_gone / STILL.cooling_h), rel=1e-12)


def test_heating_holds_the_set_point_and_has_limited_power() -> None:
    t_c = indoor.temperatures(BENCH, 10.0, np.full(144, -10.0), held(144, heating=True))
    assert np.diff(t_c, prepend=10.0).max() <= BENCH.warm_up_k_per_h * STEP_H + 1e-12
    assert t_c[-1] == pytest.approx(BENCH.night_c)
    assert t_c.max() <= BENCH.night_c + 1e-12


def test_heating_alone_dries_the_air_as_an_independent_library_says() -> None:
    # Source: psychrolib 2.5, humidity from vapour pressure (ASHRAE Fundamentals 2017); same equation, so only rounding.
    psychrolib.SetUnitSystem(psychrolib.SI)
    night = psychrolib.GetRelHumFromVapPres(18.0, 650.0)
    day = psychrolib.GetRelHumFromVapPres(20.0, 650.0)
    assert day < night
    assert float(relative_humidity(18.0, 650.0)) == pytest.approx(night, rel=1e-9)
    assert float(relative_humidity(20.0, 650.0)) == pytest.approx(day, rel=1e-9)
    sealed = vapour_of(STILL, 650.0, 200.0, held(1), room_c=20.0)
    assert sealed[-1] == pytest.approx(650.0)


def test_hours_follow_the_towns_clock_through_its_changes() -> None:
    for month, day in ((3, 12), (3, 16), (10, 29), (11, 2)):  # workdays on either side of both changes, 2026
        year_day = datetime(2026, month, day, 7, tzinfo=TOWN)
        assert year_day.weekday() < 5
        t = np.array([round(year_day.timestamp() * 1000)]) + np.array([-STEP_MS, 0])
        assert indoor.hours(t).working.tolist() == [False, True]
    sunday = np.array([local_ms(2027, 1, 10, 10)])
    assert not indoor.hours(sunday).working[0]
    assert not indoor.hours(sunday).warm[0]


def month_of(zone: str, year: int, month: int) -> tuple[Floats, Floats, Floats]:
    """Temperature °C, humidity 0..1 and EMC % of a zone, every ten minutes of a month."""
    end = local_ms(year + month // 12, month % 12 + 1, 1)
    t_c, p_pa = workshop_air().at(zone, np.arange(local_ms(year, month, 1), end, STEP_MS))
    rh = relative_humidity(t_c, p_pa)
    return t_c, rh, emc_pct(t_c, rh)


@pytest.mark.parametrize("zone", ["bench-room", "finishing-room"])
@pytest.mark.parametrize(
    ("months", "celsius", "humidity", "emc"),
    [
        ([(2025, 12), (2026, 1), (2026, 2), (2026, 12), (2027, 1)], (18, 20), (0.31, 0.41), (6.5, 7.8)),
        ([(2026, 4)], (18, 20.5), (0.42, 0.54), (8.3, 9.7)),
        ([(2026, 6), (2026, 7), (2026, 8)], (21, 25.5), (0.55, 0.65), (10.0, 11.4)),
        ([(2026, 10)], (17, 20.5), (0.48, 0.60), (9.2, 10.6)),
    ],
)
def test_monthly_means_are_those_of_a_shop(
    zone: str,
    months: list[tuple[int, int]],
    celsius: tuple[float, float],
    humidity: tuple[float, float],
    emc: tuple[float, float],
) -> None:
    # The scenario's own promise, invented for the demo; no source.
    for year, month in months:
        means = [column.mean() for column in month_of(zone, year, month)]
        for mean, (low, high) in zip(means, (celsius, humidity, emc), strict=True):
            assert low <= mean <= high, (year, month, means)


def test_the_cold_week_draws_the_bench_room_to_its_dry_limit() -> None:
    def emc_at(zone: str, day: int, hour: int) -> float:
        t_c, p_pa = workshop_air().at(zone, local_ms(2027, 1, day, hour))
        return float(emc_pct(t_c, relative_humidity(t_c, p_pa)))

    assert 6.0 < emc_at("bench-room", 12, 7) < 6.6
    assert emc_at("bench-room", 12, 16) < emc_at("bench-room", 12, 7) < emc_at("bench-room", 12, 1)
    assert emc_at("bench-room", 13, 15) < 6.0
    t_c, p_pa = workshop_air().at("bench-room", local_ms(2027, 1, 12, 7) + np.arange(60) * STEP_MS)
    assert 19.8 < t_c.min() <= t_c.max() < 20.2
    assert 0.28 < relative_humidity(t_c, p_pa).min() < relative_humidity(t_c, p_pa).max() < 0.33
    assert emc_at("rack-loft", 12, 9) > emc_at("finishing-room", 12, 9) > emc_at("bench-room", 12, 9)


@pytest.mark.parametrize("zone", [room.zone for room in ROOMS])
def test_no_room_ever_nears_saturation(zone: str) -> None:
    t_c, p_pa = workshop_air().at(zone, np.arange(PAST_FROM_MS, local_ms(2027, 12, 31), STEP_MS))
    assert 0.2 < relative_humidity(t_c, p_pa).min() < relative_humidity(t_c, p_pa).max() < 0.95
    assert 10.0 < t_c.min() < t_c.max() < 32.0


def test_the_air_does_not_depend_on_who_asked_first() -> None:
    one, other = IndoorAir(OutdoorYear.load()), IndoorAir(OutdoorYear.load())
    t = local_ms(2026, 1, 5) + np.arange(0, 40) * 333_333
    for early in range(indoor.ORIGIN_MS, local_ms(2026, 1, 5), 11 * 86_400_000):
        one.at("rack-loft", early)
    for zone in ("rack-loft", "bench-room"):
        for a, b in zip(one.at(zone, t), other.at(zone, t), strict=True):
            assert np.array_equal(a, b)


def test_past_and_live_join_without_a_step() -> None:
    around = FIRST_START_MS + np.arange(-3600, 3600) * 1000
    t_c, p_pa = workshop_air().at("bench-room", around)
    assert np.abs(np.diff(t_c)).max() < BENCH.warm_up_k_per_h / 3600 + 1e-9
    assert np.abs(np.diff(p_pa)).max() < 0.2


def test_the_spin_up_has_forgotten_its_beginning() -> None:
    # Another beginning of the buffer (0.40 instead of 0.55) must not show when the past begins.
    other = IndoorAir(OutdoorYear.load())
    other._last = {zone: replace(state, buffer_rh=0.40) for zone, state in other._last.items()}
    for room in ROOMS:
        ours, theirs = (air.at(room.zone, PAST_FROM_MS)[1] for air in (workshop_air(), other))
        assert float(ours) == pytest.approx(float(theirs), rel=1e-3)


def test_before_the_origin_and_in_no_zone_there_is_no_air() -> None:
    with pytest.raises(ValueError, match=r"would be right: \d+ .* or later"):
        workshop_air().at("bench-room", indoor.ORIGIN_MS - 1)
    with pytest.raises(KeyError):
        workshop_air().at("cellar", FIRST_START_MS)


def test_a_room_of_no_size_is_refused() -> None:
    with pytest.raises(ValueError, match="volume_m3: found 0"):
        replace(BENCH, volume_m3=0.0)
    with pytest.raises(ValueError, match="wick_per_h: found -1"):
        replace(BENCH, wick_per_h=-1.0)
