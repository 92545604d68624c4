"""How leaky a room is and how much water its walls and stock buffer, learnt from its own nights against outdoors.

At night nobody works and nothing is fed, so the humidity ratio w of the room's air moves for four reasons only:

    dw/dt = n (w_o - w) - B w_s dh/dt + k w_s (f - h) + g

n, the air changes an hour against outdoors w_o; the skins of walls and stock, which keep up with the room's humidity h
and hold B times what the air itself holds (w_s(T) is the humidity ratio of saturation); deeper layers, which pull
towards f, the humidity they are in balance with; and g, a steady source such as wet stock or a cellar floor.

Skins and leaks cannot be told apart by w alone: with B = 9 a room follows outdoors ten times slower, as if n were a
tenth. The falling temperature of the night tells them apart. As w_s dh = dw - h dw_s, with s = B / (1 + B) and all
over 1 + B, dw = s h dw_s + (1 - s) [n (w_o - w) + k w_s (f - h) + g] dt: where skins rule, the air dries as it cools.
The deeper layers follow the room day and night whatever feeds it, so f is the *measured* humidity after a first-order
lag b: known for every b. For each b of a row the rest is linear. The equation is integrated from the night's first bin
on, not differentiated, and each night has a start of its own. Least squares with Huber's weights (a door, a gust);
the b with the least loss stands. Spread: the central 80 % over nights drawn with replacement, widened by what the
method itself misses on computed rooms. The form is the usual one of a room with a moisture buffer; no source is claimed
for the method: tests/wood/test_leakiness.py tries it on rooms computed by other means.

What it cannot know: air from a neighbouring room counts as outdoor air as far as it is as dry, and a humidity sensor
off by a constant goes into g. A room that is fed at night, or hardly cools, does not tell, and that is then said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood import air
from server.wood.air import Floats
from server.wood.ensemble import END_OF_80
from server.wood.lag import first_order
from server.wood.night_fit import Fitted, fit
from server.wood.ranges import INDOORS_C, OUTDOORS_C, alike, rising, within
from server.wood.water import dry_air_kg_per_m3

NIGHTS_NEEDED = 14
"""Two weeks hold a change of weather. Common practice, no source; the tests hold what comes of them."""
LEAST_STEPS_A_NIGHT = 4
LONGEST_STEP_H = 1.6
"""Bins further apart than this have a gap between them: no equation across it."""
LONGEST_BRIDGE_H = 6.0
SETTLED_H = 24.0
"""After a longer silence nobody knows what the layers hold: a day is not learnt from."""
LAGS_H = np.geomspace(6.0, 240.0, 16)
FINER = 21
METHOD_SPREAD_K = 0.35
"""Over the K by which the median night cools: the standard deviation of ln n and ln (1 + B) that stays on computed
rooms with perfect sensors, 0.06 for 6 K and 0.2 for 1.7 K. A room that cools by less than this does not tell."""
EVENED_BY_DEGREE = 3
"""A night's temperature is evened by a cubic: the thermometer's noise is in w too, and both would pass for skins."""
TIGHTEST_PER_H = 0.03
"""The tightest houses built, 0.6 changes an hour at 50 Pa, leak a twentieth of that (rule of thumb, from memory)."""
MOST_SHARE = 0.97
"""Skins that hold more than 32 times what the air does are not seen in rooms: something feeds them with the warmth."""
HOUR_S = 3600.0
G_PER_KG = 1000.0

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Leakiness:
    """What the nights say; ``_low`` and ``_high`` bound the central 80 %."""

    air_changes_per_h: float
    air_changes_per_h_low: float
    air_changes_per_h_high: float
    skin_times_air: float
    """B: what skins hold, times what the room's air holds."""
    skin_times_air_low: float
    skin_times_air_high: float
    pull_per_h: float
    """k of the deeper layers."""
    lag_h: float
    source_g_per_kg_h: float
    """g of water an hour to each kg of the room's dry air."""
    nights: int

    def skin_kg_per_pct(self, volume_m3: float, temperature_c: float = 20.0) -> float:
        """Water the skins take up at once for each 1 % RH that the room gets damper, kg."""
        within("volume_m3", volume_m3, 0, 100_000, "m³", open_below=True)
        saturated = air.saturation_pressure_pa(temperature_c)
        held = dry_air_kg_per_m3(temperature_c, saturated) * air.humidity_ratio(saturated)
        return float(self.skin_times_air * held * volume_m3 / 100.0)


class NotEnoughNights(ValueError):
    """Too little was heard at night to learn from. ``nights`` can be used, ``needed`` would be enough."""

    def __init__(self, nights: int, needed: int) -> None:
        self.nights, self.needed = nights, needed
        super().__init__(
            f"nights: found {nights} that can be used, not enough nights; would be right: {needed} or more"
        )


class NightsDoNotTell(ValueError):
    """The nights are there, and what moved the air in them was not the leak and the skins."""

    def __init__(self, nights: int) -> None:
        self.nights = nights
        super().__init__(
            f"nights: found {nights} that do not tell leaks from walls; would be right: nights when the room cools by "
            "some K, nobody is in it and nothing is fed or dried"
        )


def learn(
    time_s: ArrayLike,
    *,
    indoor_c: ArrayLike,
    indoor_rh: ArrayLike,
    outdoor_c: ArrayLike,
    outdoor_rh: ArrayLike,
    night: ArrayLike,
    seed: int = 1,
) -> Leakiness:
    """Learn from bins (n,) of half an hour or an hour; bins not heard, in or out, are left out of all rows.

    ``time_s`` s, rising; temperatures °C; humidities 0..1 over water; ``night`` True where nobody works and nothing is
    fed. Bins of the day are needed too: they say what the layers hold. The same input gives the same answer (``seed``
    draws the nights). Raises :class:`NotEnoughNights`, :class:`NightsDoNotTell`; ValueError for ranges, unequal lengths
    and time going back.
    """
    t = rising("time_s", time_s)
    alike(time_s=t, indoor_c=indoor_c, indoor_rh=indoor_rh, outdoor_c=outdoor_c, outdoor_rh=outdoor_rh, night=night)
    inside, outside = within("indoor_c", indoor_c, *INDOORS_C, "°C"), within("outdoor_c", outdoor_c, *OUTDOORS_C, "°C")
    h = within("indoor_rh", indoor_rh, 0, 1, "(a fraction, not per cent)")
    h_out = within("outdoor_rh", outdoor_rh, 0, 1, "(a fraction, not per cent)")
    w_out = G_PER_KG * air.humidity_ratio(air.vapour_pressure_pa(outside, h_out))
    of_night = _nights(np.diff(t) / HOUR_S, np.asarray(night, np.bool_))
    columns, change, of_row = _equations(t, inside, h, w_out, of_night=of_night, lags_h=LAGS_H)
    near = fit(columns, change, of_row, seed).best
    # The answer leans on the lag more than a coarse row allows: a lag 8 % off shifted n by 20 % in computed rooms.
    ends = LAGS_H[max(0, near - 2)], LAGS_H[min(LAGS_H.size - 1, near + 2)]
    lags_h = np.geomspace(*ends, FINER)
    columns, change, of_row = _equations(t, inside, h, w_out, of_night=of_night, lags_h=lags_h)
    fitted = fit(columns, change, of_row, seed)
    return _told(fitted, float(lags_h[fitted.best]), METHOD_SPREAD_K / _cooled_k(inside, of_night), of_night)


def _nights(step_h: Floats, night: NDArray[np.bool_]) -> Ints:
    """The night of each step between two bins, counted from 0; -1 for a step of no use. Raises NotEnoughNights."""
    silent = step_h > LONGEST_BRIDGE_H
    at_h = np.concatenate([[0.0], np.cumsum(step_h)])
    heard_since = np.maximum.accumulate(np.concatenate([[0.0], np.where(silent, at_h[1:], 0.0)]))
    usable = night[1:] & night[:-1] & (step_h <= LONGEST_STEP_H) & (at_h[:-1] >= heard_since[:-1] + SETTLED_H)
    name = np.cumsum(~night[:-1] | silent)
    names, count = np.unique(name[usable], return_counts=True)
    full = names[count >= LEAST_STEPS_A_NIGHT]
    if full.size < NIGHTS_NEEDED:
        raise NotEnoughNights(int(full.size), NIGHTS_NEEDED)
    usable &= np.isin(name, full)
    return np.where(usable, np.searchsorted(full, name), -1)


def _cooled_k(inside: Floats, of_night: Ints) -> float:
    """By how many K the median night's warmest and coldest bin differ. Raises NightsDoNotTell below what it takes."""
    used = np.flatnonzero(of_night >= 0)
    first = np.flatnonzero(np.diff(of_night[used], prepend=-1))
    cooled = np.maximum.reduceat(inside[used], first) - np.minimum.reduceat(inside[used], first)
    if (typical := float(np.median(cooled))) <= METHOD_SPREAD_K:
        raise NightsDoNotTell(first.size)
    return typical


def _evened(t: Floats, values: Floats, of_night: Ints) -> Floats:
    out = values.copy()
    for night in range(int(of_night.max()) + 1):
        steps = np.flatnonzero(of_night == night)
        bins = np.union1d(steps, steps + 1)
        at = 2.0 * (t[bins] - t[bins[0]]) / (t[bins[-1]] - t[bins[0]]) - 1.0
        out[bins] = np.polyval(np.polyfit(at, values[bins], EVENED_BY_DEGREE), at)
    return out


def _equations(
    t: Floats, inside: Floats, h: Floats, w_out: Floats, *, of_night: Ints, lags_h: Floats
) -> tuple[Floats, Floats, Ints]:
    """Columns (lags, rows, 4) for leak, share, pull and source, w itself (rows,), both about each night's own mean, and
    each row's night. A row is a bin of a night; columns are summed up over the night's steps."""
    w = G_PER_KG * air.humidity_ratio(air.vapour_pressure_pa(inside, h))
    w_s = G_PER_KG * air.humidity_ratio(air.saturation_pressure_pa(inside))
    layers = first_order(t, np.broadcast_to(h, (lags_h.size, t.size)), lags_h * HOUR_S)
    rates = np.stack(np.broadcast_arrays(w_out - w, 0.0, w_s * (layers - h), 1.0), axis=-1)
    steps = 0.5 * (rates[:, 1:] + rates[:, :-1]) * (np.diff(t) / HOUR_S)[:, None]
    steps[..., 1] = 0.5 * (h[1:] + h[:-1]) * np.diff(_evened(t, w_s, of_night))
    used = np.flatnonzero(of_night >= 0)
    first = np.flatnonzero(np.diff(of_night[used], prepend=-1))
    # A night begins with a row of no step; sums may run on from night to night, its own mean is taken off.
    rows = np.cumsum(np.insert(steps[:, used], first, 0.0, axis=1), axis=1)
    level = np.cumsum(np.insert(np.diff(w)[used], first, 0.0))
    of_row = np.insert(of_night[used], first, of_night[used][first])
    starts = np.flatnonzero(np.diff(of_row, prepend=-1))
    size = np.diff(np.append(starts, of_row.size))
    rows -= (np.add.reduceat(rows, starts, axis=1) / size[:, None])[:, of_row]
    level -= (np.add.reduceat(level, starts) / size)[of_row]
    return rows, level, of_row


def _told(fitted: Fitted, lag_h: float, own_spread: float, of_night: Ints) -> Leakiness:
    """Raises NightsDoNotTell: more than one draw in ten has skins without bound, or all are tighter than any house."""
    nights = int(of_night.max()) + 1
    leak, share, pull, source = (float(value) for value in fitted.unknowns)
    least, most = (round(q * (fitted.drawn.shape[0] - 1)) for q in (0.1, 0.9))
    if max(share, np.sort(fitted.drawn[:, 1])[most]) > MOST_SHARE:
        raise NightsDoNotTell(nights)
    more = 1.0 / (1.0 - share)
    drawn_more = 1.0 / (1.0 - np.minimum(fitted.drawn[:, 1], MOST_SHARE))
    leaks = _widened(leak * more, np.sort(fitted.drawn[:, 0] * drawn_more)[[least, most]], own_spread)
    skins = _widened(more, np.sort(drawn_more)[[least, most]], own_spread)
    if leaks[1] < TIGHTEST_PER_H:
        raise NightsDoNotTell(nights)
    return Leakiness(
        air_changes_per_h=leak * more,
        air_changes_per_h_low=leaks[0],
        air_changes_per_h_high=leaks[1],
        skin_times_air=more - 1.0,
        skin_times_air_low=max(0.0, skins[0] - 1.0),
        skin_times_air_high=skins[1] - 1.0,
        pull_per_h=pull * more,
        lag_h=lag_h,
        source_g_per_kg_h=source * more,
        nights=nights,
    )


def _widened(value: float, ends: Floats, own_spread: float) -> tuple[float, float]:
    """The interval and the method's own miss, added as the logarithms of independent factors are."""
    low, high = min(value, float(ends[0])), max(value, float(ends[1]))
    if low <= 0.0:
        return 0.0, high * float(np.exp(END_OF_80 * own_spread))
    down, up = (float(np.hypot(np.log(ratio), END_OF_80 * own_spread)) for ratio in (value / low, high / value))
    return value * float(np.exp(-down)), value * float(np.exp(up))
