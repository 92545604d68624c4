"""Where a panel will live, as the air of the year to come: its own record, two numbers, or where it is aimed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

import numpy as np
from pydantic import Field

from server.advice.base import Inputs, LotView, NotToBeAsked
from server.reading import Aim
from server.shop.receiving import Aimed
from server.wood.emc import humidity_for_emc
from server.wood.expected_air import ExpectedAir
from server.wood.panel import steps_of
from server.wood.year import YEAR_DAYS, Year

DAY_MS = 86_400_000
DRIEST_DAY = 46.0
"""The middle of February, as the question of a panel's year takes it where winters are heated."""
Basis = Literal["record", "numbers", "aim"]


class LivingInputs(Inputs):
    """The air of the place, if not that of where it is aimed."""

    destination: str | None = Field(None, max_length=40, description="another destination of the shop")
    dry_limit_pct: float | None = Field(
        None, ge=2, le=25, description="or what its driest air draws wood to, 2 to 25 %"
    )
    damp_limit_pct: float | None = Field(None, ge=2, le=25, description="and its dampest, 2 to 25 %")
    zone: str | None = Field(None, max_length=40, description="or a zone with a year of record, as the house's own")
    temperature_c: float = Field(20.0, ge=0, le=35, description="the room's temperature, 0 to 35 °C; 20 if not given")
    driest_day: float = Field(
        DRIEST_DAY, ge=1, le=365, description="the driest day of the year, 1 to 365; 46 if not given"
    )


@dataclass(frozen=True, slots=True)
class Living:
    """The ``air`` from now on for a year, what it comes from, between which two it draws wood, % MC, and the source."""

    air: ExpectedAir
    basis: Basis
    low_pct: float
    high_pct: float
    source: str


def living(view: LotView, given: LivingInputs, at_ms: int | None = None) -> Living:
    """From ``at_ms`` on, else now. Raises NotToBeAsked for a destination there is not, a zone without a year of record,
    more than one of them, or a dry limit above its damp one."""
    said = [key for key in ("destination", "dry_limit_pct", "zone") if getattr(given, key) is not None]
    if len(said) > 1:
        raise NotToBeAsked(said[1], f"beside {said[0]}", "one of destination, two limits, or zone")
    now_ms = view.at_ms if at_ms is None else at_ms
    if given.zone is not None:
        return _recorded(view, given.zone, now_ms)
    aim, basis = _aim(view, given)
    dry, damp = (float(humidity_for_emc(given.temperature_c, pct)) for pct in (aim.dry_limit_pct, aim.damp_limit_pct))
    c, dampest = given.temperature_c, (given.driest_day + 0.5 * YEAR_DAYS) % YEAR_DAYS
    year = Year(dry, damp, c, c, given.driest_day, dampest)
    day = datetime.fromtimestamp(now_ms / 1000, UTC).timetuple().tm_yday
    air = ExpectedAir(year.air([day], steps_of(year)))
    return Living(
        air, basis, aim.dry_limit_pct, aim.damp_limit_pct, f"Between its limits by half a cosine. {aim.source}"
    )


def _recorded(view: LotView, zone: str, now_ms: int) -> Living:
    season = None if view.looks is None else view.looks.season(zone)
    if season is None:
        raise NotToBeAsked("zone", repr(zone), "a zone with a year of record")
    edges = np.linspace(0.0, YEAR_DAYS, 147) * 86_400.0
    air = season.air(now_ms / DAY_MS, edges)
    emc = air.middle.emc_pct()
    source = f"The zone's own record of {season.heard_days} days."
    return Living(air, "record", float(emc.min()), float(emc.max()), source)


def _aim(view: LotView, given: LivingInputs) -> tuple[Aim, Basis]:
    low, high = given.dry_limit_pct, given.damp_limit_pct
    if low is not None or high is not None:
        if low is None or high is None:
            field = "dry_limit_pct" if low is None else "damp_limit_pct"
            raise NotToBeAsked(field, "nothing", "both a dry and a damp limit, 2 to 25 %")
        if low >= high:
            raise NotToBeAsked("dry_limit_pct", f"{low:g}", f"below the damp limit, {high:g} %")
        return Aim(low, high, "two numbers", "Typed in."), "numbers"
    if given.destination is not None:
        return _place(view, given.destination), "aim"
    panel = view.lot.panel
    home = None if panel is None or panel.home is None else panel.home.aim
    return (view.aim if home is None else _of(view, home)), "aim"


def _of(view: LotView, aimed: Aimed) -> Aim:
    low, high = aimed.dry_limit_pct, aimed.damp_limit_pct
    if low is not None and high is not None:
        return Aim(low, high, "two numbers", "Typed in.")
    known = {} if view.looks is None else view.looks.destinations
    return known.get(aimed.destination or "", view.aim)  # one that the file has lost since


def _place(view: LotView, key: str) -> Aim:
    known = {} if view.looks is None else view.looks.destinations
    if key not in known:
        raise NotToBeAsked("destination", repr(key), f"one of {', '.join(sorted(known))}")
    return known[key]
