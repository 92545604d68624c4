"""Every question that can be asked of a lot, in the order in which its verdict shows them."""

from __future__ import annotations

from typing import Any

from server.advice.base import LotQuestion
from server.advice.good_to_mill import GoodToMill
from server.advice.movement_left import MovementLeft

QUESTIONS: dict[str, LotQuestion[Any]] = {q.name: q for q in (MovementLeft(), GoodToMill())}
