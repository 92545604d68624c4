"""The list of rules, and what it hands to the configuration."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pydantic import ValidationError

from server.rules.catalog import RULES, SCHEMAS, make_rules, not_watched
from server.rules.dry_limit import DryLimitParameters
from tests.unit.rules.views import view

PANEL_RULES = ("panel-cures", "panel-flat", "clearance-used")
LOT_RULES = ("lot-checks", "lot-cup", "milled-open", "lots-unconfirmed", "wrap-sweating", "lot-good", "away")


def test_every_rule_has_its_own_name_and_a_described_schema() -> None:
    assert list(SCHEMAS) == [
        *(
            "dry-limit",
            "damp-limit",
            "falling-fast",
            "outlook-dry",
            "outlook-damp",
            "extractor-cold",
            "shelf-freezing",
            "iron-rusts",
            "mould-grows",
            "sensor-silent",
            "sensor-stuck",
            "sensors-apart",
            "sensors-parting",
        ),
        *(
            "check-due",
            "source-lost",
            "remote-lagging",
            "record-failing",
            "record-space",
            "record-copies",
            "clock-unset",
        ),
        *LOT_RULES,
        *PANEL_RULES,
    ]
    assert len(SCHEMAS) == len(RULES)
    for schema in SCHEMAS.values():
        for name, field in schema.model_fields.items():
            assert field.description, name
            assert name.endswith(
                (
                    "_s",
                    "_min",
                    "_h",
                    "_days",
                    "_pct",
                    "_mb",
                    "_c",
                    "_usual",
                    "_mm",
                    "_k",
                    "_index",
                    "_share",
                    "_lots",
                )
            ) or name in {"periods", "pauses"}


def test_rules_run_on_defaults_or_on_what_is_given() -> None:
    rules = {rule.name: rule for rule in make_rules({"dry-limit": {"raise_after_min": 5.0}})}
    assert rules["dry-limit"].parameters == DryLimitParameters(raise_after_min=5.0)
    assert rules["damp-limit"].findings(view(12.0))[0].raise_after_s == 1800.0


def test_mistakes_name_what_would_be_right() -> None:
    with pytest.raises(ValueError, match="rules: found 'dry'; would be right: one of dry-limit, damp-limit"):
        make_rules({"dry": {}})
    with pytest.raises(ValidationError, match="less than or equal to 1440"):
        make_rules({"dry-limit": {"raise_after_min": 9999}})


def test_not_watched_names_a_reason_for_every_rule_without_input() -> None:
    rules = make_rules()
    assert not_watched(rules, view(7.0)) == {
        "falling-fast": "not-watched-short-record",
        "outlook-dry": "not-watched-no-outlook",
        "outlook-damp": "not-watched-no-outlook",
        "extractor-cold": "not-watched-no-outdoors",
        "shelf-freezing": "not-watched-no-shelf",
        "iron-rusts": "not-watched-no-iron",
        "mould-grows": "not-watched-no-week",
        "sensor-silent": "not-watched-no-sensor",
        "sensor-stuck": "not-watched-no-sensor",
        "sensors-parting": "not-watched-no-pair",
        "check-due": "not-watched-no-check",
        "source-lost": "not-watched-no-source",
        "remote-lagging": "not-watched-no-remote",
        **dict.fromkeys(LOT_RULES, "not-watched-no-lot"),
        **dict.fromkeys(PANEL_RULES, "not-watched-no-panel"),
    }
    told = replace(view(None), not_watched={"shelf-gap": "not-watched-no-sensor"})
    always = {"record-failing", "record-space", "record-copies", "clock-unset"}
    assert set(not_watched(rules, told)) == {*SCHEMAS, "shelf-gap"} - always
