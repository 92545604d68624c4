"""Every question that only a panel is asked, in the order in which its verdict shows them."""

from __future__ import annotations

from typing import Any

from server.advice.base import LotQuestion
from server.advice.panel.curing import Curing
from server.advice.panel.flatten import Flatten

PANEL: tuple[LotQuestion[Any], ...] = (Curing(), Flatten())
