"""A shop's own species: read from its file, asked for at the command, marked as the shop's own in every answer."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import pytest

from server.book.base import BadRequest, ask
from server.book.catalog import QUESTIONS
from server.book.command import add_book_commands, run
from server.config import ConfigError
from server.config_file import Reader, load_species
from server.shop.own_species import species_table
from server.wood.species import all_species, with_own

ELM = """
[[species]]
key = "elm_lane"
common_name = "Elm from the lane"
specific_gravity = 0.49
shrinkage_radial_pct = 4.9
shrinkage_tangential_pct = 8.2
side_hardness_n = 3400
decay_class = "slightly or not resistant"
source = "six boards, weighed and measured"
"""
HARD = "side_hardness_n = 3400"
GROUPED = """
[[species]]
key = "oak_yard"
common_name = "Oak from the yard"
coefficient_from = "oak_white_commercial"
"""
BOARD = {"thickness_mm": 25, "from_pct": 8, "temperature_c": 21, "humidity_pct": 30, "width_mm": 150}
MILL = {**BOARD, "take_top_mm": 2, "take_bottom_mm": 2}
WIDTH = {"width_mm": 300, "from_pct": 8, "to_pct": 12}
GAP = {"fit": "drawer", "width_mm": 150, "now_pct": 8, "aim_low_pct": 6, "aim_high_pct": 10}
PRICE = {"offer": ["a,4,6,96,5", "b,8,6,96,5"], "need_mm": 20}
ASKED = {"movement": WIDTH, "settle": BOARD, "gap": GAP, "cup": BOARD, "mill": MILL, "price": PRICE, "species": {}}


def rows(text: str):
    return Reader(text, "stillstack.toml", {}, {}).read_species()


def stillstack(*words: str) -> int:
    parser = argparse.ArgumentParser(prog="stillstack")
    add_book_commands(parser.add_subparsers(required=True))
    return run(parser.parse_args(words))


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STILLSTACK_CONFIG", raising=False)
    path = tmp_path / "stillstack.toml"
    path.write_text(ELM + GROUPED, encoding="utf-8")
    return path


@pytest.mark.parametrize("name", list(ASKED))
def test_every_question_answers_for_an_own_species_and_says_whose_figures_they_are(name: str) -> None:
    given: dict[str, Any] = {**ASKED[name], "species": ["elm_lane"] if name == "species" else "elm_lane"}
    answer = ask(QUESTIONS[name], given, species_table(rows(ELM)))
    assert "own-species" in answer.flags
    assert "Elm from the lane is a species of your own: its figures are yours" in answer.text()
    if name != "price":
        assert "your own figures, [[species]] in stillstack.toml: six boards" in answer.source
        assert "(yours)" in answer.source
    with pytest.raises(BadRequest, match="elm_"):
        ask(QUESTIONS[name], given)
    assert "own-species" not in ask(QUESTIONS[name], {**given, "species": _published(name)}).flags


def _published(name: str) -> Any:
    return ["cherry_black"] if name == "species" else "cherry_black"


def test_figures_are_those_that_were_given() -> None:
    """Eq. 13-3 by hand, S_T 8.2 %: 300 x 4 / (3000 / 8.2 - 30 + 8)."""
    known = species_table(rows(ELM + GROUPED))
    moved = ask(QUESTIONS["movement"], {**WIDTH, "species": "elm_lane"}, known)
    assert moved.figures["change_mm"] == pytest.approx(300 * 4 / (3000 / 8.2 - 22))
    grouped = ask(QUESTIONS["movement"], {**WIDTH, "species": "oak_yard"}, known)
    of_group = ask(QUESTIONS["movement"], {**WIDTH, "species": "oak_white_commercial"})
    assert grouped.figures["change_mm"] == of_group.figures["change_mm"]
    assert "row oak_white_commercial" in grouped.source
    [row] = ask(QUESTIONS["species"], {"species": ["elm_lane"]}, known).figures["species"]
    assert (row["own"], row["side_hardness_n"], row["radial_pct"], row["tangential_pct"]) == (True, 3400, 4.9, 8.2)


def test_a_pin_reading_is_that_of_the_group_it_names() -> None:
    known, reading = species_table(rows(GROUPED + ELM)), {"reading_pct": 10, "wood_temperature_c": 20}
    with pytest.raises(BadRequest):
        ask(QUESTIONS["meter"], {**reading, "species": "elm_lane"}, known)
    own = species_table(rows(GROUPED.replace("oak_white_commercial", "oak_red_commercial")))
    with_group = ask(QUESTIONS["meter"], {**reading, "species": "oak_yard"}, own)
    assert "own-species" in with_group.flags


def test_what_is_missing_refuses_what_needs_it_with_the_reason() -> None:
    known = species_table(rows(GROUPED + '[[species]]\nkey = "bare"\ncommon_name = "Bare"\n'))
    with pytest.raises(BadRequest) as refused:
        ask(QUESTIONS["settle"], {**BOARD, "species": "oak_yard"}, known)
    assert str(refused.value) == (
        "specific_gravity: found none given in your [[species]] oak_yard; would be right: one you measured or trust, "
        "0.1 to 1.0"
    )
    assert ask(QUESTIONS["settle"], {**BOARD, "species": "oak_yard", "specific_gravity": 0.6}, known).figures
    with pytest.raises(BadRequest, match=r"species: found no movement given in your \[\[species\]\] bare"):
        ask(QUESTIONS["movement"], {**WIDTH, "species": "bare"}, known)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            ("elm_lane", "cherry_black"),
            ":3: species[0].key: found 'cherry_black', which is a published species; would be right: a key that is not "
            "published, such as 'cherry_black_own'",
        ),
        (("= 0.49", "= true"), ":5: species[0].specific_gravity: found True; would be right: a valid number"),
        (("0.49", '"0,49"'), ":5: species[0].specific_gravity: found '0,49'; would be right: a valid number"),
        (("0.49", "490"), ":5: species[0].specific_gravity: found 490; would be right: 0.1 to 1"),
        (("= 4.9", "= 0.049"), ":6: species[0].shrinkage_radial_pct: found 0.049; would be right: 1 to 12"),
        (
            ("= 4.9", "= 9.4"),
            ":6: species[0].shrinkage_radial_pct: found 9.4, above the tangential 8.2; would be right: at most "
            "shrinkage_tangential_pct: wood moves less across the rings",
        ),
        ((HARD, "side_hardness_n = 34"), ":8: species[0].side_hardness_n: found 34; would be right: 300 to 20000"),
        (
            ("slightly or not", "sligtly or not"),
            ":9: species[0].decay_class: found 'sligtly or not resistant'; would be right: 'slightly or not resistant'",
        ),
        (
            (HARD, "ct_fraction_per_pct_mc = 0.003"),
            ":8: species[0].ct_fraction_per_pct_mc: found one coefficient alone; would be right: both "
            "cr_fraction_per_pct_mc and ct_fraction_per_pct_mc, or neither",
        ),
        (
            (HARD, 'coefficient_from = "white oak"'),
            ":8: species[0].coefficient_from: found 'white oak'; would be right: 'oak_white_commercial'",
        ),
        (
            ("specific_gravity", "density"),
            ":5: species[0].density: found a key nobody knows; would be right: one of key, common_name",
        ),
        (('"elm_lane"', '"Elm lane"'), ":3: species[0].key: found 'Elm lane'; would be right: "),
        (
            ('common_name = "Elm from the lane"', ""),
            "species[0].common_name: found nothing; would be right: a value; it has no default",
        ),
        (
            ("[[species]]", "[species]"),
            ":2: species: found [species]; would be right: [[species]] with double brackets",
        ),
    ],
)
def test_each_mistake_says_what_was_found_where_and_what_is_right(change: tuple[str, str], said: str) -> None:
    with pytest.raises(ConfigError) as refused:
        rows(ELM.replace(*change))
    [mistake] = str(refused.value).splitlines()
    assert said in mistake
    with pytest.raises(ConfigError) as whole:  # the same where a server starts
        Reader(ELM.replace(*change), "stillstack.toml", {}, {}).read()
    assert str(whole.value) == mistake


def test_a_key_may_come_once() -> None:
    with pytest.raises(ConfigError, match=r"species\[1\].key: found 'elm_lane' a second time"):
        rows(ELM + ELM)
    with pytest.raises(ValueError, match="key: found 'cherry_black', which is taken"):
        with_own([all_species()["cherry_black"]])


def test_the_published_table_is_left_as_it_is() -> None:
    before = len(all_species())
    assert len(species_table(rows(ELM + GROUPED))) == before + 2
    assert len(all_species()) == before


def test_the_command_reads_the_file_where_serve_looks(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("book", "movement", "--species", "elm_lane", "--width-mm", "300", "--from-pct", "8", "--to-pct", "12")
    assert stillstack(*asked, "--json") == 0
    assert json.loads(capsys.readouterr().out)["flags"] == ["own-species", "no-coefficient"]
    file.rename(file.with_name("elsewhere.toml"))
    assert stillstack(*asked) == 2
    assert "--species: found 'elm_lane'" in capsys.readouterr().err
    assert stillstack(*asked, "--config", "elsewhere.toml") == 0
    assert "is a species of your own" in capsys.readouterr().out
    assert stillstack(*asked, "--config", "nowhere.toml") == 2
    said = capsys.readouterr().err
    assert (
        said
        == "nowhere.toml: the file: found No such file or directory; would be right: a file we may read, in UTF-8\n"
    )


def test_a_mistake_in_the_file_is_said_and_nothing_is_answered(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(ELM.replace("0.49", "4.9"), encoding="utf-8")
    assert stillstack("book", "species", "--species", "cherry_black") == 2
    assert capsys.readouterr().err == (
        "stillstack.toml:5: species[0].specific_gravity: found 4.9; would be right: 0.1 to 1\n"
    )
    file.write_bytes(b"\xff")
    with pytest.raises(ConfigError, match="found bytes that are no UTF-8"):
        load_species(file)
    file.write_text("[[sensor]]\nid = 7\n" + ELM, encoding="utf-8")  # other tables are for serve to judge
    assert [row.key for row in load_species(file)] == ["elm_lane"]
