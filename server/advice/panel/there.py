"""A panel at the customer's place: what it is held to be by now, what a reading there changed, and what that means for
its year."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, Inputs, Limit, Line, LotView
from server.advice.panel.ahead import films, panel_across
from server.advice.panel.living import Living, LivingInputs, living
from server.advice.time_words import Said
from server.model.woods import Wood, witness_of
from server.reading import Word
from server.shop.panel import Home, ReadThere
from server.wood.air_series import AirSeries
from server.wood.assimilation import Told, assimilate
from server.wood.belief import boards_of, sigma_of
from server.wood.carry import advance, caught_up
from server.wood.emc import emc_pct
from server.wood.ensemble import END_OF_80
from server.wood.panel_ahead import Ahead, year_ahead
from server.words import Sentence

Three = tuple[float, float, float]
DAY_S = 86_400.0
YEAR_S = 365 * DAY_S
STEP_S = 0.5 * DAY_S
"""Of air that goes smoothly through a year: finer ones change no mean by 0.01 %."""


@dataclass(frozen=True, slots=True)
class Heard:
    """One reading there: what became of it, and the mean with its ends right before and right after it, % MC."""

    read: ReadThere
    told: Told
    before: Three
    after: Three


class There:
    """The air there is taken from where it lives, as nobody records it: the panel is held as unsure as that makes it.
    Nothing of it is kept; it is worked out whenever it is asked."""

    name = "there"
    summary = "what a delivered panel is held to be by now, what a reading there changed, and its year from then on"
    decides = True
    inputs: type[Inputs] = LivingInputs

    def answer(self, view: LotView, given: LivingInputs, /) -> Line | None:
        """``mean_pct`` now with its ends; ``readings``, each with ``before_pct`` and ``after_pct``, their ends, whether
        it was ``believed`` and why not; ``widest_mm`` and ``narrowest_mm`` of the year from now on, against its width
        when it was delivered, each with its ends; ``expected_widest_mm`` and ``expected_narrowest_mm`` without the
        readings."""
        panel, across = view.lot.panel, panel_across(view)
        home = None if panel is None else panel.home
        wood = None if home is None or view.looks is None else view.looks.stood(home.t_ms)
        if panel is None or home is None or wood is None or across is None:
            return None
        wood = _at_home(view, wood)
        place, now = living(view, given, home.t_ms), living(view, given)
        untold, _ = _told(wood, home, (), place, view.at_ms)
        one, heard = _told(wood, home, panel.read_there, place, view.at_ms)
        left = _mean(wood)[0]
        years = [_year(view, each, now, left) for each in (one, untold)]
        mean = _mean(one)
        figures: dict[str, Any] = {
            **_three("mean_pct", mean), "delivered_pct": left, "air_from": place.basis,
            "readings": [_row(each) for each in heard], **years[0],
            **{f"expected_{key}": value for key, value in years[1].items()},
        }  # fmt: skip
        low, high = place.low_pct, place.high_pct
        inside = low <= mean[0] <= high
        word: Word = "ready" if inside else "look"
        title = Sentence("panel-there-title", {"inside": "yes" if inside else "no"})
        limit = Limit(Sentence("panel-home-limit", {"low_pct": low, "high_pct": high}), place.source, {
            "dry_limit_pct": low, "damp_limit_pct": high})  # fmt: skip
        return Line(
            self.name, word, Sentence("panel-there-asked"), tuple(_said(view, figures, heard, place)), figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}.", place.source), Sentence("panel-caution-home"),
            (home.entry, *(read.entry for read in panel.read_there)), title,
        )  # fmt: skip


def _at_home(view: LotView, wood: Wood) -> Wood:
    """Out of its crate, standing free."""
    top, bottom = (np.full(1, one) for one in films(view.lot.top_finish, view.lot.bottom_finish))
    return replace(wood, stock=replace(wood.stock, top_film=top, bottom_film=bottom))


def _told(
    wood: Wood, home: Home, reads: tuple[ReadThere, ...], place: Living, at_ms: int
) -> tuple[Wood, tuple[Heard, ...]]:
    """What is held by ``at_ms``, from delivery on through the air that is taken to be there, which nobody vouches for,
    with what was read on the way."""
    now_ms, heard = home.t_ms, []
    for read in reads:
        wood, now_ms = _through(wood, place, home.t_ms, now_ms, read.t_ms), max(now_ms, read.t_ms)
        before = _mean(wood)
        belief, told = assimilate(wood.stock, wood.belief, 0, witness_of(read.act))
        wood = replace(wood, belief=belief)
        heard.append(Heard(read, told, before, _mean(wood)))
    return _through(wood, place, home.t_ms, now_ms, at_ms), tuple(heard)


def _through(wood: Wood, place: Living, home_ms: int, from_ms: int, to_ms: int) -> Wood:
    """From one moment to a later one; a year there is like the one before."""
    since_s, until_s = ((t_ms - home_ms) / 1000.0 for t_ms in (from_ms, to_ms))
    while since_s < until_s - 1.0:
        first = since_s % YEAR_S
        last = min(YEAR_S, first + until_s - since_s)
        air = _span(place, first, last)
        wood = replace(wood, belief=caught_up(wood.stock, advance(wood.stock, wood.belief, air, longest_step_s=STEP_S)))
        since_s += last - first
    return wood


def _span(place: Living, first_s: float, last_s: float) -> AirSeries:
    """The middle of that air between two of its seconds, in steps of half a day or so, as not known."""
    whole, n = place.air.middle, max(1, int(np.ceil((last_s - first_s) / STEP_S)))
    edges = np.linspace(first_s, last_s, n + 1)
    at = np.append(whole.edges_s[:-1], whole.edges_s[-1])
    c, pa = (
        np.interp(edges, at, np.append(getattr(whole, f"start_{q}")[:, 0], getattr(whole, f"end_{q}")[-1, 0]))[:, None]
        for q in ("c", "pa")
    )
    unknown = np.zeros((n, 1), np.bool_)
    return AirSeries(edges, c[:-1], c[1:], pa[:-1], pa[1:], unknown)


def _mean(wood: Wood) -> Three:
    every = boards_of(wood.stock, wood.belief).mean_pct(wood.belief.held_pct()[0])
    middle, half = float(every[0]), END_OF_80 * float(sigma_of(every))
    return middle, max(0.0, middle - half), middle + half


def _year(view: LotView, wood: Wood, now: Living, left_pct: float) -> dict[str, float]:
    """Widths in the year from now on: as it was recorded when it left, moved by what it does from what it held then."""
    across = panel_across(view)
    assert across is not None  # noqa: S101 - looked at before
    lot = view.lot
    each = (films(lot.top_finish, lot.bottom_finish),)
    ahead: Ahead = year_ahead(wood.stock, wood.belief, now.air, each, across, lot.width_mm)
    so_far = across.coefficient * lot.width_mm * (_mean(wood)[0] - left_pct)
    found: dict[str, float] = {}
    for key, (spread, _) in (("widest_mm", ahead.widest()), ("narrowest_mm", ahead.narrowest())):
        found |= _three(key, tuple(lot.width_mm + so_far + float(end[0]) for end in (  # type: ignore[arg-type]
            spread.middle, spread.low, spread.high)))  # fmt: skip
    return found


def _row(one: Heard) -> dict[str, Any]:
    c, rh = one.read.temperature_c, one.read.humidity_pct
    emc = None if c is None or rh is None else float(emc_pct(c, rh / 100.0))
    return {
        "entry": one.read.entry, "t_ms": one.read.t_ms, "outcome": one.told.reason,
        "believed": one.told.reason == "used",
        **_three("before_pct", one.before), **_three("after_pct", one.after), "emc_there_pct": emc,
    }  # fmt: skip


def _three(key: str, ends: Three) -> dict[str, float]:
    return {key: ends[0], f"{key}_low": ends[1], f"{key}_high": ends[2]}


def _said(view: LotView, figures: dict[str, Any], heard: tuple[Heard, ...], place: Living) -> list[Sentence]:
    name: Said = {"name": view.lot.name}
    held: Said = {
        "mean_pct": figures["mean_pct"],
        "low_pct": figures["mean_pct_low"],
        "high_pct": figures["mean_pct_high"],
    }
    said = [Sentence("panel-there-held", {**name, **held})]
    if not heard:
        said.append(Sentence("panel-there-unread"))
    else:
        last = heard[-1]
        used = "yes" if last.told.reason == "used" else "no"
        said.append(Sentence("panel-there-read", {
            "used": used, "at": view.telling.date(last.read.t_ms), "before_pct": last.before[0],
            "after_pct": last.after[0],
        }))  # fmt: skip
        said.append(Sentence("panel-there-changed", {
            "wide_mm": figures["widest_mm"], "was_wide_mm": figures["expected_widest_mm"],
            "narrow_mm": figures["narrowest_mm"], "was_narrow_mm": figures["expected_narrowest_mm"],
        }))  # fmt: skip
    emc = _row(heard[-1])["emc_there_pct"] if heard else None
    if emc is not None:
        fits = "yes" if place.low_pct <= emc <= place.high_pct else "no"
        said.append(Sentence("panel-there-air", {"emc_pct": emc, "fits": fits}))
    return said
