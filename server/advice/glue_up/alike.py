"""Are the boards alike? The further they are apart, the more stress stands in the line between them."""

from __future__ import annotations

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, Limit, Line
from server.advice.glue_up.base import Answered, GlueView, Values
from server.advice.glue_up.when import alike_days, most_apart_pct
from server.advice.time_words import counted
from server.wood.outcome import SEASON_DAYS
from server.words import Sentence


class Alike:
    """The means of all boards within what the adhesive's family takes, 2 % by general practice: a doubtful figure, so
    that it never says more than to look."""

    name = "boards-alike"
    summary = "how far the wettest and the driest board are apart"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``apart_pct`` between the means of the wettest and the driest, with its ends; which ``wettest`` and
        ``driest`` are, by lot."""
        each = [board.mean for board in view.boards]
        means = [one["mean_pct"] for one in each]
        wet, dry = int(np.argmax(means)), int(np.argmin(means))
        apart, most = means[wet] - means[dry], most_apart_pct(view)
        down = np.hypot(means[wet] - each[wet]["mean_pct_low"], each[dry]["mean_pct_high"] - means[dry])
        up = np.hypot(each[wet]["mean_pct_high"] - means[wet], means[dry] - each[dry]["mean_pct_low"])
        one = wet == dry
        figures = {
            "apart_pct": apart, "apart_pct_low": 0.0 if one else max(0.0, apart - float(down)),
            "apart_pct_high": 0.0 if one else apart + float(up), "wettest": view.boards[wet].id,
            "driest": view.boards[dry].id,
        }  # fmt: skip
        word, title, said = _said(view, view.boards[wet].name, view.boards[dry].name, apart, most)
        row = view.family.limits["mc-apart"]
        source = (
            f"{row.source} ({row.provenance})" if row.high is not None else "General laminating practice, recalled."
        )
        limit = Limit(Sentence("glue-alike-limit", {"most_pct": most}), source, {"most_pct": most})
        return Line(
            self.name, word, Sentence("glue-alike-asked"), said, figures, limit, (EMC_SOURCE, DIFFUSION_SOURCE),
            title=title,
        )  # fmt: skip


def _said(view: GlueView, wet: str, dry: str, apart: float, most: float) -> Answered:
    if len(view.boards) == 1:
        return "ready", None, (Sentence("glue-alike-one", {"name": wet}),)
    values: Values = {"wet": wet, "dry": dry, "apart_pct": apart}
    if apart <= most:
        return "ready", None, (Sentence("glue-alike-yes", values),)
    days = alike_days(view)
    when = Sentence("glue-when-alike", counted(days)) if float(days.middle[0]) <= SEASON_DAYS else None
    more = (when,) if when else (Sentence("glue-alike-season"),)
    return "look", Sentence("glue-alike-title"), (Sentence("glue-alike-no", values), *more)
