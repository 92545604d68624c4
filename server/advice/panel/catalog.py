"""Every question that only a panel is asked, in the order in which its verdict shows them."""

from __future__ import annotations

from typing import Any

from server.advice.base import LotQuestion
from server.advice.panel.crate import Crate
from server.advice.panel.curing import Curing
from server.advice.panel.delivery import Delivery
from server.advice.panel.finish import Finish
from server.advice.panel.fitted import FittedQuestion
from server.advice.panel.flatten import Flatten
from server.advice.panel.there import There

PANEL: tuple[LotQuestion[Any], ...] = (
    Curing(), Flatten(), Finish(), FittedQuestion(), Crate(), Delivery(), There(),
)  # fmt: skip
