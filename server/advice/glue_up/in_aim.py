"""Do the boards hold what the panel must hold where it will live? This one comes first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, Limit, Line
from server.advice.glue_up.base import Board, GlueView, Values, names
from server.advice.glue_up.when import board_days
from server.advice.good_to_mill import AT_ONCE_DAYS
from server.advice.time_words import counted
from server.reading import Word
from server.wood.ensemble import Spread
from server.wood.outcome import SEASON_DAYS
from server.words import Sentence

_NAMED = 3


class InAim:
    """The mean of each board inside the panel's aim, and surely so."""

    name = "boards-in-aim"
    summary = "whether each board's mean moisture lies inside the panel's own aim, and if not, when"
    decides = True

    def answer(self, view: GlueView, /) -> Line:
        """``mean_pct`` of the panel by width with its ends, ``boards``: each one's ``mean_pct`` with its ends;
        ``good_days`` with its ends, until all boards are inside and even (None where never)."""
        low, high = view.aim.dry_limit_pct, view.aim.damp_limit_pct
        each = [board.mean for board in view.boards]
        mean = _mean(view, each)
        outside = [board for board in view.boards if not low <= board.mean_pct <= high]
        days = board_days(view.boards)
        word, title, said = _said(view, outside, each, days)
        figures = {
            **mean, "good_days": _or_none(days.middle), "good_days_low": _or_none(days.low),
            "good_days_high": _or_none(days.high),
            "boards": [{"lot": b.id, "name": b.name, "pieces": b.pieces, **e}
                       for b, e in zip(view.boards, each, strict=True)],
        }  # fmt: skip
        limit = Limit(
            Sentence("glue-aim-limit", {"low_pct": low, "high_pct": high}), f"Aim: {view.aim.source}.",
            {"aim_low_pct": low, "aim_high_pct": high},
        )  # fmt: skip
        held = Sentence("glue-aim-mean", {key: mean[key] for key in ("mean_pct", "mean_pct_low", "mean_pct_high")})
        sources = (EMC_SOURCE, DIFFUSION_SOURCE)
        entries = tuple(b.view.lot.seen.entry for b in view.boards)
        caution = Sentence("book-caution-estimate")
        return Line(
            self.name, word, Sentence("glue-aim-asked"), (*said, held), figures, limit, sources, caution, entries, title
        )  # fmt: skip


def _or_none(days: np.ndarray) -> float | None:
    return float(days[0]) if np.isfinite(days[0]) else None


def _mean(view: GlueView, each: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """By width. What is not known of a lot is taken to be the same for all, which is on the safe side."""
    keys = ("mean_pct", "mean_pct_low", "mean_pct_high")
    return {key: float(sum(share * one[key] for share, one in zip(view.shares, each, strict=True))) for key in keys}


def _said(
    view: GlueView, outside: list[Board], each: Sequence[Mapping[str, float]], days: Spread
) -> tuple[Word, Sentence, tuple[Sentence, ...]]:
    low, high = view.aim.dry_limit_pct, view.aim.damp_limit_pct
    if not outside:
        unsure = [
            (board, one) for board, one in zip(view.boards, each, strict=True)
            if float(board.held.outcome.good.middle[0]) == 0.0
            and not float(board.held.outcome.good.high[0]) <= AT_ONCE_DAYS
        ]  # fmt: skip
        if not unsure:
            return (
                "ready",
                Sentence("glue-ready-title"),
                (Sentence("glue-aim-inside", {"low_pct": low, "high_pct": high}),),
            )
        board, one = max(unsure, key=lambda b: b[1]["mean_pct_high"] - b[1]["mean_pct_low"])
        values: Values = {
            "name": board.name,
            "held_low_pct": one["mean_pct_low"],
            "held_high_pct": one["mean_pct_high"],
        }
        return "look", Sentence("glue-unsure-title"), (Sentence("glue-aim-unsure", values),)
    named = tuple(
        Sentence("glue-aim-outside", {
            "name": b.name, "mean_pct": b.mean_pct, "side": "dry" if b.mean_pct < low else "damp",
            "low_pct": low, "high_pct": high,
        })
        for b in sorted(outside, key=lambda b: -max(low - b.mean_pct, b.mean_pct - high))[:_NAMED]
    )  # fmt: skip
    if float(days.middle[0]) <= SEASON_DAYS:
        count = counted(days)
        return "wait", Sentence("glue-wait-title", {k: count[k] for k in ("count", "unit")}), (
            *named, Sentence("glue-when-boards", count))  # fmt: skip
    away = [b for b in outside if not low <= float(b.held.outcome.target_pct.middle[0]) <= high]
    if away:
        target = float(away[0].held.outcome.target_pct.middle[0])
        values = {"names": names(away), "target_pct": target, "low_pct": low, "high_pct": high}
        return "look", Sentence("lot-mill-not-here-title"), (*named, Sentence("glue-aim-not-here", values))
    return "look", Sentence("lot-mill-season-title"), (*named, Sentence("glue-aim-season"))
