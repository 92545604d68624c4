"""Figures as they are read. An inch is 25.4 mm, °F = 1.8 °C + 32 (NIST SP 811, appendix B), a US gallon is 231 cubic
inches (NIST Handbook 44, appendix C): all exact."""

from __future__ import annotations

from fractions import Fraction

import pytest
from babel import Locale
from babel.dates import format_date
from babel.numbers import format_decimal

from kiosk.figures import DECIMAL_MARKS, GALLON_L, Figures, Units, local
from kiosk.words import Words, languages

INCHES = Units("imperial")
NOW_MS = 1_799_757_720_000  # 12 January 2027, 7:42 in New York
NEW_YORK = "America/New_York"


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("value", [6.34, -3.25, 0.0, 18.0, 999.9])
def test_numbers_are_written_as_an_independent_library_writes_them(language: str, value: float) -> None:
    """Babel has the Unicode CLDR's signs; its minus is the keyboard's, ours the true one."""
    babel = format_decimal(value, format="0.0", locale=language).replace("-", "−")
    assert Figures(language).number(value) == babel
    assert DECIMAL_MARKS[language] == Locale(language).number_symbols["latn"]["decimal"]
    assert Figures(language).number(-0.04).strip("0.,") == ""


@pytest.mark.parametrize(
    ("figures", "mm", "text"),
    [
        (Figures(), 146.05, "146.1 mm"),
        (Figures("de"), 146.05, "146,1 mm"),
        (Figures("en", INCHES), 146.05, "5 3/4 in"),  # 5.75 in
        (Figures("en", INCHES), 25.4, "1 in"),
        (Figures("en", INCHES), 25.4 / 16, "1/16 in"),
        (Figures("en", INCHES), 25.4 / 40, "0 in"),  # 0.4 of a sixteenth
        (Figures("en", INCHES), 25.4 * 0.99, "1 in"),
        (Figures("en", INCHES), -25.4 / 8, "−1/8 in"),
        (Figures("en", Units("imperial", 32)), 25.4 * 3 / 32, "3/32 in"),
        (Figures("en", Units("imperial", 0)), 146.05, "5.75 in"),
        (Figures("de", Units("imperial", 0)), 146.05, "5,75 in"),
    ],
)
def test_lengths(figures: Figures, mm: float, text: str) -> None:
    assert figures.length(mm) == text


@pytest.mark.parametrize("parts", [16, 32])
def test_a_fraction_is_never_further_than_half_a_part(parts: int) -> None:
    figures = Figures("en", Units("imperial", parts))  # type: ignore[arg-type]
    for n in range(-40, 2000, 7):
        mm = n * 0.31
        text = figures.length(mm).removesuffix(" in").replace("−", "-")
        whole, _, rest = text.removeprefix("-").rpartition(" ")
        read = (Fraction(rest) + int(whole or 0)) * (-1 if text.startswith("-") else 1)
        assert abs(float(read) * 25.4 - mm) <= 25.4 / parts / 2 + 1e-9, text
        assert Fraction(rest).denominator <= parts


@pytest.mark.parametrize("units", [Units(), INCHES])
@pytest.mark.parametrize("language", languages())
def test_what_is_typed_comes_back(language: str, units: Units) -> None:
    figures = Figures(language, units)
    for value in (-12.5, 0.0, 0.35, 20.4, 1234.5):
        assert figures.celsius_from(figures.degrees(value)) == pytest.approx(value, abs=1e-12)
        assert figures.mm_from(figures.lengths(value)) == pytest.approx(value, abs=1e-12)
        assert figures.number_from(figures.number(value, 2)) == value
        assert figures.number_from(figures.given(value)) == value
    assert figures.litres_from(float(figures.number_from(figures.volume(GALLON_L * 2, 6).split()[0]))) == (
        pytest.approx(GALLON_L * 2, abs=1e-5)
    )


def test_exact_definitions() -> None:
    assert Figures("en", INCHES).mm_from(1) == 25.4
    assert pytest.approx(3.785411784, abs=1e-12) == GALLON_L
    assert Figures("de", INCHES).temperature(100) == "212,0 °F"
    assert Figures("de").volume(4.25) == "4,2 l"
    assert Figures("en", INCHES).volume(3.785411784) == "1.0 gal"
    assert Figures("en", INCHES).small_length(0.35) == "0.014 in"
    assert Figures("de").small_length(0.35) == "0,35 mm"


def test_a_thickness_told_in_quarters_is_read_so_where_that_was_chosen() -> None:
    assert Figures().thickness(50.8, 8) == "8/4"
    assert Figures().thickness(50.8) == "50.8 mm"
    assert Figures("en", Units(quarters=False)).thickness(50.8, 8) == "50.8 mm"
    assert Figures("en", INCHES).thickness(46.0, None) == "1 13/16 in"


def test_per_cent_and_spread() -> None:
    assert Figures("de").pct(6.31) == "6,3 %"
    assert Figures("de").spread(5.8, 6.8) == "± 0,5"
    assert Figures("en").spread(6.3, 6.3) == "± 0.1"


def test_moments_in_both_languages() -> None:
    assert Figures().stamp(NOW_MS, NEW_YORK, Words("en")) == "Tue 12 Jan · 7:42"
    assert Figures("de").stamp(NOW_MS, NEW_YORK, Words("de")) == "Di 12. Jan · 7:42"
    for month in range(1, 13):
        t_ms = NOW_MS + (month - 1) * 30 * 86_400_000
        day = local(t_ms, NEW_YORK).date()
        said = Figures("de").date(t_ms, NEW_YORK, Words("de"))
        whole = format_date(day, "d. MMMM", locale="de")  # ours is the beginning of the month's whole name
        assert whole.startswith(said), (said, whole)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: Units("furlongs"), "system: found 'furlongs'; would be right: one of metric, imperial"),  # type: ignore[arg-type]
        (lambda: Units(inch_fractions=7), "inch_fractions: found 7; would be right: one of 0, 16, 32"),  # type: ignore[arg-type]
        (lambda: Figures("xx"), "language: found 'xx'; would be right: one of en, de"),
        (lambda: Figures("de").number_from("6;5"), "number: found '6;5'; would be right: a number such as 12,5"),
    ],
)
def test_bad_choices_are_named(wrong: object, says: str) -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the text is compared whole
        wrong()  # type: ignore[operator]
    assert str(caught.value) == says
