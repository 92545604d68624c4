"""May this panel be flattened? Its glue lines swell with the glue's water, and sink later where they were planed too
soon."""

from __future__ import annotations

from collections.abc import Sequence

from server.advice.base import Decision, Inputs, Limit, Line, LotView, decision_of, held_now
from server.advice.panel.curing import HOUR_MS, Glue, glue_of
from server.advice.panel.glue_lines import Three, rest_of
from server.advice.time_words import Said
from server.reading import Word
from server.wood.glue_line import SHOWS_MM
from server.wood.outcome import EVEN_WITHIN_PCT
from server.words import Sentence
from server.words.of_adhesive import CAUTION

DAY_H = 24.0
LONGEST_DAYS = 60.0
"""After so long no line sinks any more, whatever it was flattened after; the longest rest a sheet may say."""

_LONGEST_MS = round(LONGEST_DAYS * DAY_H * HOUR_MS)


class Flatten:
    """Rest counts from the opening of the clamps; an adhesive that brings no water rests until it is cured."""

    name = "flatten"
    summary = "whether a panel has rested long enough after the clamps to be flattened, and is even inside"
    decides = True
    inputs = Inputs

    def decisions(self, views: Sequence[LotView]) -> list[Decision | None]:
        """What its answers to these would decide: of what was glued long ago and flattened the record need not be
        read."""
        found: list[Decision | None] = []
        for view in views:
            panel = view.lot.panel
            due = panel is not None and (panel.stage == "glued" or view.at_ms - panel.glued_ms < _LONGEST_MS)
            found.append(decision_of(self.answer(view, Inputs())) if due else None)
        return found

    def answer(self, view: LotView, _: Inputs, /) -> Line | None:
        """``rested_days`` since the clamps; ``rest_days`` with its ends, as the sheet has it or the glue's water takes
        (None where it rests until it is cured); ``left_days`` likewise; ``line_stands_out_mm`` now, of each face, and
        ``line_water_g_m2``, with their ends (None by a sheet, and until it is cured); ``mean_pct``, ``shell_pct``,
        ``core_pct``."""
        lot, glue = view.lot, glue_of(view)
        if lot.panel is None or view.held is None or glue is None:
            return None
        if lot.panel.flattened_ms is None and lot.panel.stage != "glued":
            return None  # it was finished or fitted as it came out of its clamps
        resting = rest_of(view, glue)
        rest = None if resting is None else resting.days(glue.clamp_h)
        flattened = lot.panel.flattened_ms
        rested = max(0.0, (glue.since_h - glue.clamp_h) / DAY_H)
        at = rested if flattened is None else (flattened - lot.panel.glued_ms) / HOUR_MS / DAY_H - glue.clamp_h / DAY_H
        held = held_now(view, view.held)
        even = abs(held["shell_pct"] - held["core_pct"]) <= EVEN_WITHIN_PCT
        left = None if resting is None else resting.left_days(glue.since_h)
        known = resting is not None and glue.there  # before that it is damper than any swelling goes
        line = (resting.stands_out_mm, resting.water_g_m2) if resting is not None and known else (None, None)
        figures = {
            "rested_days": rested, **_ends("rest_days", rest), **_ends("left_days", left), **held, "even": even,
            **_ends("line_stands_out_mm", line[0]), **_ends("line_water_g_m2", line[1]),
        }  # fmt: skip
        word, title, first = _decided(view, glue, left, line[0], even=even)
        sinking = flattened is None
        if flattened is not None:
            word, title = None, None
            early = rest is not None and at < rest[0] and glue.since_h < 24.0 * LONGEST_DAYS
            sinking = early and left is not None and left[2] > 0.0
            first = Sentence("panel-flat-done", {"rested_days": max(0.0, at)})
            if sinking:
                stage = "flattened" if lot.panel.stage == "flattened" else "finished"
                first = Sentence("panel-flat-early", {"rested_days": max(0.0, at), "stage": stage})
            if sinking and lot.panel.stage == "flattened":
                word, title = "wait", Sentence("panel-flat-sinks-title")
        limit = glue.limits.limits["rest"]
        why = () if rest is None or not sinking else (*_stands_out(line), Sentence("panel-flat-why"))
        days = 0.0 if rest is None else rest[2]
        by = "no" if rest is None else "yes" if resting is None or resting.stands_out_mm is None else "line"
        limits: dict[str, float] = {} if rest is None else {"rest_days": days}
        limits |= {"line_stands_out_mm": SHOWS_MM} if by == "line" else {}
        source = f"{limit.provenance}: {limit.source}" if resting is None else resting.source
        said = Limit(Sentence("panel-flat-limit", {"known": by, "days": days, "shows_mm": SHOWS_MM}), source, limits)
        return Line(
            self.name, word, Sentence("panel-flat-asked"), (first, *why), figures, said,
            (source,), CAUTION, (lot.panel.entry,), title,
        )  # fmt: skip


def sinks(view: LotView) -> bool:
    """Whether it was flattened before its glue lines had dried, and they may still sink."""
    line = Flatten().answer(view, Inputs()) if view.lot.panel is not None else None
    return line is not None and line.title is not None and line.title.key == "panel-flat-sinks-title"


def _decided(
    view: LotView, glue: Glue, left: tuple[float, ...] | None, out: Three | None, *, even: bool
) -> tuple[Word | None, Sentence | None, Sentence]:
    if view.lot.panel is None or view.lot.panel.stage != "glued" or not glue.there:
        return None, None, Sentence("panel-flat-first-cured")
    if glue.doubtful:
        return None, None, Sentence("panel-flat-doubt", {"name": view.lot.name})
    if left is not None and left[2] > 0.0:
        days = {"left_days": left[2]}
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
    stands = out is not None and out[0] > SHOWS_MM
    ready: Said = {"name": view.lot.name, "water": "no" if left is None else "days" if stands else "yes"}
    return "ready", Sentence("panel-flat-ready-title"), Sentence("panel-flat-ready", ready)


def _ends(key: str, three: tuple[float, ...] | None) -> dict[str, float | None]:
    middle, low, high = (None, None, None) if three is None else three
    return {key: middle, f"{key}_low": low, f"{key}_high": high}


def _stands_out(line: tuple[Three | None, Three | None]) -> tuple[Sentence, ...]:
    out, water = line
    if out is None or water is None:
        return ()
    return (Sentence("panel-flat-line", {"water_g": water[0], "out_mm": out[0], "most_mm": out[2]}),)
