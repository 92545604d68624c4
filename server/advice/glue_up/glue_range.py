"""Does this glue take wood of such moisture? Its maker's figures, or its family's, which are doubtful."""

from __future__ import annotations

from server.advice.base import Limit, Line
from server.advice.glue_up.base import GlueView, names
from server.reading import Word
from server.words import Sentence
from server.words.of_adhesive import CAUTION


class GlueRange:
    """The boards' means inside the adhesive's own range. Never more than to look: boards are not dried or wetted past
    their aim for a glue's sake, another glue is taken."""

    name = "moisture-for-the-glue"
    summary = "whether the adhesive takes wood as dry or as damp as these boards"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``lowest_pct`` and ``highest_pct`` of the boards' means, each with its ends."""
        each = [board.mean for board in view.boards]
        dry, wet = (f(each, key=lambda one: one["mean_pct"]) for f in (min, max))
        figures = {f"{name}_pct{end}": one[f"mean_pct{end}"]
                   for name, one in (("lowest", dry), ("highest", wet)) for end in ("", "_low", "_high")}  # fmt: skip
        row = view.family.limits["mc"]
        low, high = row.low or 0.0, 100.0 if row.high is None else row.high
        out = [board for board in view.boards if not low <= board.mean_pct <= high]
        word: Word = "look" if out else "ready"
        known = "yes" if row.low is not None and row.high is not None else "no"
        said = Sentence("glue-range-in", {"known": known})
        if out:
            said = Sentence("glue-range-out", {"names": names(out), "sure": "yes" if row.hard else "no"})
        limit = Limit(
            Sentence("glue-range-limit", {"low_pct": low, "high_pct": high, "known": known}),
            f"{row.source} ({row.provenance})", {"mc_low_pct": low, "mc_high_pct": high} if known == "yes" else {},
        )  # fmt: skip
        title = Sentence("glue-range-title") if out else None
        return Line(self.name, word, Sentence("glue-range-asked"), (said,), figures, limit, (), CAUTION, title=title)
