"""What feeds and dries the room besides: extractor, stock, leak, and gas that burns without a flue."""

from __future__ import annotations

from collections.abc import Iterator

from server.room.balance import extractor_kg_per_h, leak_of
from server.room.base import BALANCE_SOURCE, RoomLine, RoomView
from server.wood.leakiness import NIGHTS_NEEDED
from server.wood.water import HOURS_A_DAY, WATER_PER_PROPANE
from server.words import Sentence
from server.words.sentence import Value

STOCK_SOURCE = (
    "Diffusion: Siau, Transport Processes in Wood (1984), from memory. Faces only: what comes through ends and edges "
    "is left out."
)
LEAK_SOURCE = (
    "The room's own nights against outdoors: a method of this project, tried on computed rooms; no outside source. Air "
    "from a neighbouring room counts as outdoor air as far as it is as dry."
)
WORTH_KG = 0.05


class Extractor:
    """What it takes out while it blows outdoors."""

    name = "extractor"

    def answer(self, view: RoomView, /) -> RoomLine | None:
        """``extractor_m3_per_h``, ``extractor_h`` of the night, ``water_kg_per_h`` that each hour takes with the room
        held, ``saved_kg`` with it off all night, ``air_changes_per_h`` of its own. None without an extractor."""
        zone = view.zone
        if not zone.extractor_m3_per_h and not zone.extractor_hours:
            return None
        caution, hours = Sentence("caution-extractor"), view.extractor_h
        figures: dict[str, float | int | None] = {"extractor_h": hours, "extractor_m3_per_h": zone.extractor_m3_per_h}
        per_h = extractor_kg_per_h(view, view.hold_rh)
        if per_h is None:
            flag = "no-outdoors" if zone.extractor_m3_per_h else "no-flow"
            said = Sentence(f"room-extractor-{flag}")
            return RoomLine(self.name, (said,), figures, (BALANCE_SOURCE,), caution, (flag,))
        saved_kg = hours * per_h.middle
        for key, times in (("water_kg_per_h", 1.0), ("saved_kg", hours)):
            three = (("", per_h.middle), ("_low", per_h.low), ("_high", per_h.high))
            figures |= {f"{key}{end}": times * one for end, one in three}
        figures["air_changes_per_h"] = None if zone.volume_m3 is None else zone.extractor_m3_per_h / zone.volume_m3
        low, high = sorted((abs(per_h.low), abs(per_h.high)))
        low = low if per_h.low * per_h.high > 0 else 0.0
        way = "out" if per_h.middle > 0 else "in"
        told = [Sentence("room-extractor", {"kg": abs(per_h.middle), "kg_low": low, "kg_high": high, "way": way})]
        if saved_kg > WORTH_KG:
            told.append(Sentence("room-extractor-off", {"kg": saved_kg, "hours_h": hours}))
        return RoomLine(self.name, tuple(told), figures, (BALANCE_SOURCE,), caution)


class Stock:
    """What the stock gives or takes."""

    name = "stock"

    def answer(self, view: RoomView, /) -> RoomLine:
        """``stock_kg`` that ``lots_count`` give to the air as it is through the night (negative: take), ``held_kg`` in
        air that is held, each with its ends; ``not_modelled_count`` lots are not in it."""
        now, held = view.stock_now, view.stock_held
        figures: dict[str, float | int | None] = {
            "stock_kg": now.kg, "stock_kg_low": now.kg_low, "stock_kg_high": now.kg_high,
            "held_kg": held.kg, "held_kg_low": held.kg_low, "held_kg_high": held.kg_high,
            "lots_count": now.lots, "not_modelled_count": now.not_modelled,
        }  # fmt: skip
        return RoomLine(self.name, tuple(_stock_said(view)), figures, (STOCK_SOURCE,))


def _stock_said(view: RoomView) -> Iterator[Sentence]:
    now = view.stock_now
    if not now.lots:
        yield Sentence("room-stock-none")
    else:
        way = "still" if abs(now.kg) < WORTH_KG else "gives" if now.kg > 0 else "takes"
        low, high = sorted((abs(now.kg_low), abs(now.kg_high))) if now.kg_low * now.kg_high > 0 else (0.0, 0.0)
        high = high or max(abs(now.kg_low), abs(now.kg_high))
        ends: dict[str, Value] = {"kg": abs(now.kg), "kg_low": low, "kg_high": high}
        yield Sentence("room-stock", {"way": way, "lots": now.lots, "hours_h": view.night.hours, **ends})
    if now.not_modelled:
        yield Sentence("room-stock-not-modelled", {"lots": now.not_modelled})


class Leakiness:
    """How leaky the room is by its own nights, or why they do not tell."""

    name = "leakiness"

    def answer(self, view: RoomView, /) -> RoomLine:
        """``air_changes_per_h`` and ``skin_times_air`` with their ends, None where neither the ``nights_count`` nor a
        person tells."""
        learnt, leak = view.learnt, leak_of(view)
        known = learnt.leakiness
        figures: dict[str, float | int | None] = {"nights_count": learnt.nights}
        for key in ("air_changes_per_h", "skin_times_air"):
            figures |= {f"{key}{end}": getattr(known, f"{key}{end}", None) for end in ("", "_low", "_high")}
        if known is not None:
            ends = ("air_changes_per_h", "air_changes_per_h_low", "air_changes_per_h_high")
            per_h, low, high = (float(getattr(known, name)) for name in ends)
            values: dict[str, Value] = {"per_h": per_h, "low": low, "high": high, "nights": learnt.nights}
            said = [Sentence("room-leak", values), Sentence("room-leak-skins", {"times": known.skin_times_air})]
            return RoomLine(self.name, tuple(said), figures, (LEAK_SOURCE,))
        reason = learnt.why_not or "not-yet"
        why: dict[str, Value] = {"nights": learnt.nights} if reason in {"few-nights", "nights-do-not-tell"} else {}
        if reason == "few-nights":
            why["needed"] = NIGHTS_NEEDED
        said = [Sentence(f"room-leak-{reason}", why)]
        if leak is not None:
            figures["air_changes_per_h"] = leak.per_h
            said.append(Sentence("room-leak-told", {"per_h": leak.per_h}))
        return RoomLine(self.name, tuple(said), figures, (LEAK_SOURCE,), flags=(reason,))


class Gas:
    """Gas that is burnt without a flue."""

    name = "gas"

    def answer(self, view: RoomView, /) -> RoomLine | None:
        """``gas_kg`` of it through the night and the ``water_kg`` it burns to. None where none is told of."""
        if not view.zone.propane_kg_per_day:
            return None
        gas_kg = view.zone.propane_kg_per_day * view.night.hours / HOURS_A_DAY
        water_kg = WATER_PER_PROPANE * gas_kg
        source = "C3H8 + 5 O2 -> 3 CO2 + 4 H2O, with IUPAC's abridged atomic weights: 1.63 kg of water a kg."
        figures: dict[str, float | int | None] = {"gas_kg": gas_kg, "water_kg": water_kg}
        return RoomLine(
            self.name, (Sentence("room-gas", {"kg": water_kg, "gas_kg": gas_kg}),), figures, (source,),
            Sentence("room-caution-gas"),
        )  # fmt: skip
