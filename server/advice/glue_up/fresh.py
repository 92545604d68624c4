"""Are the faces fresh? A face that was cut a day ago or more wets and bonds less well."""

from __future__ import annotations

from server.advice.base import Limit, Line
from server.advice.glue_up.base import CHAPTER_10, Board, GlueView, names
from server.reading import Word
from server.words import Sentence

HOUR_MS = 3_600_000
FRESH_H = 24.0
"""From planing or jointing to gluing, at best; the same day for dense and oily woods: handbook, recalled."""


class Fresh:
    """Since when each board's faces have been open, as the journal has them milled, or their edges, as the asker says:
    a light pass on an edge is no entry of its own."""

    name = "faces-fresh"
    summary = "how long ago the faces of each board were planed or jointed"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``since_h`` of the board milled longest ago, None where one was never milled here; ``boards``: each one's.
        By the journal's moments, so there is no spread."""
        each = {board.id: since_h(view, board) for board in view.boards}
        never = [board for board in view.boards if each[board.id] is None]
        stale = [board for board in view.boards if (each[board.id] or 0.0) > FRESH_H]
        longest = max((h for h in each.values() if h is not None), default=None)
        word: Word = "look" if never or stale else "ready"
        said = []
        if never:
            said.append(Sentence("glue-fresh-never", {"names": names(never)}))
        if stale:
            oldest = max(stale, key=lambda board: each[board.id] or 0.0)
            hours = each[oldest.id] or 0.0
            said.append(Sentence("glue-fresh-stale", {"names": names(stale), "hours": hours}))
        if not said:
            said.append(Sentence("glue-fresh-yes", {"hours": longest or 0.0}))
        figures = {
            "since_h": None if never else longest,
            "boards": [{"lot": name, "since_h": hours} for name, hours in each.items()],
        }  # fmt: skip
        limit = Limit(
            Sentence("glue-fresh-limit", {"hours": FRESH_H}), f"{CHAPTER_10}; a rule of thumb, common practice.",
            {"fresh_h": FRESH_H},
        )  # fmt: skip
        entries = tuple(b.view.lot.entry_of["milled"] for b in view.boards if "milled" in b.view.lot.entry_of)
        title = None if word == "ready" else Sentence("glue-fresh-title")
        return Line(
            self.name, word, Sentence("glue-fresh-asked"), tuple(said), figures, limit, (),
            Sentence("lot-caution-mill") if word == "look" else None, entries, title,
        )  # fmt: skip


def since_h(view: GlueView, board: Board) -> float | None:
    """Hours since its faces or its edges were opened, what was later; None where nobody says that they were."""
    milled_ms, jointed_h = board.view.lot.milled_ms, view.asked.jointed_h
    milled_h = None if milled_ms is None else max(0.0, (view.telling.now_ms - milled_ms) / HOUR_MS)
    return min((h for h in (milled_h, jointed_h) if h is not None), default=None)
