"""Figures and moments as texts."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from babel import Locale

from server.words import Telling, Words, WordsError, render
from server.words.figures import at_text, clock_text, day_text, figure_text, stamp_text, temperature_text
from server.words.functions import DECIMAL_MARKS, fine_text, functions, given_text, length_text, plain, the
from server.words.of_zone import zone_age
from server.words.sentence import Sentence
from tests.unit.words.samples import HOUR_MS, NOW_MS

NEW_YORK = "America/New_York"
EN = Words("en", strict=True)


def test_moments_in_the_shop_s_time_zone() -> None:
    assert clock_text(NOW_MS - 60_000, NEW_YORK) == "7:41"
    assert clock_text(NOW_MS, "Europe/Oslo") == "13:42"
    assert stamp_text(NOW_MS, NEW_YORK, EN) == "Tue 12 Jan · 7:42"
    assert day_text(NOW_MS + 96 * HOUR_MS, NEW_YORK, EN) == "Saturday"


@pytest.mark.parametrize(
    ("hours", "text"),
    [
        (0, "7:42"),
        (-7.7, "0:00"),
        (14, "21:42"),
        (20, "3:42 tomorrow"),
        (-10, "21:42 yesterday"),
        (-96, "7:42 on Fri 8 Jan"),
        (72, "7:42 on Fri 15 Jan"),
    ],
)
def test_moments_are_said_as_near_as_they_are(hours: float, text: str) -> None:
    assert at_text(NOW_MS + round(hours * HOUR_MS), NOW_MS, NEW_YORK, EN) == text


def test_the_hour_that_happens_twice_and_the_one_that_does_not() -> None:
    """Limit: the two nights of 2027 when New York's clocks change (tz database): 7 November and 14 March."""
    autumn_ms = round(datetime(2027, 11, 7, 4, 30, tzinfo=UTC).timestamp() * 1000)
    assert [clock_text(autumn_ms + h * HOUR_MS, NEW_YORK) for h in range(4)] == ["0:30", "1:30", "1:30", "2:30"]
    spring_ms = round(datetime(2027, 3, 14, 6, 30, tzinfo=UTC).timestamp() * 1000)
    assert [clock_text(spring_ms + h * HOUR_MS, NEW_YORK) for h in range(2)] == ["1:30", "3:30"]


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(6.31, 1, "6.3"), (6.0, 1, "6.0"), (-0.04, 1, "0.0"), (-3.5, 1, "−3.5"), (31.3, 0, "31")],
)
def test_figures(value: float, decimals: int, text: str) -> None:
    assert figure_text(value, decimals) == text


def test_a_given_length_has_no_nought_behind_the_point() -> None:
    assert [given_text(v) for v in (150, 20.6, 179.98, 10.04, 0.0)] == ["150", "20.6", "180", "10", "0"]


def test_reckoned_lengths_are_no_finer_than_wood_keeps_to_and_never_a_false_nought() -> None:
    fine = (1.356, 0.996, 0.3, 0.125, 0.005, 0.004, 0.0, -0.25)
    assert [fine_text(v) for v in fine] == ["1.4", "1.0", "0.3", "0.12", "0.01", "< 0.01", "< 0.01", "−0.25"]
    assert [length_text(v) for v in (1.356, 0.05, 0.049, 0.004, 0.0, -2.5)] == ["1.4", "0.1", "< 0.1", "0", "0", "−2.5"]


@pytest.mark.parametrize(
    ("temperature_c", "metric", "imperial"),
    [
        (0.0, "0.0 °C", "32 °F"),
        (100.0, "100.0 °C", "212 °F"),
        (-40.0, "−40.0 °C", "−40 °F"),
        (20.42, "20.4 °C", "69 °F"),
    ],
)
def test_temperatures_follow_the_units(temperature_c: float, metric: str, imperial: str) -> None:
    """Published value: NIST SP 811 (2008) B.8, t/°F = 1.8 t/°C + 32; its fixed points 0, 100 and -40."""
    assert temperature_text(temperature_c) == metric
    assert temperature_text(temperature_c, "imperial") == imperial


def test_a_sentence_follows_the_units() -> None:
    dew = Sentence("book-emc-dew", {"dew_point_c": 20.4})
    assert render(dew, EN)["text"] == "Its dew point is 20.4 °C."
    assert render(dew, EN, "imperial")["text"] == "Its dew point is 69 °F."


@pytest.mark.parametrize(
    ("name", "inside", "start"),
    [
        ("Bench room", "the bench room", "The bench room"),
        ("bench room", "the bench room", "The bench room"),
        ("Marta's loft", "Marta's loft", "Marta's loft"),
        ("CNC room", "CNC room", "CNC room"),
        ("The loft", "the loft", "The loft"),
        ("2nd floor", "2nd floor", "2nd floor"),
        ("B", "B", "B"),
    ],
)
def test_names_inside_a_sentence(name: str, inside: str, start: str) -> None:
    assert the(name) == inside
    assert the(name, at="start") == start
    assert plain("Heated rooms") == "heated rooms"


@pytest.mark.parametrize(
    ("age_s", "text"),
    [
        (0, "0 min ago"),
        (-5, "0 min ago"),
        (185, "3 min ago"),
        (3599, "59 min ago"),
        (3600, "1 h ago"),
        (86_400, "1 day ago"),
        (180_000, "2 days ago"),
    ],
)
def test_ages(age_s: float, text: str) -> None:
    assert render(zone_age(age_s), EN)["text"] == text


def test_moments_become_text_in_the_values_too() -> None:
    sentence = Sentence("alert-since", {"at": Telling(NOW_MS, NEW_YORK).at(NOW_MS - HOUR_MS)})
    assert render(sentence, EN) == {"text": "since 6:42", "key": "alert-since", "values": {"at": "6:42"}}


def test_an_unknown_language_is_named() -> None:
    with pytest.raises(WordsError, match="language: found 'xx'; would be right: one of en, de"):
        Words("xx")


def test_strict_words_raise() -> None:
    with pytest.raises(WordsError, match="en: cannot say 'alert-since': Unknown external: at"):
        EN.say("alert-since")
    with pytest.raises(WordsError, match="no such sentence"):
        EN.say("nothing")


def test_german_figures_have_a_comma_and_names_keep_to_themselves() -> None:
    """Published: the Unicode CLDR's decimal sign of ``de``, as Babel carries it."""
    assert {code: Locale(code).number_symbols["latn"]["decimal"] for code in DECIMAL_MARKS} == DECIMAL_MARKS
    say = functions("metric", "de")
    assert [say["FIGURE"](-3.5), say["GIVEN"](20.6), say["GIVEN"](150)] == ["−3,5", "20,6", "150"]
    assert [say["MM"](1.44), say["MM"](0.02), say["WITHIN"](0)] == ["1,4", "< 0,1", "0,1"]
    assert [say["FINE"](0.12), say["FINE"](0.001)] == ["0,12", "< 0,01"]
    assert say["TEMPERATURE"](20.44) == "20,4 °C"
    assert functions("imperial", "de")["TEMPERATURE"](20.44) == "69 °F"
    assert (say["THE"]("Bankraum", at="start"), say["THE"]("Bankraum")) == ("Bankraum", "Bankraum")
    assert say["PLAIN"]("Wohnraum") == "Wohnraum"
