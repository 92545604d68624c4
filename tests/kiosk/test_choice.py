"""What was chosen at the wall outlasts its window, and a damaged file does not take the window away."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest

from kiosk.choice import FILE, Choice, keep, kept
from kiosk.figures import Units


def test_a_choice_is_kept_and_the_next_one_replaces_it(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "there yet"
    assert kept(folder) == Choice("en", Units())
    for choice in (Choice("de", Units("imperial", 32, quarters=False)), Choice("en", Units("imperial", 0))):
        keep(folder, choice)
        assert kept(folder) == choice
    assert [f.name for f in folder.iterdir()] == [FILE], "nothing half written stays"


@pytest.mark.parametrize(
    "damaged",
    [b"", b"{", b"\xff\xfe", b"[]", b'{"language": "xx", "units": {}}', b'{"language": "de", "units": {"system": 3}}',
     b'{"language": "de"}', b'{"language": ["de"], "units": {}}', b'{"language": "de", "units": {"new": 1}}'],
)  # fmt: skip
def test_a_damaged_file_means_the_usual_ones(tmp_path: Path, damaged: bytes, caplog: pytest.LogCaptureFixture) -> None:
    (tmp_path / FILE).write_bytes(damaged)
    with caplog.at_level(logging.WARNING, "kiosk.choice"):
        assert kept(tmp_path) == Choice()
    assert "the usual language and units are used" in caplog.text


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    (tmp_path / "file").write_text("")
    with caplog.at_level(logging.WARNING, "kiosk.choice"):
        keep(tmp_path / "file" / "kiosk", Choice("de"))
    assert "were not kept" in caplog.text
