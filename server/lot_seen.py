"""What rules see of the lots: made beside the loop with their verdicts, of the lots that these were worked out of.

A lot that a bug of ours keeps from being looked at so is told without figures, with which no rule raises or clears
anything; the others go on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from server.advice import base
from server.advice.asking import NOT_WORKED_OUT, Advice, Asked
from server.advice.base import Held, held_now
from server.advice.confirmed import look_wanted
from server.advice.good_to_mill import mill_word
from server.advice.view import Seeing
from server.bins import BIN_MS
from server.lot_ahead import Now, courses_of, now_of, tolerance_mm
from server.model.air import ShopAir
from server.model.recorded import RecordedShelf
from server.model.woods import Woods
from server.rules.lot_view import Band, Face, LotView, Wrap
from server.shop.acts import Hear
from server.shop.confirmed import freshly_milled, holds_until_ms
from server.shop.lot import Lot
from server.stores.port import StoreError
from server.wood.air import Floats
from server.wood.belief import MEMBERS, boards_of, sigma_of
from server.wood.boards import Boards
from server.wood.ensemble import END_OF_80, spread_of
from server.wood.outcome import EVEN_WITHIN_PCT
from server.wood.shell import SHELL
from server.wood.sweating import LAG_FACTOR, STACK_LAG_H, behind_c, humidity_at_film, margins_k

DAY_MS = 86_400_000
AWAY_SOON_MS = 2 * DAY_MS
"""A time away is looked at from so long before it on."""
STEADY_MS = DAY_MS
"""A lot that was not good to mill for no longer than this has not become so again: air wavers."""
LOOKED_BACK = 3
"""So many midnights are looked at after a start, for since when a lot is good to mill."""
_DAY = 48
"""Half hours."""


@dataclass(frozen=True, slots=True)
class Looked:
    """What rules see of some lots, by id, and the bugs that kept some of them from being looked at."""

    lots: dict[str, LotView]
    faults: dict[str, Exception]


@dataclass(slots=True)
class GoodSince:
    """Since when each lot is good to mill, and when it last was; or whatever else ``was`` says of how lots were held.
    After a start the record's midnights tell: the last of them at which it was not."""

    was: Callable[[Seeing, Woods], list[bool]]
    _of: dict[str, tuple[int | None, int]] = field(default_factory=dict)

    def told(self, seeing: Seeing, good: Mapping[str, bool]) -> dict[str, int | None]:
        """Of those that are good now since when they are, None of the others. Reads the record. Raises StoreError."""
        new = [name for name in good if name not in self._of]
        self._of.update(_of_record(seeing, [name for name in new if good[name]], self.was))
        found: dict[str, int | None] = {}
        for name, now in good.items():
            since, last_ms = self._of.get(name, (None, 0))
            if now and (since is None or seeing.at_ms - last_ms > STEADY_MS):
                since = seeing.at_ms
            self._of[name] = since, seeing.at_ms if now else last_ms
            found[name] = since if now else None
        for name in self._of.keys() - seeing.shop.lots.keys():
            del self._of[name]
        return found


def look(seeing: Seeing, lots: Sequence[Lot], asked: Mapping[str, Asked], good: GoodSince) -> Looked:
    """Of each of the ``lots`` of which something was ``asked``. Reads the record. Raises StoreError."""
    lots = [lot for lot in lots if lot.id in asked]
    try:
        return Looked(_every(seeing, lots, asked, good), {})
    except StoreError:
        raise
    except Exception as fault:  # noqa: BLE001 - it is handed on with the lot
        if len(lots) == 1:
            return Looked({lots[0].id: _plain(seeing, lots[0], asked[lots[0].id].advice)}, {lots[0].id: fault})
        half = len(lots) // 2
        one, other = look(seeing, lots[:half], asked, good), look(seeing, lots[half:], asked, good)
        return Looked(one.lots | other.lots, one.faults | other.faults)


def away_soon(seeing: Seeing) -> tuple[int, int] | None:
    """The next time away, or the one that is now; None while none is near."""
    spans = [s for s in seeing.shop.away if s[1] > seeing.at_ms and s[0] - seeing.at_ms <= AWAY_SOON_MS]
    return min(spans, default=None)


def _every(
    seeing: Seeing, lots: Sequence[Lot], asked: Mapping[str, Asked], good: GoodSince
) -> dict[str, LotView]:  # fmt: skip
    views = {lot.id: view for lot in lots if (view := asked[lot.id].view) is not None}
    words = {name: mill_word(view) for name, view in views.items() if view.held is not None}
    since = good.told(seeing, {name: word == "ready" for name, word in words.items()})
    now: dict[str, Now] = {}
    for name, view in views.items():
        across = view.across()
        if view.held is not None and across is not None:
            now[name] = now_of(view, view.held, across)
    courses = courses_of(list(views.values()), now, away_soon(seeing))
    found = {}
    for lot in lots:
        one = _plain(seeing, lot, asked[lot.id].advice)
        view = views.get(lot.id)
        if view is not None and view.held is not None:
            one = replace(
                one, look=look_wanted(view), tolerance_mm=tolerance_mm(view),
                mean_pct=_mean(view, view.held), wrap=_wrap(view, view.held, seeing.recent(view.held.wood.zone)),
                good=words[lot.id] == "ready", good_since_ms=since[lot.id],
            )  # fmt: skip
            if lot.id in now:
                one = _with_cup(one, now[lot.id])
                one = replace(one, courses=courses[lot.id])
        found[lot.id] = one
    return found


def _plain(seeing: Seeing, lot: Lot, advice: Advice) -> LotView:
    """What is known of it without the model."""
    return LotView(
        id=lot.id, name=lot.name, zone=lot.zone, aim=seeing.aims[lot.id], at_ms=seeing.at_ms, lying=lot.lying,
        laid_ms=lot.laid_ms, confirmed_ms=lot.confirmed_ms, holds_ms=holds_until_ms(lot, seeing.shop.away),
        width_mm=lot.width_mm, tolerance_mm=0.0, verdict=advice.word, lean=advice.lean, title=advice.title.key,
        figures=dict(advice.why.values), milled_ms=lot.milled_ms, fresh=freshly_milled(lot, seeing.at_ms),
        ends_sealed=lot.ends_sealed, panel=lot.panel is not None,
        worked_out=advice.title != NOT_WORKED_OUT[0],
    )  # fmt: skip


def _with_cup(one: LotView, now: Now) -> LotView:
    cup = now.cup_mm
    ends = abs(cup.low), abs(cup.high)
    size = Band(abs(cup.middle), 0.0 if cup.low < 0.0 < cup.high else min(ends), max(ends))
    hollow: Face = "top" if cup.middle >= 0.0 else "bottom"
    return replace(one, cup_mm=size, hollow=hollow, danger=now.danger, danger_per_pct=now.per_pct)


def _mean(view: base.LotView, held: Held) -> Band:
    figures = held_now(view, held, "mean_pct")
    return Band(figures["mean_pct"], figures["mean_pct_low"], figures["mean_pct_high"])


def _wrap(view: base.LotView, held: Held, recent: ShopAir) -> Wrap | None:
    """The day to come as the last one was: nobody foretells a room's temperature here."""
    lot = view.lot
    known = recent.known[1:, 0]
    if lot.lying != "wrapped" or len(known) < 2 * _DAY or not known[-_DAY:].any():
        return None
    c = recent.temperature_c[1:, 0]
    film = np.concatenate([c[-2 * _DAY :], c[-_DAY:]])
    step_s = BIN_MS / 1000.0
    insides = [behind_c(film, step_s, 3600.0 * STACK_LAG_H * f)[-_DAY:] for f in (1.0, 1.0 / LAG_FACTOR, LAG_FACTOR)]
    draws, half, measured = _draws(view, held)
    ahead = film[-_DAY:]
    each = [(insides[0], draws), (insides[0], draws - half), (insides[0], draws + half)]
    each += [(inside, draws) for inside in insides[1:]]
    margins = [margins_k(ahead, inside, pct) for inside, pct in each]
    spread = spread_of(np.array([[float(m.min())] for m in margins]))
    at = int(margins[0].argmin())
    margin = Band(*(float(end[0]) for end in (spread.middle, spread.low, spread.high)))
    return Wrap(
        margin, float(ahead[at]) - margin.middle, float(ahead[at]), view.at_ms + (at + 1) * BIN_MS,
        100.0 * float(humidity_at_film(ahead[at], insides[0][at], draws)), measured,
    )  # fmt: skip


def _draws(view: base.LotView, held: Held) -> tuple[float, float, bool]:
    """At what moisture the air in the wrap rests, % MC, half its central 80 %, and whether a sensor there said so."""
    for done in reversed(view.lot.acts):
        if done.edge_ms < max(view.lot.laid_ms - BIN_MS, view.at_ms - DAY_MS):
            break
        if isinstance(done.act, Hear) and done.act.kind == "wrap":
            pct, spread = (float(v) for v in done.act.values[:2] if v is not None)
            return pct, spread, True
    stock, belief = held.wood.stock, held.wood.belief
    shell = boards_of(stock, belief).shell_pct(belief.moisture.profile_pct)
    return float(shell[0]), END_OF_80 * float(sigma_of(shell)), False


def _of_record(
    seeing: Seeing, names: Sequence[str], was: Callable[[Seeing, Woods], list[bool]]
) -> dict[str, tuple[int | None, int]]:  # fmt: skip
    """The last midnight at which each was not good to mill, or the first that is looked at."""
    if not names:
        return {}
    shelf = RecordedShelf(seeing.stockroom.history)
    since = {name: seeing.shop.lots[name].received_ms for name in names}
    for edge_ms in sorted(shelf.edges(seeing.at_ms))[-LOOKED_BACK:]:
        woods = shelf.at(edge_ms, names)
        for name, good in zip(woods.names, was(seeing, woods), strict=True):
            if not good or since[name] < edge_ms - LOOKED_BACK * DAY_MS:
                since[name] = edge_ms
    return {name: (since[name], seeing.at_ms) for name in names}


def were_even(_: Seeing, woods: Woods) -> list[bool]:
    """Of each as it was held: shells and core within 1 % of each other."""
    if not woods.names:
        return []
    boards, profile = _middles(woods)
    parts = [boards.core_pct(profile), *(boards.mean_between(profile, *e) for e in ((0.0, SHELL), (1 - SHELL, 1.0)))]
    return [bool(even) for even in np.maximum.reduce(parts) - np.minimum.reduce(parts) <= EVEN_WITHIN_PCT]


def were_good(seeing: Seeing, woods: Woods) -> list[bool]:
    """Likewise, and the mean inside its aim."""
    if not woods.names:
        return []
    boards, profile = _middles(woods)
    mean = boards.mean_pct(profile) + woods.belief.curve_pct[:, 0]
    aims = [seeing.aims[name] for name in woods.names]
    inside = [a.dry_limit_pct <= m <= a.damp_limit_pct for a, m in zip(aims, mean, strict=True)]
    return [even and bool(i) for even, i in zip(were_even(seeing, woods), inside, strict=True)]


def _middles(woods: Woods) -> tuple[Boards, Floats]:
    middle = np.arange(len(woods.names)) * MEMBERS
    return boards_of(woods.stock, woods.belief).take(middle), woods.belief.moisture.profile_pct[middle]
