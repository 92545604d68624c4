"""May this panel be flattened? Its glue lines swell with the glue's water, and sink later where they were planed too
soon."""

from __future__ import annotations

from server.advice.base import Inputs, Limit, Line, LotView, held_now
from server.advice.panel.curing import HOUR_MS, Glue, glue_of
from server.advice.time_words import Said
from server.reading import Word
from server.wood.outcome import EVEN_WITHIN_PCT
from server.words import Sentence
from server.words.of_adhesive import CAUTION

DAY_H = 24.0


class Flatten:
    """Rest counts from the opening of the clamps; an adhesive that brings no water rests until it is cured."""

    name = "flatten"
    summary = "whether a panel has rested long enough after the clamps to be flattened, and is even inside"
    decides = True
    inputs = Inputs

    def answer(self, view: LotView, _: Inputs, /) -> Line | None:
        """``rested_days`` since the clamps; ``rest_days`` with its ends, as the sheet or the family has it (None where
        it rests until it is cured); ``left_days`` likewise; ``mean_pct``, ``shell_pct``, ``core_pct``."""
        lot, glue = view.lot, glue_of(view)
        if lot.panel is None or view.held is None or glue is None:
            return None
        rest = glue.limits.rest_days
        flattened = lot.panel.flattened_ms
        rested = max(0.0, (glue.since_h - glue.clamp_h) / DAY_H)
        at = rested if flattened is None else (flattened - lot.panel.glued_ms) / HOUR_MS / DAY_H - glue.clamp_h / DAY_H
        held = held_now(view, view.held)
        even = abs(held["shell_pct"] - held["core_pct"]) <= EVEN_WITHIN_PCT
        left = None if rest is None else tuple(max(0.0, days - rested) for days in rest)
        figures = {
            "rested_days": rested, **_ends("rest_days", rest), **_ends("left_days", left), **held, "even": even,
        }  # fmt: skip
        word, title, first = _decided(view, glue, left, even=even)
        if flattened is not None:
            word, title = None, None
            early = rest is not None and at < rest[0]
            first = Sentence("panel-flat-early" if early else "panel-flat-done", {"rested_days": max(0.0, at)})
            if early and left is not None and left[1] > 0.0:
                word, title = "wait", Sentence("panel-flat-sinks-title")
        limit = glue.limits.limits["rest"]
        why = () if rest is None else (Sentence("panel-flat-why"),)
        most = 0.0 if rest is None else rest[1]
        said = Limit(
            Sentence("panel-flat-limit", {"known": "no" if rest is None else "yes", "days": most}),
            f"{limit.provenance}: {limit.source}", {} if rest is None else {"rest_days": rest[1]},
        )  # fmt: skip
        return Line(
            self.name, word, Sentence("panel-flat-asked"), (first, *why), figures, said,
            (f"{limit.provenance}: {limit.source}",), CAUTION, (lot.panel.entry,), title,
        )  # fmt: skip


def sinks(view: LotView) -> bool:
    """Whether it was flattened before its glue lines had dried, and they may still sink."""
    line = Flatten().answer(view, Inputs()) if view.lot.panel is not None else None
    return line is not None and line.title is not None and line.title.key == "panel-flat-sinks-title"


def _decided(
    view: LotView, glue: Glue, left: tuple[float, ...] | None, *, even: bool
) -> tuple[Word | None, Sentence | None, Sentence]:
    if view.lot.panel is None or view.lot.panel.stage != "glued" or not glue.there:
        return None, None, Sentence("panel-flat-first-cured")
    if glue.doubtful:
        return None, None, Sentence("panel-flat-doubt", {"name": view.lot.name})
    if left is not None and left[1] > 0.0:
        days = {"left_days": left[1]}
        return (
            "wait",
            Sentence("panel-flat-wait-title", days),
            Sentence("panel-flat-wait", {**days, "name": view.lot.name}),
        )
    if not even:
        return "wait", Sentence("panel-flat-uneven-title"), Sentence("panel-flat-uneven", {"name": view.lot.name})
    aim, mean = view.aim, 0.0 if view.held is None else view.held.mean_pct
    if not aim.dry_limit_pct <= mean <= aim.damp_limit_pct:
        limits: Said = {"mean_pct": mean, "low_pct": aim.dry_limit_pct, "high_pct": aim.damp_limit_pct}
        off = Sentence("panel-flat-aim", {**limits, "name": view.lot.name})
        return "look", Sentence("panel-flat-aim-title"), off
    ready: Said = {"name": view.lot.name, "water": "no" if left is None else "yes"}
    return "ready", Sentence("panel-flat-ready-title"), Sentence("panel-flat-ready", ready)


def _ends(key: str, two: tuple[float, ...] | None) -> dict[str, float | None]:
    low, high = (None, None) if two is None else two
    middle = None if low is None or high is None else 0.5 * (low + high)
    return {key: middle, f"{key}_low": low, f"{key}_high": high}
