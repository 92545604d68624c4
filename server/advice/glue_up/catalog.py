"""Every question of a glue-up, in the order in which its verdict shows them: the aim first, the room last."""

from __future__ import annotations

from server.advice.glue_up.against_room import AgainstRoom
from server.advice.glue_up.air_ahead import AirAhead
from server.advice.glue_up.alike import Alike
from server.advice.glue_up.base import GlueQuestion
from server.advice.glue_up.even import Even
from server.advice.glue_up.fresh import Fresh
from server.advice.glue_up.glue_range import GlueRange
from server.advice.glue_up.in_aim import InAim
from server.advice.glue_up.rings import Rings
from server.advice.glue_up.warm import Warm
from server.advice.glue_up.year_ahead import YearAhead

OF_BOARDS = 2
"""So many of the first are of the boards as such, and decide before all others."""
QUESTIONS: tuple[GlueQuestion, ...] = (
    InAim(),
    Even(),
    Alike(),
    GlueRange(),
    Fresh(),
    Warm(),
    AirAhead(),
    YearAhead(),
    Rings(),
    AgainstRoom(),
)
