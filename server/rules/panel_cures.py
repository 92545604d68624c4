"""A glue-up that gets too cold, needs its clamps for longer than was told, or lies in air that opens its ends."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.lot_rule import LotParameters, Values, about
from server.rules.panel_rule import PanelRule
from server.rules.panel_view import Cure, PanelView
from server.rules.spans import back_ms

MINUTE_MS = 60_000
SUBJECTS = "cold", "clamps", "dry", "joints"


class PanelCuresParameters(LotParameters):
    """``[rules.panel-cures]``: what counts as curing badly. How cold and how long is the adhesive's own, by its maker's
    sheet first. Defaults: common practice, no source."""

    clear_k: float = Field(1.0, ge=0.0, le=10.0, description="so far above its lowest temperature, K, it is over")
    cold_after_min: float = Field(30.0, ge=0.0, le=600.0, description="minutes foreseen too cold, without a break")
    slack_min: float = Field(15.0, ge=0.0, le=600.0, description="minutes in the clamps that are not worth a word")
    look_pct: float = Field(2.0, gt=0.0, le=20.0, description="so far below its mean, % MC, its air draws its faces")
    act_pct: float = Field(4.0, gt=0.0, le=20.0, description="likewise, from which it is to be wrapped at once")
    clear_share: float = Field(0.8, gt=0.0, le=1.0, description="share of that below which it is over")


class PanelCures(PanelRule):
    """Four subjects a panel that cures: its warmth, its clamps, its air, its joints. ``act`` for cold only by a limit
    that a sheet or a source sets, before it had its time in the clamps; for clamps only while they are still on. One
    that was cold all through them is past saving: that asks for a test joint. Cold by such a limit waits for no hours
    where it comes before somebody does."""

    name = "panel-cures"
    schema: type[BaseModel] = PanelCuresParameters

    def __init__(self, parameters: PanelCuresParameters | None = None) -> None:
        self._own = parameters or PanelCuresParameters()
        self.parameters = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """Of a panel that has been flattened nothing is watched any more."""
        found, back = list[Finding](), back_ms(view.work, view.away, view.now_ms)
        for panel in view.panels:
            cure = panel.cure
            if cure is not None and cure.doubtful:
                found += [about(self.name, panel, which, clears=True) for which in SUBJECTS[:-1]]
                found += [self._joints(panel, cure)]
            elif cure is not None and not cure.cured:
                found += [self._cold(panel, cure, back), self._clamps(panel, cure, view.now_ms), self._dry(panel, cure)]
                found += [about(self.name, panel, "joints", clears=True)]
            elif cure is not None or not panel.worked_out:
                found += [about(self.name, panel, which, clears=cure is not None) for which in SUBJECTS]
        return found

    def _cold(self, panel: PanelView, cure: Cure, back: int) -> Finding:
        p, lowest = self._own, cure.lowest_c
        if lowest is None:
            return about(self.name, panel, "cold", clears=True)
        coming = cure.wood_c if cure.coldest_c is None else min(cure.coldest_c, cure.wood_c)
        now = cure.wood_c < lowest
        if coming >= lowest + p.clear_k:
            return about(self.name, panel, "cold", clears=True)
        values = _values(cure, "warm", at_ms=cure.coldest_ms, when="now" if now else "coming")
        if not now:
            values["wood_c"] = round(coming, 1)
        return about(
            self.name, panel, "cold", raises=coming < lowest, word="act" if cure.hard else "look", values=values,
            raise_after_s=60.0 * p.cold_after_min, urgent=cure.hard and (now or cure.coldest_ms < back),
        )  # fmt: skip

    def _joints(self, panel: PanelView, cure: Cure) -> Finding:
        """Stands until it is flattened: nobody tells of a test joint, and whoever goes on has had one."""
        values = _values(cure, "test", at_ms=cure.off_ms)
        return about(self.name, panel, "joints", raises=True, word="look", values=values)

    def _clamps(self, panel: PanelView, cure: Cure, now_ms: int) -> Finding:
        """Once its time is over even in clamps that stayed on, nothing is left to do but what its own page says."""
        ready, slack_ms = cure.ready_ms, self._own.slack_min * MINUTE_MS
        if ready is None:
            cold = cure.lowest_c is not None and cure.wood_c < cure.lowest_c + self._own.clear_k
            return about(self.name, panel, "clamps", clears=not cold)
        least_ms, most_ms = ready
        if now_ms >= most_ms or most_ms <= cure.off_ms:
            return about(self.name, panel, "clamps", clears=True)
        on = now_ms < cure.off_ms
        sure = on and least_ms > cure.off_ms + slack_ms
        values = _values(cure, "clamps", at_ms=most_ms, on="yes" if on else "no")
        return about(
            self.name, panel, "clamps", raises=most_ms > cure.off_ms + slack_ms, word="act" if sure else "look",
            values=values, stays="act" if on and least_ms > cure.off_ms else None,
        )  # fmt: skip

    def _dry(self, panel: PanelView, cure: Cure) -> Finding:
        p, drier = self._own, cure.drier_pct.middle
        if panel.wrapped or drier <= p.clear_share * p.look_pct:
            return about(self.name, panel, "dry", clears=True)
        return about(
            self.name, panel, "dry", raises=drier >= p.look_pct, word="act" if drier >= p.act_pct else "look",
            lean="dry", values=_values(cure, "wrap", at_ms=cure.coldest_ms),
            stays="act" if drier > p.clear_share * p.act_pct else None,
        )  # fmt: skip


def _values(cure: Cure, deed: str, *, at_ms: int, when: str = "now", on: str = "yes") -> Values:
    """Whatever is said is said with these; a limit that nobody sets is 0 and is not spoken of."""
    lowest = cure.lowest_c or 0.0
    return {
        "deed": deed, "when": when, "on": on, "at_ms": at_ms, "off_ms": cure.off_ms, "wood_c": round(cure.wood_c, 1),
        "lowest_c": lowest, "keep_c": lowest if cure.keep_c is None else cure.keep_c, "air_c": round(cure.air_c, 1),
        "drier_pct": round(cure.drier_pct.middle, 1), "cold_h": round(cure.cold_h, 1),
    }  # fmt: skip
