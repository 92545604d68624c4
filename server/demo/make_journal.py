"""What the instruments of the fictional workshop showed, written into journal.toml.

To be run as ``python -m server.demo.make_journal`` when people, air or model have changed. What comes out is committed.

Every lot is run once through the demo's own air as it truly was (the tables [truth] of that file), with what people did
to it and hearing nobody. What an instrument shows of that is turned round from what the product makes of a reading
(:mod:`server.shop.hearing`), with a small error of its own that follows from the entry's id, and rounded as such
instruments do. The same file comes out each time. The product then starts from what the shop was told, which is
something else, and has only those readings to find out by.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import date
from functools import partial
from itertools import groupby
from pathlib import Path
from statistics import NormalDist

import numpy as np

from server.bins import BIN_MS
from server.demo.indoor import STEP_MS, workshop_air
from server.demo.journal import FILE, Truth, id_of, truths, year
from server.demo.rooms import ROOMS
from server.demo.scenario import FIRST_START_MS, PAST_FROM_MS
from server.model.air import ShopAir
from server.model.half_hours import HalfHours, half_hours
from server.model.run import Programs, advanced
from server.model.woods import NONE, Wood, Woods, after_act
from server.shop.acts import Begin, Hear, edge_of
from server.shop.entries import Entry, InWrap, Metered, Straightedged, Weighed
from server.shop.journal import facts
from server.shop.lot import Lot
from server.shop.lots import fold
from server.wood import meter, species
from server.wood.belief import MEMBERS, Belief, boards_of
from server.wood.emc import humidity_for_emc
from server.wood.meter import Corrected
from server.wood.straightedge import Straightedge
from server.wood.witness import Dielectric, Pins, Witness, WrapSensor

METER_ERROR_PCT = 0.4
"""One standard deviation of the mean of a few pieces, % MC. Invented, well inside what the product allows a reading."""
WRAP_ERROR_PCT = 0.15
"""Likewise of what a sensor in a wrap draws to."""
PINS_STEP_PCT, DIELECTRIC_STEP_PCT, HUMIDITY_STEP_PCT, TEMPERATURE_STEP_C = 0.5, 0.1, 0.5, 0.5
LINE = re.compile(r'  \{ at = "(?P<at>\S+)",.*? kind = "(?P<kind>\S+)", lot = "(?P<lot>\S+)"')
WARMING_MS = 12 * 3_600_000
"""So long a lot has the temperature it came with."""
SWING_BINS = 12


def demo_air() -> ShopAir:
    """Half hours of every room's true air through the whole past, as the model takes them."""
    from_ms, to_ms = edge_of(PAST_FROM_MS), edge_of(FIRST_START_MS)
    t_ms = np.arange(from_ms - BIN_MS, to_ms, STEP_MS)
    heard: dict[str, HalfHours] = {}
    for room in ROOMS:
        c, pa = workshop_air().at(room.zone, t_ms)
        heard[room.zone] = half_hours(t_ms.tolist(), c.tolist(), pa.tolist(), from_ms - BIN_MS, to_ms)
    return ShopAir.of([room.zone for room in ROOMS], heard, from_ms, to_ms)


def at_each_word(programs: Programs, air: ShopAir) -> dict[str, tuple[Wood, Hear]]:
    """By entry: the lot as it truly was when an instrument was held to it, and how that was done."""
    acts = sorted(
        ((done, lot) for lot, program in programs.items() for done in program), key=lambda pair: pair[0].order
    )
    found: dict[str, tuple[Wood, Hear]] = {}
    woods, now = NONE, air.from_ms
    for edge_ms, group in groupby(acts, key=lambda pair: pair[0].edge_ms):
        woods, now = advanced(woods, air, now, edge_ms), edge_ms
        for done, lot in group:
            if isinstance(done.act, Hear):
                found[done.entry] = woods.one(lot), done.act
                continue
            woods, _ = after_act(woods, lot, done.act)
            if isinstance(done.act, Begin):
                woods = _truly(woods, lot, truths()[lot])
    return found


def _truly(woods: Woods, lot: str, truth: Truth) -> Woods:
    wood = woods.one(lot)
    begun = Belief.begin(wood.stock, truth.mc_pct - truth.curve_pct, 0.0, rate_sigma=0.0)
    ln_rate, curve = np.full((1, MEMBERS), np.log(truth.rate)), np.full((1, MEMBERS), truth.curve_pct)
    return woods.with_one(lot, replace(wood, belief=replace(begun, ln_rate=ln_rate, curve_pct=curve)))


def shown(entries: tuple[Entry, ...], air: ShopAir) -> dict[str, dict[str, float]]:
    """By entry: the fields that its instrument shows."""
    shop = fold(facts(entries))
    words = at_each_word({name: lot.acts for name, lot in shop.lots.items() if lot.acts}, air)
    found: dict[str, dict[str, float]] = {}
    for entry in entries:
        if entry.id not in words:
            continue
        (wood, act), deed = words[entry.id], entry.deed
        match deed:
            case Metered():
                wood_c = _rounded(_wood_c(entry, shop.lots[deed.lot], wood, air), TEMPERATURE_STEP_C)
                reading_pct = _reading(entry, deed, shop.lots[deed.lot], wood_c, _truly_there(wood, act))
                found[entry.id] = {"reading_pct": reading_pct, "wood_temperature_c": wood_c}
            case InWrap():
                found[entry.id] = _in_wrap(entry, wood, air, _truly_there(wood, act))
            case Straightedged():
                hollow = _truly_there(wood, act) * (1 if deed.hollow_face == "top" else -1)
                found[entry.id] = {"hollow_mm": max(0.0, _rounded(hollow, deed.resolution_mm))}
            case Weighed():
                boards, held = boards_of(wood.stock, wood.belief), wood.belief.held_pct()[0]
                kg = (truths()[deed.lot].dry_kg or 1.0) * (1 + float(boards.mean_pct(held)[0]) / 100)
                found[entry.id] = {"kg": _rounded(kg, deed.resolution_kg)}
    return found


def _truly_there(wood: Wood, act: Hear) -> float:
    """What there is to be read, without error and rounding."""
    witness: Witness = Dielectric(0.0, 1.0)
    match act.kind:
        case "pins":
            *_, depth, insulated = act.values
            witness = Pins(Corrected(0.0, 1.0, None), float(depth or 0.0), bool(insulated))
        case "wrap":
            witness = WrapSensor(0.0, 1.0)
        case "straightedge":
            witness = Straightedge(*act.values)  # type: ignore[arg-type]
    return float(witness.expected(boards_of(wood.stock, wood.belief), wood.belief)[0])


def _wood_c(entry: Entry, lot: Lot, wood: Wood, air: ShopAir) -> float:
    truth = truths().get(lot.id)
    if truth is not None and truth.came_at_c is not None and entry.t_ms - lot.received_ms < WARMING_MS:
        return truth.came_at_c
    return _room(air, wood.zone, entry.t_ms)[0]


def _reading(entry: Entry, deed: Metered, lot: Lot, wood_c: float, there_pct: float) -> float:
    shown_pct = there_pct + METER_ERROR_PCT * _error(entry.id)
    if deed.method == "dielectric":
        return _rounded(shown_pct, DIELECTRIC_STEP_PCT)
    with suppress(meter.NoCurve):
        known = species.find(lot.species or "")
        shown_pct = reading_for(shown_pct, wood_c, meter.find(known.key, known.coefficient_from))
    return _rounded(shown_pct, PINS_STEP_PCT)


def reading_for(mc_pct: float, wood_c: float, curve: meter.Curve) -> float:
    """What a meter on its own scale shows of wood that holds ``mc_pct``. Below the table's first row as far below its
    reading as the wood is below its moisture."""
    least = float(curve.mc_pct[0])
    reference = meter.curves()[meter.REFERENCE_KEY]
    ln_megohm = np.interp(mc_pct, curve.mc_pct, curve.ln_megohm)
    at_27 = float(np.interp(-ln_megohm, -reference.ln_megohm, reference.mc_pct))
    return at_27 + min(0.0, mc_pct - least) - meter.for_temperature(0.0, wood_c)


def _in_wrap(entry: Entry, wood: Wood, air: ShopAir, face_pct: float) -> dict[str, float]:
    room_c, swing_k = _room(air, wood.zone, entry.t_ms)
    temperature_c = _rounded(room_c, TEMPERATURE_STEP_C)
    rh = float(humidity_for_emc(temperature_c, face_pct + WRAP_ERROR_PCT * _error(entry.id)))
    return {
        "temperature_c": temperature_c,
        "humidity_pct": _rounded(100 * rh, HUMIDITY_STEP_PCT),
        "swing_k": _rounded(swing_k, TEMPERATURE_STEP_C),
    }


def _room(air: ShopAir, zone: str, t_ms: int) -> tuple[float, float]:
    """Temperature of a half hour, °C, and how far it moved in the six hours up to it, K."""
    i = (edge_of(t_ms) - air.from_ms) // BIN_MS + 1
    c = air.temperature_c[: i + 1, air.zones.index(zone)]
    return float(c[-1]), float(np.ptp(c[-SWING_BINS:]))


def _error(entry_id: str) -> float:
    """A draw of the normal distribution that follows from the id, within two standard deviations."""
    share = (zlib.crc32(entry_id.encode()) + 0.5) / 2**32
    return max(-2.0, min(2.0, NormalDist().inv_cdf(share)))


def _rounded(value: float, step: float) -> float:
    """To whole steps. Raises ValueError for nan."""
    return round(round(value / step) * step, 6)


def written(text: str, figures: Mapping[str, Mapping[str, float]]) -> str:
    """journal.toml with the figures of its instruments in their lines."""
    day, lines = date.min, []
    for line in text.splitlines():
        if on := re.fullmatch(r"on = (\S+)", line):
            day = date.fromisoformat(on[1])
        head = LINE.match(line)
        found = figures.get(id_of(day, head.groupdict()), {}) if head else {}
        lines.append(re.sub(r"\b(\w+) = -?[0-9.]+", partial(_put, found), line))
    return "\n".join(lines) + "\n"


def _put(figures: Mapping[str, float], match: re.Match[str]) -> str:
    return f"{match[1]} = {figures[match[1]]:g}" if match[1] in figures else match[0]


def main() -> None:
    """Rewrite the file in place."""
    path = Path(__file__).with_name(FILE)
    path.write_text(written(path.read_text(encoding="utf-8"), shown(year(), demo_air())), encoding="utf-8")


if __name__ == "__main__":
    main()
