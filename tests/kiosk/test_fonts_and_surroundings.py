"""The letters, and what is settled before Kivy is imported."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from kiosk import environment, fonts


@pytest.mark.parametrize("name", [fonts.REGULAR, fonts.BOLD])
def test_every_digit_has_one_width_and_letters_keep_theirs(name: str, tmp_path: Path) -> None:
    made = TTFont(fonts.prepared(name, tmp_path))
    plain = TTFont(fonts.packaged(name))

    def width(font: TTFont, letter: str) -> int:
        return int(font["hmtx"][font.getBestCmap()[ord(letter)]][0])

    assert len({width(made, d) for d in "0123456789"}) == 1
    assert len({width(plain, d) for d in "0123456789"}) > 1
    assert all(width(made, c) == width(plain, c) for c in "aM.,%±°−–")


def test_a_copy_is_made_once(tmp_path: Path) -> None:
    first = fonts.prepared(fonts.BOLD, tmp_path)
    before = first.stat().st_mtime_ns
    assert fonts.prepared(fonts.BOLD, tmp_path) == first
    assert first.stat().st_mtime_ns == before
    assert [p.name for p in tmp_path.iterdir()] == [first.name]


@pytest.mark.parametrize("left", [b"", bytes(90_000)])
def test_a_copy_that_a_power_cut_left_damaged_is_made_again(left: bytes, tmp_path: Path) -> None:
    copy = fonts.prepared(fonts.BOLD, tmp_path)
    whole = copy.read_bytes()
    copy.write_bytes(left)
    assert fonts.prepared(fonts.BOLD, tmp_path) == copy
    assert len(copy.read_bytes()) == len(whole)


def test_where_it_cannot_be_made_the_plain_font_is_used(tmp_path: Path) -> None:
    blocked = tmp_path / "a file, not a folder"
    blocked.write_text("")
    assert fonts.prepared(fonts.BOLD, blocked / "fonts") == fonts.packaged(fonts.BOLD)


def test_a_font_without_even_digits_is_named(tmp_path: Path) -> None:
    bare = TTFont(fonts.packaged(fonts.REGULAR))
    table = bare["GSUB"].table
    table.FeatureList.FeatureRecord = [r for r in table.FeatureList.FeatureRecord if r.FeatureTag != "tnum"]
    bare.save(tmp_path / "bare.ttf")
    with pytest.raises(ValueError, match=r"bare\.ttf: found no tnum form of 0; would be right: one for each digit"):
        fonts.even_digits(tmp_path / "bare.ttf", tmp_path / "out.ttf")
    assert not (tmp_path / "out.ttf").exists()


def test_state_goes_where_it_is_told(tmp_path: Path) -> None:
    assert environment.state_folder({"STILLSTACK_STATE": str(tmp_path)}) == tmp_path / "kiosk"
    assert str(os.getuid()) in environment.state_folder({}).name


@pytest.mark.usefixtures("stage")
def test_kivy_has_one_input_provider_and_keeps_the_programs_arguments() -> None:
    from kivy.config import Config

    assert Config.items("input") == [("mouse", "mouse,disable_multitouch")]
    assert Config.get("graphics", "multisamples") == "0"
    assert Config.getint("graphics", "maxfps") <= 30
    assert Config.get("kivy", "exit_on_escape") == "0"
    assert os.environ["KIVY_NO_ARGS"] == "1"
    assert not Path(os.environ["KIVY_HOME"], "config.ini").exists()
