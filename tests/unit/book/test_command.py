"""The command line is the request model, spelled with dashes."""

from __future__ import annotations

import argparse
import json

import pytest

from server.book.catalog import QUESTIONS
from server.book.command import add_book_commands, run


def stillstack(*words: str) -> int:
    parser = argparse.ArgumentParser(prog="stillstack")
    add_book_commands(parser.add_subparsers(required=True))
    return run(parser.parse_args(words))


def test_json_is_one_document_unrounded(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "emc", "--json", "--temperature-c", "21", "--humidity-pct", "50") == 0
    out = capsys.readouterr().out
    document = json.loads(out)
    assert out.count("\n") == 1
    assert document["emc_pct"] == pytest.approx(9.24523068, abs=1e-8)
    assert document["dew_point_c"] == pytest.approx(10.191420, abs=1e-6)
    assert document["flags"] == []


def test_plain_answer_is_sentence_source_and_caution(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "humidity", "--temperature-c", "20", "--emc-pct", "8") == 0
    sentence, source, caution = capsys.readouterr().out.splitlines()
    assert sentence == "At 20.0 °C air of 41.8 % RH draws wood to 8.0 % MC."
    assert source.startswith("Source: Wood Handbook")
    assert caution.startswith("Caution: ")


def test_species_are_compared_in_columns_with_a_source_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "species", "--species", "cherry_black", "--species", "oak_white") == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split("  ")[0] for line in lines[:3]] == ["Species", "Cherry, black", "Oak, white: white"]
    assert lines.index("Hardest: Oak, white: white.") < lines.index("Source:") < len(lines) - 1
    titles = [line.split(":")[0].strip() for line in lines[lines.index("Source:") + 1 : -1]]
    assert titles == ["Specific gravity", "Shrinkage", "Movement", "Side hardness", "Decay", "Settling"]
    assert lines[-1].startswith("Caution: A finish does not make soft wood durable")


def test_an_answer_of_several_sentences_is_read_line_by_line(capsys: pytest.CaptureFixture[str]) -> None:
    board = "--species cherry_black --width-mm 300 --thickness-mm 25 --from-pct 8 --temperature-c 21 --humidity-pct 30"
    assert stillstack("book", "settle", *board.split()) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("It still shrinks by ")
    assert lines[1].startswith("Shell and core come within ")
    titles = ["Source", "EMC", "Diffusion", "Specific gravity", "Movement"]
    assert [line.split(":")[0].strip() for line in lines[-6:-1]] == titles


def test_negative_temperatures_are_numbers_not_flags(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "emc", "--temperature-c", "-15", "--humidity-pct", "80") == 0
    assert "Air at −15.0 °C" in capsys.readouterr().out


def test_every_mistake_is_named_and_nothing_is_answered(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "emc", "--json", "--temperature-c", "warm", "--humidity-pct", "150") == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == [
        "--temperature-c: found 'warm'; would be right: the air's temperature, −50 to 100 °C",
        "--humidity-pct: found '150'; would be right: relative humidity over water, 0 to 100 %",
    ]


def test_missing_flags_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "humidity") == 2
    assert [line.split(":")[0] for line in capsys.readouterr().err.splitlines()] == ["--temperature-c", "--emc-pct"]


@pytest.mark.parametrize("name", list(QUESTIONS))
def test_every_question_explains_its_flags(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        stillstack("book", name, "--help")
    assert left.value.code == 0
    helped = capsys.readouterr().out
    for field, info in QUESTIONS[name].request.model_fields.items():
        assert "--" + field.replace("_", "-") in helped
        assert info.description


def test_help_lists_the_keys_that_may_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    for name, keys in (
        ("species", ("cherry_black", "yellow_poplar")),
        ("settle", ("book species --help", "shellac-3")),
    ):
        with pytest.raises(SystemExit):
            stillstack("book", name, "--help")
        helped = capsys.readouterr().out
        assert all(key in helped for key in keys)


def test_every_unknown_species_has_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert stillstack("book", "species", "--species", "chery", "--species", "teek") == 2
    first, second = capsys.readouterr().err.splitlines()
    assert "cherry_black" in first
    assert "teak" in second


def test_catalog_names_are_the_questions_own() -> None:
    names = "emc humidity movement settle gap panel cup mill resaw rip layers meter species salt price water"
    assert list(QUESTIONS) == names.split()
    assert all(name == question.name for name, question in QUESTIONS.items())


def test_an_unknown_question_leaves_with_2() -> None:
    with pytest.raises(SystemExit) as left:
        stillstack("book", "weather")
    assert left.value.code == 2
