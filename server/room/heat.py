"""At which temperature the air that is there holds the aim, with no water: heating moves none of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from server.room.balance import Balance
from server.room.base import EMC_SOURCE, RoomLine, RoomView
from server.wood.air import saturation_pressure_pa
from server.wood.emc import humidity_for_emc
from server.wood.water import HOLDS_WITHOUT_WATER_C, temperature_holding_c
from server.words import Sentence
from server.words.sentence import Value

TOO_DRY, TOO_DAMP = "too-dry-at-any-temperature", "too-damp-at-any-temperature"
SAME_C = 0.3
"""So near to how warm the room is tonight nothing has to be set."""
BAND_SOURCE = "Its ends: the sensors' stated limits; by morning: the room's leak and the outlook of outdoors."


class Heat:
    """What to set the heating to tonight."""

    name = "heat"

    def answer(self, view: RoomView, /) -> RoomLine:
        """``hold_pct``, ``indoor_c`` of such nights, ``holds_at_c`` for the vapour that is there now with its ends,
        ``morning_holds_at_c`` for what leaks leave of it by morning, and ``set_c``, the one of the two that holds all
        night; each None beyond 5..30 °C."""
        now_c = _holding(view.hold_pct, view.air.vapour_pressure_pa)
        balance = Balance.of(view)
        figures: dict[str, float | int | None] = {
            "hold_pct": view.hold_pct, "indoor_c": view.night.indoor_c,
            **_ends("holds_at_c", view.hold_pct, _now(view)),
        }  # fmt: skip
        three = balance.by_morning_pa() if balance is not None else None
        morning_c = now_c if three is None else _holding(view.hold_pct, three.middle)
        if three is not None:
            figures |= _ends("morning_holds_at_c", view.hold_pct, (three.middle, three.low, three.high))
        set_c = _all_night(view, now_c, morning_c)
        chosen = "holds_at_c" if set_c == now_c else "morning_holds_at_c"
        figures |= {f"set_c{end}": figures[f"{chosen}{end}"] for end in ("", "_low", "_high")}
        flags = tuple(flag for flag, beyond in ((TOO_DRY, -math.inf), (TOO_DAMP, math.inf)) if set_c == beyond)
        return RoomLine(
            self.name, tuple(_said(view, figures, set_c)), figures, (EMC_SOURCE, BAND_SOURCE),
            Sentence("room-caution-heat"), flags,
        )  # fmt: skip


def cooler_helps(view: RoomView, balance: Balance) -> bool:
    """Whether air that is too dry as warm as on other nights holds the aim through this one in a room that is cooler:
    the temperature that :class:`Heat` names is one, and is lower."""
    now_c = _holding(view.hold_pct, view.air.vapour_pressure_pa)
    set_c = _all_night(view, now_c, _holding(view.hold_pct, balance.by_morning_pa().middle))
    return view.side == "dry" and math.isfinite(set_c) and set_c < view.night.indoor_c - SAME_C


def _all_night(view: RoomView, now_c: float, morning_c: float) -> float:
    return min(now_c, morning_c) if view.side == "dry" else max(now_c, morning_c)


def _now(view: RoomView) -> tuple[float, float, float]:
    """The vapour pressure of now, Pa, and its ends by what the sensors may be off."""
    air = view.air
    saturated = float(saturation_pressure_pa(air.temperature_c))
    most = float(humidity_for_emc(air.temperature_c, min(air.emc_high_pct, 25.0))) * saturated
    least = float(humidity_for_emc(air.temperature_c, max(air.emc_low_pct, 0.1))) * saturated
    return air.vapour_pressure_pa, min(least, air.vapour_pressure_pa), max(most, air.vapour_pressure_pa)


def _holding(hold_pct: float, pressure_pa: float) -> float:
    return float(temperature_holding_c(hold_pct, max(pressure_pa, 1.0)))


def _ends(key: str, hold_pct: float, pressures: tuple[float, float, float]) -> dict[str, float | int | None]:
    found = (_holding(hold_pct, p) for p in pressures)
    named = zip(("", "_low", "_high"), found, strict=True)
    return {f"{key}{end}": value if math.isfinite(value) else None for end, value in named}


def _said(view: RoomView, figures: Mapping[str, float | int | None], set_c: float) -> Iterator[Sentence]:
    hold: dict[str, Value] = {"hold_pct": view.hold_pct}
    least_c, most_c = HOLDS_WITHOUT_WATER_C
    if not math.isfinite(set_c):
        too, beyond_c = ("dry", least_c) if set_c < 0 else ("damp", most_c)
        # Air that is damper than the floor at any temperature, or drier than the ceiling, holds it however warm.
        yield Sentence(f"room-heat-{'too' if too == view.side else 'any'}-{too}", {**hold, "temperature_c": beyond_c})
        return
    enough = set_c >= view.night.indoor_c - SAME_C if view.side == "dry" else set_c <= view.night.indoor_c + SAME_C
    way = f"{view.side}-{'enough' if enough else 'set'}"
    lasts = "morning" if "morning_holds_at_c" in figures else "now"
    at: dict[str, Value] = {"temperature_c": set_c, "indoor_c": view.night.indoor_c}
    yield Sentence("room-heat", {**hold, **at, "way": way, "lasts": lasts})
    low_c, high_c = (figures[f"holds_at_c{end}"] for end in ("_low", "_high"))
    if low_c is not None and high_c is not None:
        yield Sentence("room-heat-spread", {"low_c": low_c, "high_c": high_c})
    now_c, morning_c = figures["holds_at_c"], figures.get("morning_holds_at_c")
    if now_c is not None and morning_c is not None and abs(morning_c - now_c) > SAME_C:
        yield Sentence("room-heat-morning", {"temperature_c": morning_c})
