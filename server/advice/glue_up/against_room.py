"""How far is this room from the boards? A caution, last: it never moves stock out of its aim, nor the verdict."""

from __future__ import annotations

import numpy as np

from server.advice.base import EMC_SOURCE, PRACTICE, Limit, Line
from server.advice.glue_up.base import GlueView
from server.wood.emc import CURVE_SIGMA_PCT
from server.wood.ensemble import END_OF_80
from server.words import Sentence

NEAR_PCT = 1.0
"""Air that draws to within this of the boards leaves them as they are over a glue-up. Common practice, no source."""


class AgainstRoom:
    """What the air of the glue-up draws wood to beside what the boards hold. Boards belong to where the panel will live
    and not to this room; where the two differ they are covered until then, and the panel after it. Boards that are not
    where they belong yet are not told so: this air may bring them there."""

    name = "room-against-boards"
    summary = "how far the air where it is glued draws from what the boards hold: whether to keep them wrapped"
    decides = False

    def answer(self, view: GlueView, /) -> Line:
        """``apart_pct`` with its ends (negative: the room is the drier), ``room_emc_pct`` and ``mean_pct``."""
        mean = float(view.shares @ np.array([board.mean_pct for board in view.boards]))
        if not view.room.heard:
            said = (Sentence("glue-unheard", {"zone": view.name(view.room.zone)}),)
            return Line(self.name, None, Sentence("glue-room-asked"), said, {"apart_pct": None}, sources=(EMC_SOURCE,))
        emc = view.room.emc_pct
        apart, half = emc - mean, END_OF_80 * CURVE_SIGMA_PCT
        near, side = abs(apart) <= NEAR_PCT, "dry" if apart < 0 else "damp"
        inside = all(view.aim.dry_limit_pct <= board.mean_pct <= view.aim.damp_limit_pct for board in view.boards)
        key = "glue-room-near" if near else "glue-room-far" if inside else "glue-room-apart"
        values: dict[str, float | str] = {"zone": view.name(view.room.zone), "emc_pct": emc}
        if not near:
            values |= {"apart_pct": abs(apart), "side": side}
        figures = {
            "apart_pct": apart, "apart_pct_low": apart - half, "apart_pct_high": apart + half, "room_emc_pct": emc,
            "mean_pct": mean,
        }  # fmt: skip
        return Line(
            self.name, None, Sentence("glue-room-asked"),
            (Sentence(key, values),), figures,
            Limit(Sentence("glue-room-limit", {"near_pct": NEAR_PCT}), PRACTICE, {"near_pct": NEAR_PCT}),
            (EMC_SOURCE,), None if near or not inside else Sentence("glue-room-caution", {"side": side}),
        )  # fmt: skip
