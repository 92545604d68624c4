"""Does the air hold through the clamp time? By the outlook, its temperature likewise out of the zone's own past; of a
zone that was just hung it goes by what the same hours of the last week did.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from server.advice.base import EMC_SOURCE, NOTHING, PRACTICE, Limit, Line, ends
from server.advice.glue_up.base import Answered, GlueView, RoomAir, Values, names
from server.advice.glue_up.warm import HALF_HOUR_S, SENSOR_K, Lowest, coldest_board
from server.reading import Word
from server.wood.adhesive import Needed
from server.wood.air import Floats, dew_point_c, saturation_pressure_pa
from server.wood.emc import emc_pct as draws_to
from server.wood.emc import humidity_for_emc
from server.wood.ensemble import END_OF_80, Spread
from server.words import Sentence, When
from server.words.of_adhesive import CAUTION

DAY_BINS = 48
LOOKED_BINS = 4 * DAY_BINS
"""Four days: as far as an outlook reaches. A longer clamp time is judged by its first four."""
SLACK_H = 0.25
"""As long as the question of a panel in its clamps lets pass. Common practice, no source."""
SWEATS_K = 1.0
"""Wood that is not this much warmer than the dew point may sweat. Common practice, no source."""
_LEAST_K = SENSOR_K
_WARMTH = (
    "Temperature ahead: the zone's own last two months, their level and daily cycle and how departures from them died "
    "away; its ends are what this missed by there."
)
_TEMPERATURE = f"Temperature ahead: what it did in the same hours of the last week's days. {PRACTICE}"
_OUTLOOK = "EMC and dew point ahead: this zone's own outlook, out of its own past."


@dataclass(frozen=True, slots=True)
class Ahead:
    """Half hours from now on, each with its middle and the ends of its central 80 %."""

    temperature_c: Spread
    emc_pct: Spread
    dew_point_c: Spread


class AirAhead:
    """Temperature, dew point and EMC through the clamp time."""

    name = "air-holds"
    summary = "whether the air stays warm enough, and dry enough for the wood not to sweat, through the clamp time"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``coldest_c`` through the clamp time, ``dew_point_c`` at the highest, ``emc_change_pct`` at the farthest from
        now, each with its ends; ``needed_clamp_h`` and ``needed_clamp_h_high`` by the adhesive's figures for the mean
        temperature (None where there are none); ``looked_h``."""
        clamp = bins_of(view.asked.clamp_h)
        found = ahead(view.room, clamp)
        coldest, dew = _lowest(found.temperature_c), _highest(found.dew_point_c)
        emc = view.room.emc_pct
        far = int(np.abs(found.emc_pct.middle - emc).argmax())
        change = Spread(*(getattr(found.emc_pct, end)[far : far + 1] - emc for end in ("middle", "low", "high")))
        runs = Sentence("glue-air-runs", {
            "zone": view.name(view.room.zone), "coldest_c": float(coldest.middle[0]), "low_c": float(coldest.low[0]),
            "dew_point_c": float(dew.middle[0]), "change_pct": abs(float(change.middle[0])),
        })  # fmt: skip
        mean_c = float(np.mean(found.temperature_c.middle))
        needs = view.family.needs("clamp", float(np.clip(mean_c, -50, 100)))
        word, title, said = _said(view, found, coldest, runs)
        if (longer := _longer(needs, view.asked.clamp_h, mean_c)) is not None:
            said = (*said, longer) if word != "ready" else (longer, *said)
            word, title = ("look", Sentence("glue-air-longer-title")) if word == "ready" else (word, title)
        if not view.room.heard:  # then nothing is known of it
            coldest = dew = change = NOTHING
        figures: dict[str, Any] = {
            **ends("coldest_c", coldest), **ends("dew_point_c", dew), **ends("emc_change_pct", change),
            "needed_clamp_h": needs.low_h, "needed_clamp_h_high": needs.high_h, "mean_c": mean_c,
            "looked_h": clamp * HALF_HOUR_S / 3600.0,
        }  # fmt: skip
        row = view.family.lowest_in_clamps
        lowest = Lowest(row)
        limits = {} if lowest.sure_c is None else {"sure_c": lowest.sure_c, "sweats_k": SWEATS_K}
        known = "gels" if view.family.gels else "yes" if limits else "no"
        limit = Limit(
            Sentence("glue-air-limit", {"known": known, "sure_c": lowest.sure_c or 0.0, "sweats_k": SWEATS_K}),
            f"{row.source} ({row.provenance})", limits,
        )  # fmt: skip
        clamps = (f"Clamp time: {needs.source} ({needs.provenance})",)
        return Line(
            self.name, word, Sentence("glue-air-asked", {"clamp_h": view.asked.clamp_h}), said, figures, limit,
            (_TEMPERATURE if view.room.warmth is None else _WARMTH, _OUTLOOK, EMC_SOURCE, *clamps), CAUTION,
            title=title,
        )  # fmt: skip


def _longer(needs: Needed, clamp_h: float, mean_c: float) -> Sentence | None:
    """Where the clamp time is too short, or for some of the family too short, as the panel in its clamps would say."""
    if needs.low_h is None or needs.high_h is None:
        return None
    sure = clamp_h < needs.low_h
    if not sure and clamp_h + SLACK_H >= needs.high_h:
        return None
    values: Values = {"needed_h": needs.low_h if sure else needs.high_h, "clamp_h": clamp_h, "temperature_c": mean_c}
    return Sentence("glue-air-longer", {**values, "sure": "yes" if sure else "no"})


def bins_of(clamp_h: float) -> int:
    """Half hours of a clamp time that are looked at, one at the least."""
    return int(np.clip(np.ceil(clamp_h * 3600.0 / HALF_HOUR_S), 1, LOOKED_BINS))


def ahead(room: RoomAir, bins: int) -> Ahead:
    """The next half hours of a room. Its dew point goes by the temperature of the middle and what the outlook draws
    wood to: what comes with warmth is in both."""
    c = warmth_ahead(room, bins)
    airs, doubt = room.ahead.sides()
    edges, emc = airs.edges_s - airs.edges_s[0], airs.emc_pct()
    step = np.clip(np.searchsorted(edges, HALF_HOUR_S * (np.arange(bins) + 0.5), side="right") - 1, 0, len(airs) - 1)
    columns = (0, 1, 2) if doubt else (0, 0, 0)
    emc_ahead = Spread(*(emc[step, i] for i in columns))
    most = draws_to(c.middle, 1.0)
    dews = []
    for values in (emc_ahead.middle, emc_ahead.low, emc_ahead.high):
        rh = humidity_for_emc(c.middle, np.clip(values, 0.01, most))
        dews.append(np.asarray(dew_point_c(rh * saturation_pressure_pa(c.middle))))
    return Ahead(c, emc_ahead, Spread(*dews))


def warmth_ahead(room: RoomAir, bins: int) -> Spread:
    """A room's temperature for the next half hours, never surer of itself than a sensor."""
    found = room.warmth
    if found is None:
        return temperature_ahead(room.recent.temperature_c[:, 0], room.recent.known[:, 0], bins)
    at_s, points_s = HALF_HOUR_S * np.arange(1, bins + 1), (found.t_ms - found.t_ms[0]) / 1000.0
    middle, low, high = (np.interp(at_s, points_s, end) for end in (found.middle, found.low, found.high))
    return Spread(middle, middle - np.hypot(middle - low, _LEAST_K), middle + np.hypot(high - middle, _LEAST_K))


def temperature_ahead(past_c: Floats, known: NDArray[np.bool_], bins: int) -> Spread:
    """A room's temperature for the next half hours: now, and what it did from this hour on on each of the days before.

    ``past_c`` are its last half hours, the last one now. The spread is that of those days (80 %, by Student's t for so
    few), and never less than a sensor's; with no such day it is the range of all that was heard.
    """
    now, last = past_c.size - 1, float(past_c[-1])
    lead = np.arange(1, bins + 1)
    rose = []
    for day in range(1, now // DAY_BINS + 1):
        i = now - DAY_BINS * day
        reached = i + lead
        there = (reached <= now) & known[i] & known[np.minimum(reached, now)]
        rose.append(np.where(there, past_c[np.minimum(reached, now)] - past_c[i], np.nan))
    days = np.array(rose).reshape(-1, bins)
    n = np.isfinite(days).sum(axis=0)
    mean = np.where(n > 0, np.nansum(days, axis=0) / np.maximum(n, 1), 0.0)
    about = np.nansum((days - mean) ** 2, axis=0) / np.maximum(n - 1, 1)
    # Student's t at 90 % over the normal, and the mean's own error, to first order: as the outlook has it.
    half = END_OF_80 * np.sqrt(about * (1.0 + 1.0 / np.maximum(n, 1))) * (1.0 + 1.16 / np.maximum(n - 1, 1))
    heard = past_c[known]
    wide = float(np.ptp(heard)) if heard.size else 2.0 * END_OF_80
    half = np.hypot(np.where(n > 1, half, wide), _LEAST_K)
    return Spread(last + mean, last + mean - half, last + mean + half)


def air_days(view: GlueView) -> Spread:
    """Until a clamp time begins all through which the room is surely warm enough, four days ahead at the most; 0 where
    that is now, or no figure is known, nan where there is none."""
    return air_in(view, view.room)


def air_in(view: GlueView, room: RoomAir) -> Spread:
    """The same in another zone. The ends go by the warm and the cold end of what is expected."""
    needed = Lowest(view.family.lowest_in_clamps).sure_c
    if needed is None:
        return Spread(*(np.zeros(1) for _ in range(3)))
    clamp = bins_of(view.asked.clamp_h)
    found = warmth_ahead(room, LOOKED_BINS + clamp)
    # The cold end of every half hour at once is no night there will be: it decides as the question itself does.
    return Spread(*(np.array([_first_warm(getattr(found, end), clamp, needed)]) for end in ("middle", "high", "low")))


def _first_warm(c: Floats, clamp: int, needed: float) -> float:
    least = np.lib.stride_tricks.sliding_window_view(c, clamp).min(axis=-1)
    warm = least >= needed - 1e-6
    return float(warm.argmax()) / DAY_BINS if warm.any() else float("nan")


def _lowest(of: Spread) -> Spread:
    return _at(of, int(of.middle.argmin()))


def _highest(of: Spread) -> Spread:
    return _at(of, int(of.middle.argmax()))


def _at(of: Spread, i: int) -> Spread:
    return Spread(*(getattr(of, end)[i : i + 1] for end in ("middle", "low", "high")))


def _said(view: GlueView, found: Ahead, coldest: Spread, runs: Sentence) -> Answered:
    zone, lowest = view.name(view.room.zone), Lowest(view.family.lowest_in_clamps)
    middle, low = float(coldest.middle[0]), float(coldest.low[0])
    if not view.room.heard:
        return "look", Sentence("glue-unheard-title"), (Sentence("glue-unheard", {"zone": zone}),)
    wood = coldest_board(view)
    if wood.temperature_c < float(found.dew_point_c.middle[0]) + SWEATS_K:
        values: Values = {
            "name": wood.name,
            "wood_c": wood.temperature_c,
            "dew_point_c": float(found.dew_point_c.middle[0]),
        }
        return "look", Sentence("glue-air-sweats-title"), (Sentence("glue-air-sweats", values), runs)
    if lowest.sure_c is None or lowest.broken_c is None:
        return "ready", None, (Sentence("glue-air-holds"), runs)
    at = _coldest_at(view, found)
    keep: Values = {"zone": zone, "names": names(view.boards), "temperature_c": lowest.sure_c, "at": at}
    if middle < lowest.broken_c:
        word: Word = "act" if lowest.row.hard else "look"
        return (
            word,
            Sentence("glue-air-cold-title"),
            (Sentence("glue-air-cold", keep), runs, Sentence("caution-heater")),
        )
    if low < lowest.sure_c:
        return "look", Sentence("glue-air-maybe-title"), (Sentence("glue-air-maybe", keep), runs)
    return "ready", None, (Sentence("glue-air-holds"), runs)


def _coldest_at(view: GlueView, found: Ahead) -> When:
    i = int(found.temperature_c.middle.argmin())
    return view.telling.at(view.at_ms + round((i + 1) * HALF_HOUR_S * 1000))
