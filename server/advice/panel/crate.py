"""Does this panel need a wrap on the road?"""

from __future__ import annotations

from typing import Any

import numpy as np
from pydantic import Field

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, PRACTICE, Inputs, Limit, Line, LotView, ends, held_now
from server.advice.panel.ahead import films, panel_across
from server.advice.time_words import Said
from server.shop.lying import behind
from server.wood.air_series import AirSeries
from server.wood.boards import film_through
from server.wood.expected_air import ExpectedAir
from server.wood.panel_ahead import year_ahead
from server.words import Sentence

NEEDS_PCT = 0.2
"""A panel whose mean moves less than that on the road needs no wrap against the air; against dirt it may. Common
practice, no source."""
HOURS = 49


class CrateInputs(Inputs):
    """The road."""

    days: float = Field(3.0, gt=0, le=60, description="how long it is on the way, above 0 to 60 days; 3 if not given")
    temperature_c: float = Field(5.0, ge=-20, le=45, description="the temperature on the way, −20 to 45 °C")
    humidity_pct: float = Field(85.0, ge=0, le=98, description="the humidity on the way, 0 to 98 %; 85 if not given")


class Crate:
    """Wrapped and open, through the days on the road."""

    name = "crate"
    summary = "what the road does to a panel in a wrapped crate and in an open one"
    decides = False
    inputs: type[Inputs] = CrateInputs

    def answer(self, view: LotView, given: CrateInputs, /) -> Line | None:
        """``open_moved_mm`` and ``wrapped_moved_mm`` of its width (negative: it shrinks), ``open_cup_mm`` and
        ``wrapped_cup_mm``, each with its ends; ``wrap`` says whether it is worth it, ``damp``
        that it is above its aim now and would stay so in a wrap."""
        lot, across = view.lot, panel_across(view)
        if lot.panel is None or view.held is None or across is None:
            return None
        edges = np.linspace(0.0, given.days, HOURS) * 86_400.0
        air = ExpectedAir(AirSeries.constant(edges, given.temperature_c, given.humidity_pct))
        above, below = (float(film_through(r)) for r in behind("wrapped", lot.top_finish, lot.bottom_finish))
        ways = films(lot.top_finish, lot.bottom_finish), (above, below)
        wood = view.held.wood
        ahead = year_ahead(wood.stock, wood.belief, air, ways, across, lot.width_mm, given.days)
        figures: dict[str, Any] = {}
        for i, way in enumerate(("open", "wrapped")):
            moved, cup = ahead.moved(i), ahead.worst_cup(i)[0]
            figures |= {f"{way}_moved_mm{end}": float(values[-1]) for end, values in (
                ("", moved.middle), ("_low", moved.low), ("_high", moved.high))}  # fmt: skip
            figures |= ends(f"{way}_cup_mm", cup)
            figures[f"{way}_moved_pct"] = float(ahead.mean_pct[-1, 0, i] - ahead.mean_pct[0, 0, i])
        wrap = abs(figures["open_moved_pct"]) > NEEDS_PCT
        damp = view.held.mean_pct > view.aim.damp_limit_pct
        figures |= {"wrap": wrap, "damp": damp, "days": given.days, **held_now(view, view.held, "mean_pct")}
        values: Said = {
            "wrap": "damp" if wrap and damp else "yes" if wrap else "no", "mean_pct": figures["mean_pct"],
            "open_mm": abs(figures["open_moved_mm"]), "days": given.days,
            "wrapped_mm": abs(figures["wrapped_moved_mm"]), "cup_mm": abs(figures["open_cup_mm"]),
            "way": "shrinks" if figures["open_moved_pct"] < 0 else "swells",
        }  # fmt: skip
        said = (Sentence("panel-crate-moves", values),)
        limit = Limit(Sentence("panel-crate-limit", {"needs_pct": NEEDS_PCT}), PRACTICE, {"needs_pct": NEEDS_PCT})
        return Line(
            self.name, None, Sentence("panel-crate-asked"), said, figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}."), Sentence("panel-caution-crate"),
            (lot.panel.entry,),
        )  # fmt: skip
