"""Every question of the bench book, one line each."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any

from server.book.base import Question
from server.book.cup import CupQuestion
from server.book.emc import EmcQuestion
from server.book.gap import GapQuestion
from server.book.humidity import HumidityQuestion
from server.book.layers import LayersQuestion
from server.book.meter import MeterQuestion
from server.book.mill import MillQuestion
from server.book.movement import MovementQuestion
from server.book.offer_settling import settled_days
from server.book.panel import PanelQuestion
from server.book.price import PriceQuestion
from server.book.resaw import ResawQuestion
from server.book.rip import RipQuestion
from server.book.salt import SaltQuestion
from server.book.settle import SettleQuestion
from server.book.species import SpeciesQuestion
from server.book.water import WaterQuestion

_ALL: tuple[Question[Any], ...] = (
    EmcQuestion(),
    HumidityQuestion(),
    MovementQuestion(),
    SettleQuestion(),
    GapQuestion(),
    PanelQuestion(),
    CupQuestion(),
    MillQuestion(),
    ResawQuestion(),
    RipQuestion(),
    LayersQuestion(),
    MeterQuestion(),
    SpeciesQuestion(),
    SaltQuestion(),
    PriceQuestion(settled_days),
    WaterQuestion(),
)

QUESTIONS: MappingProxyType[str, Question[Any]] = MappingProxyType({question.name: question for question in _ALL})
