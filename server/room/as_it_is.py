"""Whether anything has to be done tonight at all, by the zone's own outlook."""

from __future__ import annotations

from server.room.base import EMC_SOURCE, RoomLine, RoomView
from server.words import Sentence


class AsItIs:
    """Whether anything has to be done at all."""

    name = "tonight"

    def answer(self, view: RoomView, /) -> RoomLine:
        """``emc_pct`` now with its ends, and the least and the most that the zone's outlook has for the night,
        ``night_low_pct`` and ``night_high_pct``; None without one."""
        air, aim, night = view.air, view.aim, view.night
        there = [p for p in view.ahead if night.from_ms <= p.t_ms <= night.to_ms]
        low = min((p.emc_low_pct for p in there), default=None)
        high = max((p.emc_high_pct for p in there), default=None)
        figures = {
            "emc_pct": air.emc_pct, "emc_pct_low": air.emc_low_pct, "emc_pct_high": air.emc_high_pct,
            "night_low_pct": low, "night_high_pct": high,
        }  # fmt: skip
        if low is None or high is None:
            said = Sentence("room-tonight-unknown")
            return RoomLine(self.name, (said,), figures, (EMC_SOURCE,), flags=("no-outlook",))
        dry, damp = low < aim.dry_limit_pct, high > aim.damp_limit_pct
        way = "both" if dry and damp else "dry" if dry else "damp" if damp else "inside"
        limits = {"dry_limit_pct": aim.dry_limit_pct, "damp_limit_pct": aim.damp_limit_pct}
        values = {**limits, "low_pct": low, "high_pct": high}
        said = Sentence("room-tonight", {**values, "way": way, "until": view.telling.at(night.to_ms)})
        return RoomLine(self.name, (said,), figures, (EMC_SOURCE,))
