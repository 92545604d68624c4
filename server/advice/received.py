"""What was seen when this lot came in, and what does that ask for ever after?"""

from __future__ import annotations

import numpy as np
from pydantic import Field

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    NOTHING,
    PRACTICE,
    Held,
    Inputs,
    Line,
    LotView,
    ends,
)
from server.advice.sheet_faces import OfSheet, of_sheet
from server.reading import Word
from server.shop.lot import Lot
from server.wood.belief import MEMBERS, boards_of
from server.wood.ends import ALONG_GRAIN, AT_SHARE, LEAST_ALONG_GRAIN, OFF_BY_PCT, reach_m
from server.wood.ensemble import Spread
from server.wood.outcome import EVEN_WITHIN_PCT
from server.words import Sentence

SEEN = ("face_checks", "twist", "bow", "loose_knots", "bug_holes", "sapwood", "stain", "damaged_edges")
"""What the checklist asks of wood by how much there is of it."""
SOME = ("some", "many")
OF_SHEETS = ("stain", "damaged_edges")
_ENDS_SOURCE = (
    "Ends: Newman's rule (Crank 1975, 1.3), 10 to 15 times as fast along the grain as across it (abstracts of "
    "Sonderegger et al. 2011 and Skaar 1958, read; Wood Handbook, from memory)."
)
FORK_SOURCE = (
    "Fork test: valid without a moisture gradient, so its prongs lie some hours first, and for stress across the grain "
    "alone (FDMC Magazine, Prong test basics, and Growth stresses; both read)."
)
SAPWOOD_SOURCE = "Sapwood: that of all species is particularly nondurable (34 Pa. Code § 21.66, read)."
_LEAST_SAID_MM = 0.5


class ReceivedInputs(Inputs):
    """What was looked at since."""

    fresh_dust: bool | None = Field(
        None, description="whether there is fresh dust below the holes of insects: true or false"
    )


class Received:
    """Warnings from the receiving checklist and the fork test, which stand as long as the lot is here."""

    name = "received"
    summary = "what was seen when it came in, what that asks for, and which lots it stays together with"
    decides = True
    inputs: type[Inputs] = ReceivedInputs

    def answer(self, view: LotView, given: ReceivedInputs, /) -> Line | None:
        """``ends_ahead_mm`` with its ends: how far from ends that are not sealed it runs ahead of the rest at the most,
        until that has settled in its air (None where they are sealed, wrapped, not looked at, or nothing is held);
        ``not_looked_at`` and ``mates`` by name; of sheets what :func:`~server.advice.sheet_faces.of_sheet` gives."""
        lot = view.lot
        asked, open_ends = _asked(lot), lot.ends_sealed is False
        reach = (
            NOTHING if view.held is None or not open_ends or lot.lying == "wrapped" else ends_ahead_mm(view, view.held)
        )
        skipped = tuple(name for name, seen in asked.items() if seen is None)
        sheet = of_sheet(view)
        word, title, first = _stops(view, given, sheet)
        found = (*first, *_gradient(view), *_found(asked), *(_ends(view, reach) if open_ends else ()))
        looked = () if found or len(skipped) == len(asked) else (Sentence("lot-received-clear"),)
        said = (*found, *looked, *((_not_looked_at(asked),) if skipped else ()), *_mates(view))
        figures = {
            **ends("ends_ahead_mm", reach), "not_looked_at": list(skipped), "mates": [mate.id for mate in view.alike],
            **sheet.figures,
        }  # fmt: skip
        sources = [f"What each find asks for: {PRACTICE}"]
        sources += [FORK_SOURCE] * (lot.prongs is not None) + [SAPWOOD_SOURCE] * (asked.get("sapwood") in SOME)
        sources += sheet.sources
        if not np.isnan(reach.middle[0]):
            sources += [_ENDS_SOURCE, EMC_SOURCE, DIFFUSION_SOURCE]
        return Line(
            self.name, word, Sentence("lot-received-asked"), said, figures, sheet.limit,
            tuple(sources), Sentence("lot-caution-received"),
            tuple(lot.entry_of[kind] for kind in _kinds(lot) if kind in lot.entry_of), title,
        )  # fmt: skip


def ends_ahead_mm(view: LotView, held: Held) -> Spread:
    """:mod:`server.wood.ends` from its coming in until it has settled: the low end with the least way left and the
    least that is published for the way along the grain, the high end with the most."""
    wood, course = held.wood, held.outcome.course
    boards, profile = boards_of(wood.stock, wood.belief), wood.belief.moisture
    here_s = max(0.0, (view.at_ms - view.lot.received_ms) / 1000.0)  # what came in since the last half hour: 0
    gone_s = here_s + course.times_s - course.times_s[0]
    away = course.core_pct[:, 0] - course.target_pct[:, 0]
    about = (1.0 - AT_SHARE) * course.mean_pct[0, 0] + AT_SHARE * course.target_pct[0, 0]
    across = float(boards.diffusivity.at(np.full(MEMBERS, about), profile.temperature_c)[0])
    way = held.outcome.left_pct
    left, least, most = (abs(float(a[0])) for a in (way.middle, *sorted((way.low, way.high), key=lambda a: abs(a[0]))))
    floor = max(left, OFF_BY_PCT)  # less than that is no way to be a part of
    scales = (1.0, max(0.0, 1.0 + (least - left) / floor), 1.0 + (most - left) / floor)
    along = (ALONG_GRAIN, LEAST_ALONG_GRAIN, ALONG_GRAIN)
    values = (1000.0 * reach_m(gone_s, away * s, across * a).max() for s, a in zip(scales, along, strict=True))
    return Spread(*(np.full(1, value) for value in values))


def _kinds(lot: Lot) -> tuple[str, ...]:
    """Of the entries that what is said rests on."""
    faces = ("veneered", "finished", "milled", "ripped") if lot.received.sheet is not None else ()
    return ("received", "fork-tested", "ends-sealed", *faces)


def _asked(lot: Lot) -> dict[str, object]:
    """What there is to look at in this kind of lot, and what was seen; None is not looked at."""
    seen = lot.received.checklist
    if lot.species is None:
        return {**{name: getattr(seen, name) for name in OF_SHEETS}, "sheet_flat": seen.sheet_flat}
    return {**{name: getattr(seen, name) for name in SEEN}, "ends_sealed": lot.ends_sealed, "fork_test": lot.prongs}


def _stops(
    view: LotView, given: ReceivedInputs, sheet: OfSheet
) -> tuple[Word | None, Sentence | None, tuple[Sentence, ...]]:  # fmt: skip
    """What stands in the way of work, and the fork test. As long as a lot waits for its air it is not milled anyway,
    and is to be seen waiting."""
    lot = view.lot
    said = sheet.said if lot.prongs is None else (Sentence("lot-received-fork", {"prongs": lot.prongs}),)
    if given.fresh_dust:
        return "look", Sentence("lot-received-dust-title"), (Sentence("lot-received-dust"), *said)
    waits = view.held is not None and not view.held.outcome.good.middle[0] <= 0.0
    if lot.prongs in ("pinch", "open") and not waits:
        return "look", Sentence("lot-received-fork-title", {"prongs": lot.prongs}), said
    return sheet.word, sheet.title, said


def _gradient(view: LotView) -> tuple[Sentence, ...]:
    """Prongs of wood that is uneven inside speak of that, too."""
    if view.lot.prongs is None or view.held is None:
        return ()
    course = view.held.outcome.course
    apart = abs(float(course.shell_pct[0, 0] - course.core_pct[0, 0]))
    return (Sentence("lot-received-fork-uneven", {"apart_pct": apart}),) if apart > EVEN_WITHIN_PCT else ()


def _found(asked: dict[str, object]) -> tuple[Sentence, ...]:
    found = [
        Sentence(f"lot-received-{name.replace('_', '-')}", {"much": str(seen)})
        for name, seen in asked.items()
        if seen in SOME
    ]
    if asked.get("sheet_flat") is False:
        found.append(Sentence("lot-received-sheet-bent"))
    return tuple(found)


def _ends(view: LotView, reach: Spread) -> tuple[Sentence, ...]:
    if view.lot.lying == "wrapped":
        return (Sentence("lot-received-ends-wrapped"),)
    middle, most = float(reach.middle[0]), float(reach.high[0])
    if np.isnan(middle):
        return (Sentence("lot-received-ends-open"),)
    if most < _LEAST_SAID_MM:
        return (Sentence("lot-received-ends-settled"),)
    dries = view.held is not None and float(view.held.outcome.left_pct.middle[0]) < 0
    return (Sentence("lot-received-ends", {"ends_mm": middle, "most_mm": most, "way": "dries" if dries else "swells"}),)


def _not_looked_at(asked: dict[str, object]) -> Sentence:
    every = (*SEEN, "ends_sealed", "fork_test", "sheet_flat")
    return Sentence(
        "lot-received-not-looked",
        {name: "open" if name in asked and asked[name] is None else "done" for name in every},
    )


def _mates(view: LotView) -> tuple[Sentence, ...]:
    if view.lot.received.log is None:
        return ()
    if not view.alike:
        return (Sentence("lot-received-alone"),)
    each = (Sentence("lot-received-mate", {"name": m.name, "zone": view.telling.name(m.zone)}) for m in view.alike)
    return (Sentence("lot-received-together", {"count": len(view.alike)}), *each)
