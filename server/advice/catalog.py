"""Every question that can be asked of a lot, in the order in which its verdict shows them."""

from __future__ import annotations

from typing import Any

from server.advice.base import LotQuestion
from server.advice.confirmed import StillSo
from server.advice.count_back import CountBack
from server.advice.faces import Faces
from server.advice.good_to_mill import GoodToMill
from server.advice.movement_left import MovementLeft
from server.advice.panel.catalog import PANEL
from server.advice.received import Received
from server.advice.resaw import Resaw
from server.advice.rip import Rip
from server.advice.stop_now import StopNow
from server.shop.lot import Lot

_EVERY: tuple[LotQuestion[Any], ...] = (
    MovementLeft(),
    StillSo(),
    GoodToMill(),
    StopNow(),
    Faces(),
    Resaw(),
    Rip(),
    CountBack(),
    Received(),
)
_OF_PANEL: tuple[LotQuestion[Any], ...] = (MovementLeft(), StillSo(), StopNow(), *PANEL)
LOTS, PANELS = ({question.name: question for question in each} for each in (_EVERY, _OF_PANEL))
QUESTIONS: dict[str, LotQuestion[Any]] = LOTS | PANELS
"""Every question by its name; which of them are asked of a lot unasked, :func:`questions_of` says."""


def questions_of(lot: Lot) -> dict[str, LotQuestion[Any]]:
    """Those of a lot, or of a panel."""
    return LOTS if lot.panel is None else PANELS
