"""The dry and the damp limit. Their times and margins are common practice, no source: here only that they are kept."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from pydantic import ValidationError

from sensors.sample import RawSample
from server.rules.base import RuleView
from server.rules.damp_limit import DampLimit
from server.rules.dry_limit import DryLimit, DryLimitParameters
from server.wood.emc import emc_pct
from tests.proof.records import noise
from tests.unit.rules.spells import raised_and_over
from tests.unit.rules.views import HOUR_MS, view


@pytest.mark.parametrize(
    ("emc_pct", "raises", "clears"),
    [(5.9, True, False), (6.0, False, False), (6.39, False, False), (6.4, False, True), (8.0, False, True)],
)
def test_dry_limit_raises_below_and_clears_well_inside(emc_pct: float, raises: bool, clears: bool) -> None:
    (finding,) = DryLimit().findings(view(emc_pct))
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears)
    assert (finding.raise_after_s, finding.clear_after_s) == (1800.0, 21_600.0)


@pytest.mark.parametrize(
    ("emc_pct", "raises", "clears"),
    [(10.1, True, False), (10.0, False, False), (9.61, False, False), (9.6, False, True), (5.0, False, True)],
)
def test_damp_limit_raises_above_and_clears_well_inside(emc_pct: float, raises: bool, clears: bool) -> None:
    (finding,) = DampLimit().findings(view(emc_pct))
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears)
    assert finding.lean == "damp"


def test_low_air_alone_is_look_never_act() -> None:
    (finding,) = DryLimit().findings(view(0.5))
    assert (finding.word, finding.lean) == ("look", "dry")
    assert finding.values == {"emc_pct": 0.5, "limit_pct": 6.0, "past_limit_pct": 5.5}


def test_without_air_nothing_is_said_either_way_and_the_reason_is_named() -> None:
    (finding,) = DryLimit().findings(view(None))
    assert not finding.raise_holds
    assert not finding.clear_holds
    assert finding.values == {}
    assert DryLimit().unwatched(view(None)) == "not-watched-no-air"
    assert DryLimit().unwatched(RuleView(0)) == "not-watched-no-zone"
    assert DryLimit().unwatched(view(7.0)) is None


def test_parameters_are_used_and_checked() -> None:
    rule = DryLimit(DryLimitParameters(raise_after_min=5, clear_after_min=10, clear_inside_pct=0.1))
    (finding,) = rule.findings(view(6.1))
    assert finding.clear_holds
    assert (finding.raise_after_s, finding.clear_after_s) == (300.0, 600.0)
    with pytest.raises(ValidationError, match="raise_after_min"):
        DryLimitParameters(raise_after_min=-1)
    with pytest.raises(ValidationError, match="raise_after"):
        DryLimitParameters.model_validate({"raise_after": 30})


def test_air_that_wanders_about_its_limit_is_told_and_not_again_within_a_day() -> None:
    """Four weeks on the dry limit with a sensor's scatter and slow wandering, of chances nobody chose by."""
    raised = 0
    for seed in range(21, 25):
        record = noise(seed)
        views = (_heard(batch[0]) for batch in record.samples(record.from_ms, record.to_ms))
        found = raised_and_over(DryLimit(), views)
        raised += sum(change == "raised" for change, _ in found)
        pairs = [
            (at_ms - before_ms) / HOUR_MS for (_, before_ms), (change, at_ms) in pairwise(found) if change == "raised"
        ]
        assert all(hours >= 24.0 for hours in pairs), (seed, pairs)
    assert raised >= 4


def _heard(sample: RawSample) -> RuleView:
    said = dict(sample.values)
    one = view(float(emc_pct(said["temperature_c"], said["humidity_pct"] / 100.0)))
    return replace(one, now_ms=sample.heard_ms)
