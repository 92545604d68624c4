"""A recording: what goes in comes out, and a wrong line is named before anything is done with the rest."""

from __future__ import annotations

import json
import logging
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.recording import Recorded, Recorder, RecordingError, read_recording


class Beat:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.s = 100.0

    def __call__(self) -> tuple[int, float]:
        return 0, self.s


@given(st.lists(st.tuples(st.floats(0, 1e6), st.text(min_size=1), st.text(), st.binary(max_size=300)), max_size=20))
def test_any_bytes_and_names_come_out_as_they_went_in(tmp_path_factory: pytest.TempPathFactory, heard: list) -> None:
    path = tmp_path_factory.mktemp("recording") / "r.jsonl"
    beat = Beat()
    recorder = Recorder(path, beat)
    for t_s, source, topic, content in sorted(heard, key=lambda h: h[0]):
        beat.s = 100.0 + t_s
        recorder.heard(source, topic, content)
    recorder.close()
    found = [(e.source, e.topic, e.content) for e in read_recording(path)]
    assert found == [h[1:] for h in sorted(heard, key=lambda h: h[0])]
    for line in path.read_text().splitlines():
        assert json.loads(line).keys() == {"t_s", "source", "topic", "bytes_b64"}


def test_times_count_from_the_start_and_each_line_is_there_at_once(tmp_path: Path) -> None:
    beat = Beat()
    recorder = Recorder(tmp_path / "r.jsonl", beat)
    beat.s = 102.5
    recorder.heard("line", "", b"T=20.4\n")
    assert list(read_recording(tmp_path / "r.jsonl")) == [Recorded(2.5, "line", "", b"T=20.4\n")]
    recorder.close()
    recorder.close()
    recorder.heard("line", "", b"after the end")


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "r.jsonl").write_text("precious")
    with pytest.raises(RecordingError, match=r"r\.jsonl: found a file; would be right: a name that is free"):
        Recorder(tmp_path / "r.jsonl", Beat())
    assert (tmp_path / "r.jsonl").read_text() == "precious"
    with pytest.raises(RecordingError, match="would be right: a folder we may write in"):
        Recorder(tmp_path / "nowhere" / "r.jsonl", Beat())


def test_what_is_too_long_for_a_line_is_left_out_and_the_rest_can_be_read(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    recorder = Recorder(tmp_path / "r.jsonl", Beat())
    for content in (b"x" * 600_001, b"y" * 700_000, b"z" * 600_000):
        recorder.heard("mq", "shop/air", content)
    recorder.close()
    assert [e.content[:1] for e in read_recording(tmp_path / "r.jsonl")] == [b"z"]
    assert [r.getMessage() for r in caplog.records] == [f"Left out of {recorder.path}: 600001 bytes at once from mq"]


def test_a_full_disk_ends_the_recording_and_says_so_once(caplog: pytest.LogCaptureFixture) -> None:
    full = Path("/dev/full")
    recorder = Recorder.__new__(Recorder)
    recorder.path, recorder._now, recorder._began_s = full, Beat(), 0.0
    recorder._file = full.open("w", encoding="ascii", buffering=1)
    with caplog.at_level(logging.ERROR):
        for _ in range(3):
            recorder.heard("line", "", b"T=20.4\n")
    assert "The recording /dev/full ends here" in caplog.records[0].getMessage()
    assert sum("ends here" in r.getMessage() for r in caplog.records) == 1


GOOD = '{"t_s": 1, "source": "line", "topic": "", "bytes_b64": "VD0yMAo="}\n'


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("half a line", "would be right: one JSON object a line"),
        ("[1, 2]", "would be right: an object with just the keys bytes_b64, source, t_s, topic"),
        (GOOD.replace('"topic": "", ', ""), "would be right: an object with just the keys"),
        (GOOD.replace('"t_s": 1', '"t_s": -1'), "found t_s -1; would be right: seconds since the start, 0 or more"),
        (GOOD.replace('"t_s": 1', '"t_s": NaN'), "found t_s nan"),
        (GOOD.replace('"t_s": 1', '"t_s": true'), "found t_s True"),
        (GOOD.replace('"t_s": 1', '"t_s": 1' + "0" * 400), "found t_s 1000"),
        (GOOD.replace('"t_s": 1', '"t_s": 0.5'), "found t_s 0.5 after 1; would be right: lines in the order of their"),
        (GOOD.replace('"line"', '""'), "would be right: text for source, topic and bytes_b64"),
        (GOOD.replace("VD0yMAo=", "VD0yMAo"), "would be right: base64"),
        (GOOD.replace("VD0yMAo=", "VD0y MAo="), "would be right: base64"),
        ("[" * 100_000, "would be right: one JSON object a line"),
        ('"' + "x" * 1_100_000, "would be right: one JSON object a line"),
    ],
)
def test_a_wrong_line_is_named(tmp_path: Path, line: str, said: str) -> None:
    path = tmp_path / "r.jsonl"
    path.write_text(GOOD + line + "\n" + GOOD)
    with pytest.raises(RecordingError) as refused:
        list(read_recording(path))
    assert str(refused.value).startswith(f"{path}:2: found ")
    assert said in str(refused.value)


def test_no_file_and_no_text_are_named(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="No such file"):
        list(read_recording(tmp_path / "none"))
    (tmp_path / "bytes").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(RecordingError, match="found bytes that are no text"):
        list(read_recording(tmp_path / "bytes"))
