"""Are the boards even inside, shell against core?"""

from __future__ import annotations

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, Limit, Line
from server.advice.glue_up.base import Answered, Board, GlueView
from server.advice.glue_up.when import board_days
from server.advice.time_words import counted
from server.wood.belief import MEMBERS, boards_of, sigma_of
from server.wood.ensemble import END_OF_80
from server.wood.outcome import EVEN_WITHIN_PCT, SEASON_DAYS
from server.words import Sentence


class Even:
    """Core and either shell within 1 % of each other, so that the panel does not move by itself once it is glued."""

    name = "shell-against-core"
    summary = "whether each board's shells and core lie within 1 % of each other"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``apart_pct`` of the board that is least even, with its ends, its ``lot``, and ``boards``: each one's."""
        each = [apart_pct(board) for board in view.boards]
        worst = int(np.argmax([one[0] for one in each]))
        board, (apart, low, high) = view.boards[worst], each[worst]
        figures = {
            "apart_pct": apart, "apart_pct_low": low, "apart_pct_high": high, "lot": board.id,
            "boards": [{"lot": b.id, "apart_pct": a, "apart_pct_low": lo, "apart_pct_high": hi}
                       for b, (a, lo, hi) in zip(view.boards, each, strict=True)],
        }  # fmt: skip
        limit = Limit(
            Sentence("glue-even-limit", {"apart_pct": EVEN_WITHIN_PCT}),
            "Within 1 % of each other: this shop's definition.", {"apart_pct": EVEN_WITHIN_PCT},
        )  # fmt: skip
        word, title, said = _said(view, board, apart)
        return Line(
            self.name, word, Sentence("glue-even-asked"), said, figures, limit, (EMC_SOURCE, DIFFUSION_SOURCE),
            title=title,
        )  # fmt: skip


def apart_pct(board: Board) -> tuple[float, float, float]:
    """How far core and the shell that is farther from it, or the shells, are apart: as held, and its ends."""
    wood = board.held.wood
    boards, profile = boards_of(wood.stock, wood.belief), wood.belief.moisture.profile_pct
    parts = [boards.mean_between(profile, a / 6, b / 6) for a, b in ((0, 1), (2, 4), (5, 6))]
    gaps = np.max(parts, axis=0) - np.min(parts, axis=0)
    half = END_OF_80 * float(sigma_of(gaps.reshape(1, MEMBERS))[0])
    return float(gaps[0]), max(0.0, float(gaps[0]) - half), float(gaps[0]) + half


def _said(view: GlueView, board: Board, apart: float) -> Answered:
    if apart <= EVEN_WITHIN_PCT:
        return "ready", None, (Sentence("glue-even-yes", {"name": board.name, "apart_pct": apart}),)
    no = Sentence("glue-even-no", {"name": board.name, "apart_pct": apart})
    days = board_days(view.boards)
    if float(days.middle[0]) <= SEASON_DAYS:
        count = counted(days)
        title = Sentence("glue-wait-title", {key: count[key] for key in ("count", "unit")})
        return "wait", title, (no, Sentence("glue-when-boards", count))
    return "look", Sentence("lot-mill-season-title"), (no, Sentence("glue-even-season"))
