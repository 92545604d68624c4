"""Every question refuses what cannot be, with the field, what was found, the range and the unit; nothing is answered.

One good request a question; what is wrong with it is made from the request model itself, so a new field is tried too.
"""

from __future__ import annotations

import re
from typing import Any, Literal, get_args, get_origin

import pytest
from annotated_types import Ge, Gt, Le, Lt
from pydantic.fields import FieldInfo

from server.book.base import BadRequest, ask
from server.book.catalog import QUESTIONS
from server.cli import main

BOARD = {"species": "cherry_black", "thickness_mm": 25, "from_pct": 8, "temperature_c": 21, "humidity_pct": 30}
OFFERS = ("Maple,8,6,96,9.50", "Oak,4,8,120,7")
GOOD: dict[str, dict[str, Any]] = {
    "emc": {"temperature_c": 21, "humidity_pct": 50},
    "humidity": {"temperature_c": 21, "emc_pct": 8},
    "movement": {"species": "cherry_black", "width_mm": 300, "from_pct": 8, "to_pct": 12},
    "settle": BOARD,
    "gap": {
        "fit": "door", "species": "oak_white", "width_mm": 300, "now_pct": 7, "aim_low_pct": 6, "aim_high_pct": 10
    },
    "panel": {
        "species": "cherry_black", "width_mm": 600, "thickness_mm": 20, "made_at_pct": 7,
        "dry_humidity_pct": 30, "damp_humidity_pct": 60,
    },
    "cup": {**BOARD, "width_mm": 150},
    "mill": {**BOARD, "width_mm": 150, "take_top_mm": 2, "take_bottom_mm": 2},
    "resaw": {**BOARD, "width_mm": 150, "kerf_mm": 2},
    "rip": {"length_mm": 1200, "width_mm": 60, "test_crook_mm": 1, "test_length_mm": 600},
    "layers": {"layer": ("oak_white,0.6,flat,10,7", "mdf,18,any,8,7"), "width_mm": 400},
    "meter": {"species": "oak_white", "reading_pct": 10, "wood_temperature_c": 15},
    "species": {"species": ("cherry_black",)},
    "salt": {"salt": "NaCl", "temperature_c": 20},
    "price": {"offer": OFFERS, "need_mm": 20},
    "water": {
        "volume_m3": 150, "air_changes_per_h": 0.5, "indoor_temperature_c": 20, "aim_pct": 8,
        "outdoor_temperature_c": -5, "outdoor_humidity_pct": 80,
    },
}  # fmt: skip
NOT_NUMBERS = (
    "warm", "", "nan", "inf", "-inf", "600in", '24"', "1 2", float("nan"), float("inf"), True, [5], {"mm": 5}
)  # fmt: skip
NOT_WHOLE = ("2.5", 2.5)
HAVE_NEAR = {"species": "chery_black", "cover": "wraped", "salt": "NaCL2", "offer": ("Maple,8,6,96", "Oak,4,8,120,7")}
"""Words that are looked up in a table, and how each may be misspelt."""
NEAR = {
    "species": "cherry", "cover": "wrapped", "salt": "NaCl", "offer": "price-per-bf"
}  # fmt: skip


def kind(info: FieldInfo) -> Any:
    """The field's own type, what may be left out apart."""
    some = [a for a in get_args(info.annotation) if a is not type(None)]
    return some[0] if get_origin(info.annotation) not in {tuple, list, Literal} and some else info.annotation


def ends(info: FieldInfo) -> tuple[float, float]:
    low = next((m.ge if isinstance(m, Ge) else m.gt for m in info.metadata if isinstance(m, Ge | Gt)), None)
    high = next((m.le if isinstance(m, Le) else m.lt for m in info.metadata if isinstance(m, Le | Lt)), None)
    assert low is not None, "a number without a least"
    assert high is not None, "a number without a most"
    return float(low), float(high)  # type: ignore[arg-type]


FIELDS = [(name, key) for name, question in QUESTIONS.items() for key in question.request.model_fields]
NUMBERS = [(n, k) for n, k in FIELDS if kind(QUESTIONS[n].request.model_fields[k]) in {int, float}]
CHOICES = [(n, k) for n, k in FIELDS if get_origin(kind(QUESTIONS[n].request.model_fields[k])) is Literal]


def refused(name: str, **change: Any) -> BadRequest:
    with pytest.raises(BadRequest) as bad:
        ask(QUESTIONS[name], {**GOOD[name], **change})
    for mistake in bad.value.mistakes:
        assert "\n" not in str(mistake), "one line a mistake"
    return bad.value


def number(text: str) -> set[float]:
    """The numbers in a sentence, with a true minus and with commas between thousands."""
    return {float(n.replace(",", "").replace("−", "-")) for n in re.findall(r"[−-]?\d[\d,]*(?:\.\d+)?", text)}


@pytest.mark.parametrize("name", list(QUESTIONS))
def test_the_good_request_is_answered(name: str) -> None:
    assert ask(QUESTIONS[name], GOOD[name]).said


@pytest.mark.parametrize(("name", "key"), NUMBERS)
def test_numbers_out_of_range_and_no_numbers_are_refused_with_range_and_unit(name: str, key: str) -> None:
    info = QUESTIONS[name].request.model_fields[key]
    low, high = ends(info)
    beyond = max(1.0, 1e-6 * abs(high))
    whole = NOT_WHOLE if kind(info) is int else ()
    for wrong in (low - beyond, high + beyond, -1e300, 1e300, *NOT_NUMBERS, *whole):
        (mistake,) = refused(name, **{key: wrong}).mistakes
        assert mistake.field == key
        assert mistake.found == (repr(str(wrong)) if wrong is True else repr(wrong))
        assert {abs(low), abs(high)} <= {abs(n) for n in number(mistake.would_be_right)}, mistake.would_be_right
        assert says_unit(key, mistake.would_be_right), f"{key}: no unit in {mistake.would_be_right!r}"


UNITS = {
    "_mm": "mm", "_pct": "%", "_c": "°C", "_m3": "m³", "_m3_per_h": "m³ an hour", "_per_h": "an hour",
    "_kg_per_day": "kg", "_h_per_day": "hours", "days": "days", "_day": "day of the year", "_per_hour": "money",
    "pile": "boards",
}  # fmt: skip


def says_unit(key: str, text: str) -> bool:
    """Whether ``text`` names the unit that ``key`` ends in; a ratio has none."""
    if key == "specific_gravity":
        return True
    ending = max((end for end in UNITS if key.endswith(end)), key=len)
    return UNITS[ending] in text


@pytest.mark.parametrize(("name", "key"), CHOICES)
def test_choices_name_all_there_are(name: str, key: str) -> None:
    info = QUESTIONS[name].request.model_fields[key]
    for wrong in ("", "either", 5, None, ["flat"]):
        if wrong is None and not info.is_required() and info.default is None:
            continue
        (mistake,) = refused(name, **{key: wrong}).mistakes
        assert mistake.field == key
        for choice in get_args(kind(info)):
            assert choice in mistake.would_be_right


@pytest.mark.parametrize(("name", "key"), [(n, k) for n, k in FIELDS if k in HAVE_NEAR])
def test_words_of_a_table_are_refused_with_what_is_near(name: str, key: str) -> None:
    wrong: Any = HAVE_NEAR[key]
    if name == "species":
        wrong = ("cherry_black", wrong)
    (mistake,) = refused(name, **{key: wrong}).mistakes
    assert mistake.field == key
    assert NEAR[key] in mistake.would_be_right
    for other in (5, "", [], "x" * 10_000, "line\nbreak", "\x1b[31m"):
        bad = refused(name, **{key: (other,) * 2 if key == "offer" or name == "species" else other})
        assert len(str(bad)) < 1000, "what was found is not repeated without end"


@pytest.mark.parametrize("name", list(QUESTIONS))
def test_all_that_is_missing_or_nobody_asked_for_is_named_at_once(name: str) -> None:
    fields = QUESTIONS[name].request.model_fields
    required = [key for key, info in fields.items() if info.is_required()]
    with pytest.raises(BadRequest) as bad:
        ask(QUESTIONS[name], {"colour": "red"})
    assert [m.field for m in bad.value.mistakes] == [*required, "colour"]
    assert all(m.found == "nothing" for m in bad.value.mistakes[:-1])


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("gap", {"width_mm": 15_240}, "width_mm: found 15240; would be right: the width across the grain today, 1 to"),
        ("cup", {"width_mm": "600in"}, "width_mm: found '600in'; would be right: the width in millimetres, 1 to 3,000"),
        (
            "settle",
            {"days": 100_000},
            "days: found 100000; would be right: how many whole days the series runs, 0 to 3,650",
        ),
        ("settle", {"thickness_mm": 0}, "thickness_mm: found 0; would be right: the thickness in millimetres, 0.3 to"),
        ("settle", {"from_pct": 300}, "from_pct: found 300; would be right: the wood's moisture now, 0 to 30 % MC"),
        ("gap", {"aim_low_pct": 11}, "aim_low_pct: found 11.0; would be right: at most the dampest, 10 % MC"),
        (
            "mill",
            {"take_top_mm": 25},
            "take_top_mm: found 27 mm in all; would be right: 24.7 mm together at most: 0.3 mm of",
        ),
        ("panel", {"dampest_day": 50}, "dampest_day: found 4 days after the driest; would be right: 30 to 335 days"),
        ("humidity", {"emc_pct": 30}, "emc_pct: found 30.0; would be right: 0 to 28.8 % at"),
        ("salt", {"temperature_c": 90}, "temperature_c: found 90.0; would be right: 0.0 to"),
    ],
)
def test_the_issues_own_cases_in_full(name: str, change: dict[str, Any], says: str) -> None:
    assert str(refused(name, **change)).startswith(says)


def typed(given: dict[str, Any]) -> list[str]:
    pairs = [(k, v) for k, values in given.items() for v in (values if isinstance(values, tuple) else (values,))]
    return [word for key, value in pairs for word in (f"--{key.replace('_', '-')}", str(value))]


@pytest.mark.parametrize("name", list(QUESTIONS))
def test_the_command_leaves_with_2_and_one_line_a_mistake(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = {key: "600in" for n, key in NUMBERS if n == name and QUESTIONS[n].request.model_fields[key].is_required()}
    assert main(["book", name, *typed({**GOOD[name], **(wrong or {"species": ("no wood",)})})]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == max(len(wrong), 1)
    for line in said.err.splitlines():
        assert re.fullmatch(r"--[a-z0-9-]+: found .+; would be right: .+", line)


@pytest.mark.parametrize(
    "words",
    [
        ("book", "cup", "--width", "6"),
        ("book", "cup", "--width-in", "6"),
        ("book", "settle", "25"),
        ("book", "settle", "--thickness-mm"),
        ("book", "weather"),
        ("book",),
    ],
)
def test_what_is_no_flag_of_ours_is_one_line_and_2(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    """A flag cut short (--width) is none: without its unit 6 could be inches."""
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
