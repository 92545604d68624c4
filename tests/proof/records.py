"""What is replayed: records of air, with configuration, clock and journal of a shop that would have heard them.

* *demo*: the fictional workshop and its journal, told at its times. Its weather is one typical year over and over.
* *town N*: the same three rooms in the real days of Chicago from July of year N on (tests/data/reference/README.md,
  daily means of the NMMAPS study). Between noons they run straight, with a day's swing of our own (``SWING_K``); vapour
  is the day's own. No two winters are alike, so these can be chosen on and held out.
* *house*: seven rooms of a real house and its bathroom (Candanedo, Feldheim, Deramaix, Energy and Buildings 140 (2017)
  81-97), an uneven quarter of ten-minute readings, as a shop with eight zones.
* *noise*: a zone whose air stands on its dry limit for four weeks with the scatter of a sensor and slow wandering.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sensors.sample import RawSample
from server.config import Config
from server.demo.indoor import IndoorAir
from server.demo.journal import year
from server.demo.past import past_samples
from server.demo.play import demo_config
from server.demo.scenario import PAST_FROM_MS, TIMEZONE, TOWN
from server.shop.entries import Entry
from server.wood.air import saturation_pressure_pa
from server.wood.emc import emc_pct
from tests.flow.conftest import read_config

Floats = NDArray[np.float64]
MINUTE_MS, HOUR_MS, DAY_MS = 60_000, 3_600_000, 86_400_000
TURN_MS = 10 * MINUTE_MS
"""What was heard in so long makes one turn: the records hold no more than a reading of each sensor in it."""
_PUBLIC = Path("shared") / "data" / "house_rooms_belgium_2016.csv"
HOUSE = next((up / _PUBLIC for up in Path(__file__).resolve().parents if (up / _PUBLIC).exists()), _PUBLIC)
"""Beside the checkout, or further up."""
CHICAGO = Path(__file__).parents[1] / "data" / "reference" / "daily_weather_chicago_read.csv"
SWING_K = 4.0
"""A day's swing of the town's temperature about the line through its daily means, coldest at five. Invented."""
ROOMS = {1: "Kitchen", 2: "Living room", 3: "Laundry", 4: "Office", 5: "Bathroom", 7: "Ironing room", 8: "Bedroom",
         9: "Parents"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Record:
    """``samples`` gives what was heard from a moment on and before another, in time order, in lists; before ``from_ms``
    it is laid down without a rule, from ``laid_ms`` on. ``entries`` are the journal's, in the order they were written;
    every ``lots_every_h`` lots are judged anew."""

    name: str
    config: Config
    timezone: str
    laid_ms: int
    from_ms: int
    to_ms: int
    samples: Callable[[int, int], Iterator[list[RawSample]]]
    entries: tuple[Entry, ...] = ()
    lots_every_h: int = 1

    @property
    def weeks(self) -> float:
        return (self.to_ms - self.from_ms) / (7 * DAY_MS)


def in_turns(samples: Iterable[list[RawSample]]) -> Iterator[list[RawSample]]:
    """The same samples, in time order, those of one ``TURN_MS`` together."""
    turn: list[RawSample] = []
    for batch in samples:
        for one in batch:
            if turn and one.heard_ms // TURN_MS != turn[0].heard_ms // TURN_MS:
                yield turn
                turn = []
            turn.append(one)
    if turn:
        yield turn


def at(year_: int, month: int, day: int, hour: int = 0) -> int:
    """A moment by the fictional town's clock, ms since 1970 UTC."""
    return round(datetime(year_, month, day, hour, tzinfo=TOWN).timestamp() * 1000)


WINTERS = {"first winter": (at(2025, 11, 19), at(2026, 3, 1)), "second winter": (at(2026, 11, 15), at(2027, 3, 1))}


def demo(winter: str) -> Record:
    """The fictional workshop with its journal."""
    return replace(workshop(f"demo, {winter}", *WINTERS[winter], entries=year()), lots_every_h=6)


def town(first_year: int) -> Record:
    """The demo's bench room in the second winter of a record that begins in November of ``first_year`` (1991 to 1998);
    the winter is that of the year after."""
    air = IndoorAir(Days.of(first_year))  # type: ignore[arg-type]
    ends = at(2026, 12, 1), at(2027, 3, 1)
    return workshop(f"town {first_year + 1}", *ends, air=air, zones=("bench-room",))


def workshop(
    name: str, from_ms: int, to_ms: int, *, air: IndoorAir | None = None, entries: Sequence[Entry] = (),
    zones: Sequence[str] = (),
) -> Record:  # fmt: skip
    """The demo's rooms (or some of them) and sensors in some air, a stretch of them replayed."""
    config = demo_config(0, 1, "/dev/null", "/dev/zero")
    if zones:
        sensors = [one for one in config.sensors if one.zone in zones]
        config = replace(config, sensors=sensors, zones=[one for one in config.zones if one.id in zones])
    heard = {sensor.device for sensor in config.sensors}

    def samples(begin_ms: int, end_ms: int) -> Iterator[list[RawSample]]:
        for batch in past_samples(begin_ms, end_ms, air):
            yield [one for one in batch if one.device in heard]

    return Record(name, config, TIMEZONE, PAST_FROM_MS, from_ms, to_ms, samples, tuple(entries))


@dataclass(frozen=True, slots=True)
class Days:
    """Real days of a town as an ``OutdoorYear`` has its hours, moved by whole days into the demo's time."""

    local_h: Floats
    temperature_c: Floats
    vapour_pa: Floats

    @staticmethod
    def of(first_year: int) -> Days:
        """From the summer of that year on."""
        with CHICAGO.open(encoding="utf-8", newline="") as lines:
            rows = list(csv.DictReader(lines))
        later = (date(2025, 7, 1) - date(first_year, 7, 1)).days
        noon = np.array([(date.fromisoformat(r["date"]) - date(1970, 1, 1)).days + later + 0.5 for r in rows])
        dew = np.array([float(r["dew_point_c"]) for r in rows])
        return Days(noon * 24.0, np.array([float(r["temperature_c"]) for r in rows]), saturation_pressure_pa(dew))

    def at(self, t_ms: ArrayLike) -> tuple[Floats, Floats]:
        """Temperature °C and vapour pressure Pa."""
        hour = np.asarray(t_ms, np.float64) / HOUR_MS - 5.0
        c = np.interp(hour, self.local_h, self.temperature_c) - SWING_K * np.cos(2 * np.pi * (hour - 5.0) / 24.0)
        return c, np.minimum(np.interp(hour, self.local_h, self.vapour_pa), saturation_pressure_pa(c))


def coldest_week() -> Record:
    """The demo's bench room from the night before its first start on, its past laid down."""
    name, ends = "demo, coldest week", (at(2027, 1, 11, 12), at(2027, 1, 19))
    return workshop(name, *ends, zones=("bench-room",))


def fortnight() -> Record:
    """Room 7 of the house for a fortnight of its January."""
    whole = house("aim", (7,))
    return replace(whole, name="house, a fortnight of room 7", to_ms=whole.from_ms + 14 * DAY_MS)


def house(limits: str, rooms: Sequence[int] = tuple(ROOMS)) -> Record:
    """The public record. ``limits`` is "aim" for a workshop that works for heated homes (6 to 10 %), or "own" for
    limits at the 10th and 90th percentiles of each room's own hours: about as wide as a week of them."""
    with HOUSE.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    zone = ZoneInfo("Europe/Brussels")
    when = [round(datetime.fromisoformat(r["date"]).replace(tzinfo=zone).timestamp() * 1000) for r in rows]
    said = {n: [(float(r[f"T{n}"]), float(r[f"RH_{n}"])) for r in rows] for n in rooms}

    def samples(begin_ms: int, end_ms: int) -> Iterator[list[RawSample]]:
        for i, t_ms in enumerate(when):
            if begin_ms <= t_ms < end_ms:
                yield [_said(f"room-{n}", t_ms, *said[n][i]) for n in rooms]

    own = {
        f"room-{n}": np.percentile([float(emc_pct(c, h / 100.0)) for c, h in said[n]], (10.0, 90.0)).round(1)
        for n in rooms
    }
    zones = {f"room-{n}": ROOMS[n] for n in rooms}
    text = shop_text("Europe/Brussels", zones, own if limits == "own" else {})
    begin_ms, name = when[0] + 7 * DAY_MS, f"house, limits: {limits}"
    return Record(name, read_config(text), "Europe/Brussels", when[0], begin_ms, when[-1], samples)


def noise(seed: int = 1, days: int = 28, wander_pct: float = 0.15) -> Record:
    """Air on the dry limit of 6 % EMC: a sensor's scatter of 0.25 % RH, and wandering of some hours (0.15 % EMC)."""
    from_ms, steps = at(2027, 1, 4), days * 144
    chance = np.random.default_rng(seed)
    wander, kept = np.zeros(steps), np.exp(-1.0 / 24.0)
    for i in range(1, steps):
        wander[i] = kept * wander[i - 1] + chance.normal(0.0, wander_pct * np.sqrt(1 - kept**2))
    humidity = 30.2 + 5.5 * wander + chance.normal(0.0, 0.25, steps)
    return constructed("noise on the limit", from_ms, np.full(steps, 20.0), humidity)


def constructed(name: str, from_ms: int, c: Floats, humidity_pct: Floats, quiet_ms: int = 0) -> Record:
    """One zone whose sensor says this every ten minutes; rules run from ``quiet_ms`` after the beginning on."""

    def samples(begin_ms: int, end_ms: int) -> Iterator[list[RawSample]]:
        for i in range(len(c)):
            t_ms = from_ms + i * TURN_MS
            if begin_ms <= t_ms < end_ms:
                yield [_said("bench-room", t_ms, float(c[i]), float(humidity_pct[i]))]

    text = shop_text(TIMEZONE, {"bench-room": "Bench room"}, {})
    return Record(
        name, read_config(text), TIMEZONE, from_ms, from_ms + quiet_ms, from_ms + len(c) * TURN_MS, samples
    )  # fmt: skip


def shop_text(timezone: str, zones: Mapping[str, str], limits: Mapping[str, Sequence[float]]) -> str:
    """A configuration with one sensor a zone, each named like it; a zone without limits of its own works for heated
    homes."""
    lines = [
        f'[shop]\nname = "Replayed"\ntimezone = "{timezone}"', '[store]\ndaily_backup = false',
             '[[destination]]\nid = "heated-homes"\nname = "heated homes"\nregion = "most-areas"']  # fmt: skip
    for zone, (low, high) in limits.items():
        lines.append(
            f'[[destination]]\nid = "of-{zone}"\nname = "of {zone}"\ndry_limit_pct = {low}\ndamp_limit_pct = {high}'
        )
    lines.append('[[source]]\nid = "mq"\nkind = "mqtt"\ntopics = ["shop/+/air"]')
    for zone, name in zones.items():
        destination = f"of-{zone}" if zone in limits else "heated-homes"
        lines.append(f'[[zone]]\nid = "{zone}"\nname = "{name}"\ndestination = "{destination}"')
        lines.append(f'[[sensor]]\nid = "{zone}-1"\nsource = "mq"\ndevice = "{zone}"\nzone = "{zone}"')
    return "\n".join(lines)


def _said(device: str, t_ms: int, c: float, humidity_pct: float) -> RawSample:
    return RawSample("mq", device, (("temperature_c", c), ("humidity_pct", humidity_pct)), t_ms, 0.0)
