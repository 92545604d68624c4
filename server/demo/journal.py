"""What the two people of the fictional workshop wrote down before the demo begins: journal.toml as the shop's entries.

They are told through the same door as anybody's, so the record's own checks stand for them too.
"""

from __future__ import annotations

import logging
import tomllib
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from importlib.resources import files
from typing import Any

from server.demo.scenario import TOWN
from server.shop.entries import Entry
from server.shop.journal import NotPossible
from server.stockroom import OtherEntry, Stockroom

log = logging.getLogger(__name__)

FILE = "journal.toml"
OF_THE_LINE = frozenset({"at", "who", "said", "note", "but", "happened"})
"""What a line says beside the deed's own fields."""
WRITTEN_AFTER_MS = 3 * 60_000
"""An entry is written down so long after it happened, where nothing else is said."""


@dataclass(frozen=True, slots=True)
class Truth:
    """What a lot truly held when it came, which nobody in the shop knows.

    ``mc_pct`` even through its thickness; ``rate`` how much faster than the formula its water moves, ``curve_pct`` how
    far above the handbook's curve it rests; ``came_at_c`` its own temperature on its first day, where that was not the
    room's; ``dry_kg`` the oven-dry mass of its sample board.
    """

    mc_pct: float
    rate: float
    curve_pct: float = 0.0
    came_at_c: float | None = None
    dry_kg: float | None = None


@cache
def year() -> tuple[Entry, ...]:
    """Every entry, in the order in which they were written. Raises pydantic's ValidationError where one is none."""
    made: dict[str, Entry] = {}
    deeds: dict[str, dict[str, Any]] = {}
    for day, line in _lines():
        entry_id, own = id_of(day, line), _deed(line, made, deeds)
        t_ms = _ms(datetime.combine(day, _clock(line["at"])))
        said = line.get("said")
        written_ms = t_ms + WRITTEN_AFTER_MS if said is None else _ms(said)
        deeds[entry_id] = own
        made[entry_id] = Entry(
            id=entry_id, t_ms=t_ms, recorded_ms=written_ms, who=line["who"], note=line.get("note", ""),
            deed=own,
        )  # fmt: skip
    return tuple(sorted(made.values(), key=lambda entry: (entry.recorded_ms, entry.id)))


@cache
def truths() -> Mapping[str, Truth]:
    """By lot; one that was split off or joined is as those it came from."""
    return {lot: Truth(**given) for lot, given in _file()["truth"].items()}


def id_of(day: date, line: Mapping[str, Any]) -> str:
    """An entry's id: day, time, kind, and the lot or offer it is about."""
    about = line.get("lot", line.get("offer", ""))
    parts = (day.isoformat(), _clock(line["at"]).strftime("%H%M"), line["kind"], about)
    return "-".join(part for part in parts if part)


async def tell_year(stockroom: Stockroom, kept: Container[str]) -> None:
    """Tell what of it is not among the ids that are ``kept`` already, and work out what the lots came to.

    What was interrupted is so taken up again. A record in which lots of somebody's own stand in the way keeps those,
    and the rest of the year is left out.
    """
    missing = [entry for entry in year() if entry.id not in kept]
    if not missing:
        return
    await stockroom.opened()
    try:
        for entry in missing:
            await stockroom.tell(entry)
    except (NotPossible, OtherEntry) as e:
        log.warning("The fictional journal does not go with this record, and is left out from here on: %s", e)
    await stockroom.catch_up()


def _file() -> dict[str, Any]:
    return tomllib.loads(files("server.demo").joinpath(FILE).read_text(encoding="utf-8"))


def _lines() -> Iterator[tuple[date, dict[str, Any]]]:
    for day in _file()["day"]:
        for line in day["told"]:
            yield day["on"], line


def _deed(line: dict[str, Any], made: Mapping[str, Entry], deeds: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    """The line's own fields as the deed has them: moments in ms, and a correction whole."""
    own = {key: value for key, value in line.items() if key not in OF_THE_LINE}
    deed = dict((f"{key}_ms", _ms(v)) if isinstance(v, datetime) else (key, v) for key, v in own.items())
    if line["kind"] == "corrected":
        target = line["entry"]
        deed["at_ms"] = made[target].t_ms if "happened" not in line else _ms(line["happened"])
        deed["becomes"] = deeds[target] | line["but"]
    return deed


def _clock(text: str) -> time:
    hours, minutes = text.split(":")
    return time(int(hours), int(minutes))


def _ms(local: datetime) -> int:
    return round(local.replace(tzinfo=TOWN).timestamp() * 1000)
