"""The water of a room through one night: what holds it where it is to be, with its spread.

A steady balance over the night (:mod:`server.wood.water`) and once what fills air and skins up to there. The causes
that are not known (the leak, outdoors' vapour, the stock) are moved to both ends of their 80 % in turn, and what that
does is added by squares, as in :mod:`server.wood.ensemble`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from server.room.base import RoomView
from server.wood.air import (
    RATIO_OF_MOLAR_MASSES,
    STANDARD_PRESSURE_PA,
    humidity_ratio,
    relative_humidity,
    vapour_pressure_pa,
)
from server.wood.water import HOURS_A_DAY, MOST_AIR_CHANGES_PER_H, Gains, Room, dry_air_kg_per_m3, water_kg_per_day

MOST_STOCK = 500.0
"""kg a day: more than the water of any shop's stock moves."""
Missing = Literal["volume", "outdoors", "leakiness"]


@dataclass(frozen=True, slots=True)
class Leak:
    """Air changes an hour with the ends of their 80 %, and who says so; ``skins`` is what walls and stock hold at once,
    times what the air does (0 where nobody knows)."""

    per_h: float
    low: float
    high: float
    said_by: Literal["nights", "told"]
    skins: float = 0.0
    skins_low: float = 0.0
    skins_high: float = 0.0


@dataclass(frozen=True, slots=True)
class Ends:
    """A figure and the ends of its central 80 %."""

    middle: float
    low: float
    high: float


def leak_of(view: RoomView) -> Leak | None:
    """By the room's own nights, else by its table; None where neither tells."""
    known = view.learnt.leakiness
    if known is not None:
        middle, low, high = (
            min(MOST_AIR_CHANGES_PER_H, one)
            for one in (known.air_changes_per_h, known.air_changes_per_h_low, known.air_changes_per_h_high)
        )
        skins = known.skin_times_air, known.skin_times_air_low, known.skin_times_air_high
        return Leak(middle, low, high, "nights", *skins)
    told = view.zone.air_changes_per_h
    return None if told is None else Leak(told, told, told, "told")


def missing(view: RoomView) -> Missing | None:
    """What no litres can be named without."""
    if view.zone.volume_m3 is None:
        return "volume"
    if view.night.outdoors is None:
        return "outdoors"
    return "leakiness" if leak_of(view) is None else None


@dataclass(frozen=True, slots=True)
class Balance:
    """Of a room of which nothing is :func:`missing`; ``extractor_h`` as there."""

    view: RoomView
    volume_m3: float
    leak: Leak
    outdoor_c: float
    pressure_pa: Ends
    extractor_h: float

    @classmethod
    def of(cls, view: RoomView) -> Balance | None:
        """None where something is missing."""
        outdoors, leak, volume = view.night.outdoors, leak_of(view), view.zone.volume_m3
        if outdoors is None or leak is None or volume is None:
            return None
        pressure = Ends(outdoors.pressure_pa, outdoors.pressure_pa_low, outdoors.pressure_pa_high)
        return cls(view, volume, leak, outdoors.mean_c, pressure, view.extractor_h)

    def water_kg(self, rh: float) -> Ends:
        """To be added through the night to stay at ``rh`` (0..1); taken out where negative."""
        stock = self.view.stock_held
        middle = self._water_kg(rh, self.leak.per_h, self.pressure_pa.middle, stock.kg)
        down = up = 0.0
        for ends in (
            [self._water_kg(rh, n, self.pressure_pa.middle, stock.kg) for n in (self.leak.low, self.leak.high)],
            [self._water_kg(rh, self.leak.per_h, p, stock.kg) for p in (self.pressure_pa.low, self.pressure_pa.high)],
            [middle + stock.kg - kg for kg in (stock.kg_low, stock.kg_high)],
        ):
            down, up = math.hypot(down, middle - min(middle, *ends)), math.hypot(up, max(middle, *ends) - middle)
        return Ends(middle, middle - down, middle + up)

    def fill_kg(self, rh: float) -> Ends:
        """Once, to bring air and skins from where they are to ``rh``; negative where they are damper. The stock's skins
        are among them, and its flux in :meth:`water_kg` too: that much is counted twice."""
        t = self.view.night.indoor_c
        there, here = vapour_pressure_pa(t, rh), vapour_pressure_pa(t, self.view.night_rh)
        held = float(humidity_ratio(there) - humidity_ratio(here)) * float(dry_air_kg_per_m3(t, here)) * self.volume_m3
        ends = sorted(held * (1.0 + skins) for skins in (self.leak.skins_low, self.leak.skins_high))
        return Ends(held * (1.0 + self.leak.skins), ends[0], ends[1])

    def total_kg(self, rh: float) -> Ends:
        """Both together, to come to ``rh`` and stay there."""
        need, fill = self.water_kg(rh), self.fill_kg(rh)
        middle = need.middle + fill.middle
        down = math.hypot(need.middle - need.low, fill.middle - fill.low)
        return Ends(middle, middle - down, middle + math.hypot(need.high - need.middle, fill.high - fill.middle))

    def by_morning_pa(self) -> Ends:
        """The vapour pressure that the room comes to by itself, Pa: towards outdoors and its own steady source, as late
        as its skins let it. Deeper layers hold it back more, so this goes far enough."""
        known = self.view.learnt.leakiness
        source = 0.0 if known is None else known.source_g_per_kg_h / 1000.0
        now = float(humidity_ratio(self.view.air.vapour_pressure_pa))

        def after(per_h: float, pressure_pa: float) -> float:
            if per_h <= 0:
                return self.view.air.vapour_pressure_pa
            rests = float(humidity_ratio(pressure_pa)) + source / per_h
            w = rests + (now - rests) * math.exp(-per_h * self.view.night.hours / (1.0 + self.leak.skins))
            return _pressure_pa(max(0.0, w))

        p = self.pressure_pa
        middle = after(self.leak.per_h, p.middle)
        ends = [after(n, p.middle) for n in (self.leak.low, self.leak.high)]
        others = [after(self.leak.per_h, one) for one in (p.low, p.high)]
        down = math.hypot(*(middle - min(middle, *some) for some in (ends, others)))
        up = math.hypot(*(max(middle, *some) - middle for some in (ends, others)))
        return Ends(middle, middle - down, middle + up)

    def _outdoors(self, pressure_pa: float) -> tuple[float, float]:
        return self.outdoor_c, min(1.0, float(relative_humidity(self.outdoor_c, pressure_pa)))

    def _water_kg(self, rh: float, per_h: float, pressure_pa: float, stock_kg: float) -> float:
        view, share = self.view, self.view.night.hours / HOURS_A_DAY
        room = Room(self.volume_m3, per_h, view.zone.extractor_m3_per_h, min(HOURS_A_DAY, self.extractor_h / share))
        gains = Gains(
            max(-MOST_STOCK, min(MOST_STOCK, stock_kg / share)), propane_kg_per_day=view.zone.propane_kg_per_day
        )
        outdoors = self._outdoors(pressure_pa)
        return share * float(water_kg_per_day(room, view.night.indoor_c, rh, *outdoors, gains=gains))


def extractor_kg_per_h(view: RoomView, rh: float) -> Ends | None:
    """What an hour of it takes out of a room held at ``rh``; None where outdoors is not known or nothing is blown."""
    outdoors, blown = view.night.outdoors, view.zone.extractor_m3_per_h
    if outdoors is None or not blown:
        return None

    def by(pressure_pa: float) -> float:
        outside = min(1.0, float(relative_humidity(outdoors.mean_c, pressure_pa)))
        return float(water_kg_per_day(Room(1.0, 0.0, blown, 1.0), view.night.indoor_c, rh, outdoors.mean_c, outside))

    low, high = by(outdoors.pressure_pa_high), by(outdoors.pressure_pa_low)
    return Ends(by(outdoors.pressure_pa), low, high)


def _pressure_pa(ratio: float) -> float:
    return STANDARD_PRESSURE_PA * ratio / (RATIO_OF_MOLAR_MASSES + ratio)
