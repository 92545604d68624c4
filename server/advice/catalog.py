"""Every question that can be asked of a lot, in the order in which its verdict shows them."""

from __future__ import annotations

from typing import Any

from server.advice.base import LotQuestion
from server.advice.confirmed import StillSo
from server.advice.count_back import CountBack
from server.advice.faces import Faces
from server.advice.good_to_mill import GoodToMill
from server.advice.movement_left import MovementLeft
from server.advice.received import Received
from server.advice.resaw import Resaw
from server.advice.rip import Rip
from server.advice.stop_now import StopNow

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
QUESTIONS: dict[str, LotQuestion[Any]] = {question.name: question for question in _EVERY}
