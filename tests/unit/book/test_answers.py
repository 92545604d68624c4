"""The questions' answers: figures against published ones, flags, refusals, and what the sentences may say."""

from __future__ import annotations

import csv
import json
import math
import re
from pathlib import Path

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.book.base import Answer, BadRequest, ask
from server.book.catalog import QUESTIONS

PRINTED = Path(__file__).parents[2] / "data" / "reference" / "emc_by_temperature_and_rh.csv"
UNIT_ENDINGS = ("_pct", "_c")


def emc(**given: object) -> Answer:
    return ask(QUESTIONS["emc"], given)


def humidity(**given: object) -> Answer:
    return ask(QUESTIONS["humidity"], given)


def test_emc_is_the_printed_one_in_every_cell() -> None:
    """Wood Handbook Table 4-2 (provenance: memory), printed to 0.1 %; 0.005 for coefficients rounded in °C."""
    with PRINTED.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            t_c, rh_pct = (float(row["temperature_f"]) - 32) / 1.8, float(row["rh_pct"])
            found = emc(temperature_c=t_c, humidity_pct=rh_pct).figures["emc_pct"]
            assert found == pytest.approx(float(row["emc_pct"]), abs=0.055), row


def test_dew_point_is_the_reference_librarys() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    theirs = psychrolib.GetTDewPointFromRelHum(21.0, 0.5)
    assert emc(temperature_c=21, humidity_pct=50).figures["dew_point_c"] == pytest.approx(theirs, abs=1e-3)


@given(st.floats(-20, 60), st.floats(0, 98))
def test_the_two_questions_undo_each_other(temperature_c: float, humidity_pct: float) -> None:
    there = emc(temperature_c=temperature_c, humidity_pct=humidity_pct).figures["emc_pct"]
    back = humidity(temperature_c=temperature_c, emc_pct=there).figures["humidity_pct"]
    assert back == pytest.approx(humidity_pct, abs=1e-8)


@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct", "flags"),
    [
        (21, 50, ()),
        (-20, 98, ()),
        (60, 98, ()),
        (-20.5, 50, ("temperature-outside-fit",)),
        (61, 50, ("temperature-outside-fit",)),
        (21, 98.5, ("humidity-above-98",)),
        (-30, 100, ("temperature-outside-fit", "humidity-above-98")),
    ],
)
def test_extrapolations_are_computed_and_flagged(
    temperature_c: float, humidity_pct: float, flags: tuple[str, ...]
) -> None:
    answer = emc(temperature_c=temperature_c, humidity_pct=humidity_pct)
    assert answer.flags == flags
    assert 0 < answer.figures["emc_pct"] < 30
    assert ("not made for air like this" in answer.text()) == bool(flags)


@pytest.mark.parametrize(
    ("given", "field", "found", "right"),
    [
        ({"temperature_c": 21, "humidity_pct": 100.1}, "humidity_pct", "100.1", "0 to 100 %"),
        ({"temperature_c": 21, "humidity_pct": -1}, "humidity_pct", "-1", "0 to 100 %"),
        ({"temperature_c": -50.1, "humidity_pct": 50}, "temperature_c", "-50.1", "−50 to 100 °C"),
        ({"temperature_c": 101, "humidity_pct": 50}, "temperature_c", "101", "−50 to 100 °C"),
        ({"temperature_c": "21,5", "humidity_pct": 50}, "temperature_c", "'21,5'", "−50 to 100 °C"),
        ({"temperature_c": math.nan, "humidity_pct": 50}, "temperature_c", "nan", "−50 to 100 °C"),
        ({"temperature_c": 21}, "humidity_pct", "nothing", "0 to 100 %"),
        ({"temperature_c": 21, "humidity_pct": 50, "species": "oak"}, "species", "a field nobody asked for",
         "one of temperature_c, humidity_pct"),
    ],
)  # fmt: skip
def test_bad_input_names_what_where_and_what_would_be_right(
    given: dict[str, object], field: str, found: str, right: str
) -> None:
    with pytest.raises(BadRequest) as refused:
        emc(**given)
    (mistake,) = refused.value.mistakes
    assert (mistake.field, mistake.found) == (field, found)
    assert right in mistake.would_be_right
    assert str(refused.value) == f"{field}: found {found}; would be right: {mistake.would_be_right}"


def test_all_mistakes_at_once() -> None:
    with pytest.raises(BadRequest) as refused:
        emc(temperature_c="warm")
    assert [m.field for m in refused.value.mistakes] == ["temperature_c", "humidity_pct"]


def test_more_than_saturated_air_can_hold_is_refused_with_the_most() -> None:
    with pytest.raises(BadRequest, match=r"emc_pct: found 29\.5; would be right: 0 to 28\.8 % at 20\.0 °C"):
        humidity(temperature_c=20, emc_pct=29.5)


def test_air_without_vapour_has_no_dew_point() -> None:
    answer = emc(temperature_c=20, humidity_pct=0)
    assert answer.figures["dew_point_c"] is None
    assert answer.figures["emc_pct"] == 0
    assert "dew point" not in answer.text()


def test_spread_only_where_the_instrument_is_known() -> None:
    plain = emc(temperature_c=21, humidity_pct=50)
    assert plain.figures["emc_low_pct"] is plain.figures["emc_high_pct"] is None
    known = emc(temperature_c=21, humidity_pct=50, accuracy_c=0.3, accuracy_humidity_pct=2)
    assert known.figures["emc_low_pct"] == pytest.approx(9.245 - 0.257, abs=1e-3)
    assert known.figures["emc_high_pct"] == pytest.approx(9.245 + 0.257, abs=1e-3)
    assert "Eight times in ten" in known.text()


@pytest.mark.parametrize("answer", [emc(temperature_c=21, humidity_pct=50), humidity(temperature_c=21, emc_pct=8)])
def test_documents_carry_units_and_words(answer: Answer) -> None:
    document = json.loads(json.dumps(answer.document(), allow_nan=False))
    words = {"flags", "sentence", "source", "caution"}
    assert words <= set(document)
    assert all(key.endswith(UNIT_ENDINGS) for key in set(document) - words)
    assert "Wood Handbook" in document["source"]
    assert "not for green or structural wood" in document["caution"]


@pytest.mark.parametrize("answer", [emc(temperature_c=21, humidity_pct=50), humidity(temperature_c=21, emc_pct=8)])
def test_no_sentence_takes_an_emc_for_the_moisture_of_a_piece(answer: Answer) -> None:
    assert "draws wood to" in answer.text()
    assert not re.search(r"\b(wood|piece|board)s? (has|have|is at|holds|contains)\b", answer.text(), re.IGNORECASE)


def test_salt_is_the_published_figure_with_its_uncertainty_its_provenance_and_its_caution() -> None:
    """Greenspan 1977 Table 2 (provenance: memory): magnesium chloride at 20 °C is 33.07 ± 0.18 %; sodium chloride there
    75.47 (from memory; the row is not in our table)."""
    answer = ask(QUESTIONS["salt"], {"salt": "MgCl2", "temperature_c": 20})
    assert answer.figures == {"humidity_pct": 33.07, "uncertainty_pct": 0.18}
    assert answer.text() == "Over wet magnesium chloride at 20.0 °C the air has 33.07 % RH, give or take 0.18 %."
    assert "Greenspan 1977" in answer.source
    assert "memory" in answer.source
    assert "gloves" in str(answer.caution_text())
    assert "safety sheet" in str(answer.caution_text())
    common = ask(QUESTIONS["salt"], {"salt": "nacl", "temperature_c": "20"}).figures
    assert common["humidity_pct"] == pytest.approx(75.47, abs=common["uncertainty_pct"])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"salt": "NaCI2", "temperature_c": 20}, "salt: found 'NaCI2'; would be right: NaCl"),
        ({"salt": "sugar", "temperature_c": 20}, "salt: found 'sugar'; would be right: one of LiCl"),
        ({"salt": "NaCl", "temperature_c": 45}, "temperature_c: found 45.0; would be right: 0.0 to 40.0 °C"),
        ({"salt": "CH3COOK", "temperature_c": 5}, "temperature_c: found 5.0; would be right: 10.0 to 30.0 °C"),
    ],
)
def test_a_salt_or_a_temperature_that_is_not_published_is_refused(given: dict[str, object], said: str) -> None:
    with pytest.raises(BadRequest) as refused:
        ask(QUESTIONS["salt"], given)
    assert str(refused.value).startswith(said)
