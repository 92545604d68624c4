"""Every rule there is. A new one is a file beside this and a line here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

from pydantic import BaseModel

from server.rules.away import Away
from server.rules.base import Rule, RuleView
from server.rules.check_due import CheckDue
from server.rules.clearance_used import ClearanceUsed
from server.rules.clock_unset import ClockUnset
from server.rules.damp_limit import DampLimit
from server.rules.dry_limit import DryLimit
from server.rules.extractor_cold import ExtractorCold
from server.rules.falling_fast import FallingFast
from server.rules.iron_rusts import IronRusts
from server.rules.lot_checks import LotChecks
from server.rules.lot_cup import LotCup
from server.rules.lot_good import LotGood
from server.rules.lots_unconfirmed import LotsUnconfirmed
from server.rules.milled_open import MilledOpen
from server.rules.mould_grows import MouldGrows
from server.rules.outlook_damp import OutlookDamp
from server.rules.outlook_dry import OutlookDry
from server.rules.panel_cures import PanelCures
from server.rules.panel_flat import PanelFlat
from server.rules.record_copies import RecordCopies
from server.rules.record_failing import RecordFailing
from server.rules.record_space import RecordSpace
from server.rules.remote_lagging import RemoteLagging
from server.rules.sensor_silent import SensorSilent
from server.rules.sensor_stuck import SensorStuck
from server.rules.sensors_apart import SensorsApart
from server.rules.sensors_parting import SensorsParting
from server.rules.shelf_freezing import ShelfFreezing
from server.rules.source_lost import SourceLost
from server.rules.wrap_sweating import WrapSweating


class WatchingRule(Rule, Protocol):
    """A rule as listed here: made from its schema, and able to say why it has nothing to watch."""

    schema: type[BaseModel]

    def __init__(self, parameters: Any = None) -> None:
        """``parameters`` is an instance of its schema; None means its defaults."""

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason, or None while it watches something."""


RULES: tuple[type[WatchingRule], ...] = (
    DryLimit,
    DampLimit,
    FallingFast,
    OutlookDry,
    OutlookDamp,
    ExtractorCold,
    ShelfFreezing,
    IronRusts,
    MouldGrows,
    SensorSilent,
    SensorStuck,
    SensorsApart,
    SensorsParting,
    CheckDue,
    SourceLost,
    RemoteLagging,
    RecordFailing,
    RecordSpace,
    RecordCopies,
    ClockUnset,
    LotChecks,
    LotCup,
    MilledOpen,
    LotsUnconfirmed,
    WrapSweating,
    LotGood,
    Away,
    PanelCures,
    PanelFlat,
    ClearanceUsed,
)

SCHEMAS: dict[str, type[BaseModel]] = {rule.name: rule.schema for rule in RULES}
"""What the configuration may hold under ``[rules.NAME]``, for the app to hand over."""


def make_rules(parameters: Mapping[str, Mapping[str, object] | BaseModel] | None = None) -> list[WatchingRule]:
    """Every rule with its parameters, by rule name; a rule not named runs on its defaults.

    Raises ValueError for a name that is no rule, and pydantic's ValidationError for a parameter that is not right.
    """
    given = dict(parameters or {})
    if unknown := sorted(set(given) - set(SCHEMAS)):
        raise ValueError(f"rules: found '{unknown[0]}'; would be right: one of {', '.join(SCHEMAS)}")
    return [rule(rule.schema.model_validate(given.get(rule.name, {}))) for rule in RULES]


def not_watched(rules: list[WatchingRule], view: RuleView) -> dict[str, str]:
    """Per rule without its input, the key of the sentence that says why; what the view says already comes first."""
    found = {rule.name: reason for rule in rules if (reason := rule.unwatched(view))}
    return {**found, **view.not_watched}
