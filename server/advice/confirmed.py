"""Does this lot still lie as is written, who last said so, and what does it cost that nobody has since?"""

from __future__ import annotations

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, PRACTICE, Held, Inputs, Limit, Line, LotView
from server.reading import Aim
from server.shop.confirmed import DAY_MS, FRESH_HOLDS_MS, HOLDS_MS, freshly_milled
from server.wood.outcome import EVEN_WITHIN_PCT, NOTHING_PCT
from server.words import Sentence


class StillSo:
    """A person's word holds for a week, and for a day where the lot was freshly milled; after that its figures are told
    as wide as they are if it was opened, or lies in another zone, since then. To look is asked for where the verdict
    would then be another one."""

    name = "confirmed"
    summary = "who last said how it lies and when, how long that holds, and what it costs in spread"
    decides = True
    inputs = Inputs

    def answer(self, view: LotView, _: Inputs, /) -> Line | None:
        """``unconfirmed_days`` since a person last said so, ``holds_days`` of which that holds; ``drier_pct`` and
        ``damper_pct``, how far its mean may be off by now for lying otherwise (of a dead stack also that of its
        outermost piece), None of what the model does not carry."""
        lot, seen = view.lot, view.lot.seen
        if lot.ended:
            return None
        past = view.unconfirmed
        off = view.held.astray if view.held is not None else None
        drier, damper = (0.0, 0.0) if off is None else (-float(off.mean_pct[0, 0]), float(off.mean_pct[0, 1]))
        days = (FRESH_HOLDS_MS if freshly_milled(lot, seen.t_ms) else HOLDS_MS) / DAY_MS
        said = [
            Sentence("lot-confirmed-lies", {
                "name": lot.name, "lying": lot.lying, "zone": view.telling.name(lot.zone),
                "at": view.telling.at(lot.laid_ms),
            }),
            Sentence("lot-confirmed-seen", {
                "who": seen.who, "by": "known" if seen.who else "nobody",
                "how": "said" if seen.kind == "confirmed" else "hand", "at": view.telling.at(seen.t_ms),
            }),
            Sentence("lot-confirmed-past" if past else "lot-confirmed-holds", {"at": view.telling.at(view.holds_ms)}),
        ]  # fmt: skip
        if past and max(drier, damper) >= NOTHING_PCT:
            side = "drier" if damper < NOTHING_PCT else "damper" if drier < NOTHING_PCT else "either"
            said.append(Sentence("lot-confirmed-cost", {"side": side, "drier_pct": drier, "damper_pct": damper}))
        look = look_wanted(view)
        if look:  # what to do comes first: it stands beside the verdict
            said = [*said[3:], *said[:3]]
        known = view.held is not None
        figures = {
            "unconfirmed_days": max(0.0, (view.at_ms - seen.t_ms) / DAY_MS),
            "holds_days": (view.holds_ms - seen.t_ms) / DAY_MS,
            "drier_pct": drier if known else None, "damper_pct": damper if known else None,
        }  # fmt: skip
        limit = Limit(Sentence("lot-confirmed-limit", {"days": days}), PRACTICE, {"holds_days": days})
        return Line(
            self.name, "look" if look else None, Sentence("lot-confirmed-asked"), tuple(said), figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE), entries=(seen.entry,),
            title=Sentence("lot-confirmed-title", {"lying": lot.lying}) if look else None,
        )  # fmt: skip


def look_wanted(view: LotView) -> bool:
    """Whether somebody should look how it lies: past its limit, and its verdict may be another one."""
    return view.unconfirmed and view.held is not None and _another(view.held, view.aim)


def _another(held: Held, aim: Aim) -> bool:
    """Whether it is good to mill as it is held to lie and would not be, lying otherwise. The other way round nothing
    is lost by waiting, and a lot that rests would be asked for every week."""
    if held.astray is None:
        return False
    course = held.outcome.course
    mean, shell, core = (float(a[0, 0]) for a in (course.mean_pct, course.shell_pct, course.core_pct))

    def good(mean_by: float, shell_by: float) -> bool:
        between = 1.5 * (mean_by - shell_by / 3.0)
        even = abs(shell + shell_by - core - between) <= EVEN_WITHIN_PCT
        return even and aim.dry_limit_pct <= mean + mean_by <= aim.damp_limit_pct

    ways = zip(held.astray.mean_pct[0], held.astray.shell_pct[0], strict=True)
    return good(0.0, 0.0) and not all(good(*way) for way in ways)


def if_still(view: LotView) -> Sentence | None:
    """What a verdict rests on that nobody has confirmed for too long; None where it was."""
    if not view.unconfirmed:
        return None
    return Sentence("lot-if-still", {"lying": view.lot.lying, "zone": view.telling.name(view.lot.zone)})
