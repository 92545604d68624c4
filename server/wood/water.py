"""How much water holds a room's air where it draws wood to an aim, and at which temperature it takes none.

A balance of the room's vapour over a day. Air that comes in brings the humidity ratio of outdoors and pushes out as
much dry air at the room's; what the stock, people or a flame give counts against it. Positive figures are to be added,
negative ones removed. Source: ASHRAE Handbook - Fundamentals, chapter 1 (2017: humidity ratio, eq. 20; specific volume,
eq. 26) and chapter 16, from memory (air change rate; the water that air brings is its mass flow times the difference in
humidity ratio).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood import air, emc
from server.wood.air import STANDARD_PRESSURE_PA, ZERO_CELSIUS_K, Floats
from server.wood.ranges import INDOORS_C, OUTDOORS_C, within

DRY_AIR_GAS_CONSTANT = 287.042
"""J/(kg K); ASHRAE Fundamentals (2017) ch. 1, eq. 1."""
HOURS_A_DAY = 24.0
MOST_AIR_CHANGES_PER_H = 20.0
MOST_VOLUME_M3 = 100_000.0

_CARBON, _HYDROGEN, _OXYGEN = 12.011, 1.008, 15.999
"""g/mol, IUPAC standard atomic weights (abridged)."""
WATER_PER_PROPANE = 4 * (2 * _HYDROGEN + _OXYGEN) / (3 * _CARBON + 8 * _HYDROGEN)
"""kg of water a kg of propane burns to, C3H8 + 5 O2 -> 3 CO2 + 4 H2O: 1.634."""
HOLDS_WITHOUT_WATER_C = (5.0, 30.0)
"""Where a what-if is answered: below it people and glue are cold, above it nobody heats a shop."""


@dataclass(frozen=True, slots=True)
class Gains:
    """What feeds a room's air apart from a humidifier, kg of water a day; what takes water (dry stock) is negative.

    ``propane`` is kg of gas a day burnt *without a flue*. Such a flame also gives carbon monoxide: whoever shows a
    figure that leans on it has to say so. Each within -500..500 (propane 0..100); raises ValueError.
    """

    stock_kg_per_day: float = 0.0
    people_kg_per_day: float = 0.0
    propane_kg_per_day: float = 0.0

    def __post_init__(self) -> None:
        within("stock_kg_per_day", self.stock_kg_per_day, -500, 500, "kg of water a day")
        within("people_kg_per_day", self.people_kg_per_day, 0, 500, "kg of water a day")
        within("propane_kg_per_day", self.propane_kg_per_day, 0, 100, "kg of propane a day")

    @property
    def water_kg_per_day(self) -> float:
        """All of it together, kg of water a day."""
        return self.stock_kg_per_day + self.people_kg_per_day + WATER_PER_PROPANE * self.propane_kg_per_day


NO_GAINS = Gains()


@dataclass(frozen=True, slots=True)
class Room:
    """A room and how its air comes and goes. Raises ValueError for figures out of range.

    An extractor that blows outdoors is an air change of its own: what it takes out while it runs comes in through the
    cracks. It is added whole; a leaky room's own draught weakens a little while it runs, so the sum is the most.
    """

    volume_m3: float
    air_changes_per_h: float
    extractor_m3_per_h: float = 0.0
    extractor_h_per_day: float = 0.0

    def __post_init__(self) -> None:
        within("volume_m3", self.volume_m3, 0, MOST_VOLUME_M3, "m³", open_below=True)
        within("air_changes_per_h", self.air_changes_per_h, 0, MOST_AIR_CHANGES_PER_H, "changes an hour")
        within("extractor_m3_per_h", self.extractor_m3_per_h, 0, 100_000, "m³ an hour")
        within("extractor_h_per_day", self.extractor_h_per_day, 0, HOURS_A_DAY, "hours a day")

    @property
    def air_m3_per_day(self) -> float:
        """Room air that is replaced by outdoor air in a day, m³ at the room's own state."""
        own = self.volume_m3 * self.air_changes_per_h * HOURS_A_DAY
        return own + self.extractor_m3_per_h * self.extractor_h_per_day


def dry_air_kg_per_m3(temperature_c: ArrayLike, pressure_pa: ArrayLike) -> Floats:
    """Dry air in a cubic metre of moist air holding ``pressure_pa`` of vapour, kg/m³, at sea level.

    Source: ASHRAE Fundamentals (2017) ch. 1, eq. 26 turned over. Broadcasts. At 20 °C and 980 Pa: 1.1925.
    """
    t_k = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    return (STANDARD_PRESSURE_PA - np.asarray(pressure_pa, dtype=np.float64)) / (DRY_AIR_GAS_CONSTANT * t_k)


def dry_air_kg_per_day(room: Room, indoor_c: ArrayLike, rh: ArrayLike) -> Floats:
    """Dry air that passes through the room in a day, kg. Raises ValueError for air out of range."""
    pressure = air.vapour_pressure_pa(within("indoor_c", indoor_c, *INDOORS_C, "°C"), _rh("rh", rh))
    return dry_air_kg_per_m3(indoor_c, pressure) * room.air_m3_per_day


def water_kg_per_day(
    room: Room,
    indoor_c: ArrayLike,
    rh: ArrayLike,
    outdoor_c: ArrayLike,
    outdoor_rh: ArrayLike,
    *,
    gains: Gains = NO_GAINS,
) -> Floats:
    """Water that keeps the room at ``rh`` (0..1, over water), kg a day, which is litres: added where positive.

    mass flow of dry air x (humidity ratio inside - outside) - gains; a steady room over one day. Broadcasts. Raises
    ValueError: indoors -20..50 °C, outdoors -50..50 °C, humidity 0..1. A room of 150 m³, 0.5 changes an hour, 20 °C and
    42 % against -5 °C and 80 %: 8.6 kg a day.
    """
    p_out = air.vapour_pressure_pa(within("outdoor_c", outdoor_c, *OUTDOORS_C, "°C"), _rh("outdoor_rh", outdoor_rh))
    flow = dry_air_kg_per_day(room, indoor_c, rh)
    inside = air.humidity_ratio(air.vapour_pressure_pa(indoor_c, rh))
    return np.asarray(flow * (inside - air.humidity_ratio(p_out)) - gains.water_kg_per_day)


def unfed_pressure_pa(
    room: Room, indoor_c: float, outdoor_c: float, outdoor_rh: float, *, gains: Gains = NO_GAINS
) -> float:
    """Vapour pressure the room comes to when nobody adds or removes water, Pa; nan where no air passes to carry gains.

    Without gains it is that of outdoors, at any temperature. With them the humidity ratio lies higher by gains / mass
    flow, and that flow is of air which holds this vapour: w = w_o + g / (V (P - p) / (R T)) and p = P w / (0.622 + w)
    meet in a linear equation for w, since P - p = 0.622 P / (0.622 + w). The flow is that of a room at ``indoor_c``;
    10 K more or less change it, and what the gains add, by 3 %.
    """
    p_out = air.vapour_pressure_pa(within("outdoor_c", outdoor_c, *OUTDOORS_C, "°C"), _rh("outdoor_rh", outdoor_rh))
    within("indoor_c", indoor_c, *INDOORS_C, "°C")
    if gains.water_kg_per_day == 0.0:
        return float(p_out)
    ratio, outside = air.RATIO_OF_MOLAR_MASSES, float(air.humidity_ratio(p_out))
    driest_flow = float(dry_air_kg_per_m3(indoor_c, 0.0)) * room.air_m3_per_day
    share = gains.water_kg_per_day / (ratio * driest_flow) if driest_flow > 0 else np.inf
    if share >= 1.0:
        return float("nan")
    w = max(0.0, (outside + share * ratio) / (1.0 - share))
    return STANDARD_PRESSURE_PA * w / (ratio + w)


def temperature_holding_c(aim_pct: ArrayLike, pressure_pa: ArrayLike) -> Floats:
    """The temperature at which air of this vapour pressure draws wood to ``aim_pct``; -inf or inf beyond 5..30 °C.

    Heating moves no water: the vapour pressure stays and the relative humidity follows the temperature. The pressure
    that holds an aim, h(aim, T) p_sat(T), rises with T all the way, its logarithm nearly straight, so false position on
    it inside 5..30 °C, with the end that stays halved (Illinois) and bisection as its guard, is at 1e-10 K within a few
    steps. -inf: below 5 °C already too dry for the aim; inf: even 30 °C is too damp. Broadcasts. Air of 760 Pa holds
    7 % at 18.8 °C. Raises ValueError for an aim outside 0.5..25 %.
    """
    m, p = np.broadcast_arrays(
        within("aim_pct", aim_pct, 0.5, 25, "% MC"), within("pressure_pa", pressure_pa, 0, STANDARD_PRESSURE_PA, "Pa")
    )
    with np.errstate(divide="ignore"):
        target = np.log(p)
    low, high = np.full(m.shape, HOLDS_WITHOUT_WATER_C[0]), np.full(m.shape, HOLDS_WITHOUT_WATER_C[1])
    below, above = _holding(m, low) - target, _holding(m, high) - target
    beyond = np.where(below > 0, -np.inf, np.where(above < 0, np.inf, 0.0))
    for _ in range(60):
        with np.errstate(invalid="ignore", divide="ignore"):
            t = low - below * (high - low) / (above - below)
        t = np.where((t > low) & (t < high), t, 0.5 * (low + high))
        miss = _holding(m, t) - target
        up = miss < 0
        low, high = np.where(up, t, low), np.where(up, high, t)
        below, above = np.where(up, miss, 0.5 * below), np.where(up, 0.5 * above, miss)
        if np.all((np.abs(miss) < 1e-13) | (high - low < 1e-11) | (beyond != 0)):
            break
    return np.asarray(np.where(beyond != 0, beyond, t))


def _holding(aim_pct: Floats, temperature_c: Floats) -> Floats:
    return np.log(emc.humidity_for_emc(temperature_c, aim_pct) * air.saturation_pressure_pa(temperature_c))


def _rh(name: str, given: ArrayLike) -> Floats:
    return within(name, given, 0, 1, "(a fraction, not per cent)")
