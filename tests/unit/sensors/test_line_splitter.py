"""Field pitfall 5: whatever the split, a stream gives the same lines, and never a piece of one."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from sensors.line_splitter import Line, LineSplitter


def lines_of(chunks: list[bytes], limit: int) -> list[Line]:
    splitter = LineSplitter(limit)
    return [line for chunk in chunks for line in splitter.feed(chunk)]


def cut_at(stream: bytes, cuts: list[int]) -> list[bytes]:
    return [stream[a:b] for a, b in itertools.pairwise([0, *cuts, len(stream)])]


def test_short_streams_in_every_split_there_is() -> None:
    """Field pitfall 5: every stream of up to six bytes of this alphabet, in all its splits."""
    for length in range(7):
        splits = [[n + 1 for n in range(length - 1) if bits >> n & 1] for bits in range(1 << max(0, length - 1))]
        for letters in itertools.product(b"a\r\n", repeat=length):
            stream = bytes(letters)
            whole = lines_of([stream], limit=2)
            assert all(lines_of(cut_at(stream, cuts), limit=2) == whole for cuts in splits)


def test_every_split_in_two_or_three_of_a_stream_as_devices_send_it() -> None:
    """Field pitfall 5: half a line, boot text, both line ends, an empty line, one too long, bytes that are no text."""
    stream = b"RH=41.2\r\nboot v1\n\nT=20.4 RH=41.2\r\n" + b"x" * 30 + b"\n\xff\xfe\x00\nT=20.5\n"
    whole = lines_of([stream], limit=20)
    assert [line.content for line in whole] == [b"boot v1", b"T=20.4 RH=41.2", b"x" * 20, b"\xff\xfe\x00", b"T=20.5"]
    for a, b in itertools.combinations_with_replacement(range(len(stream) + 1), 2):
        assert lines_of(cut_at(stream, [a, b]), limit=20) == whole


pieces = st.lists(st.binary(max_size=40) | st.sampled_from([b"T=20.4", b"\r", b""]), max_size=30)


@given(pieces, st.data())
@settings(max_examples=300)
def test_long_streams_in_drawn_splits(content: list[bytes], data: st.DataObject) -> None:
    stream = b"\n".join(content)
    cuts = sorted(data.draw(st.lists(st.integers(0, len(stream)), max_size=40)))
    whole = lines_of([stream], limit=20)
    assert lines_of(cut_at(stream, cuts), limit=20) == whole
    assert lines_of([bytes([byte]) for byte in stream], limit=20) == whole
    assert all(len(line.content) <= 20 for line in whole)


def test_it_keeps_ends_of_both_kinds_and_leaves_out_empty_lines() -> None:
    assert LineSplitter(9).feed(b"x\na\r\n\n\r\nb\nc") == [Line(b"a"), Line(b"b")]


def test_a_megabyte_without_a_newline_is_told_once_and_not_kept() -> None:
    splitter = LineSplitter(512)
    told = [line for _ in range(256) for line in splitter.feed(b"U" * 4096)]
    assert told == [Line(b"U" * 512, cut=True)]
    assert splitter.feed(b"U\nT=20.4\n") == [Line(b"T=20.4")]


def test_a_line_without_an_end_is_told_again_to_who_listens_only_now() -> None:
    """At a wrong baud rate no newline may ever come: what was told while the board settled must be told once more."""
    splitter = LineSplitter(4)
    assert splitter.feed(b"xxxxxx") == [Line(b"xxxx", cut=True)]
    splitter.tell_again()
    assert splitter.feed(b"yyyyyy") == [Line(b"yyyy", cut=True)]
    splitter.tell_again()
    assert splitter.feed(b"zz\nT=1\n") == [Line(b"T=1")]
