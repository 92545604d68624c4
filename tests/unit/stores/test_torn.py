"""How the pages of a tree fit together says what is missing from it. Against trees that SQLite itself made, and pages
that SQLite itself names (``dbstat``)."""

from __future__ import annotations

import random
import sqlite3
import tracemalloc
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from statistics import median_low

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.stores.gaps import usual_pause_ms
from server.stores.pages import PageFile
from server.stores.shapes import shapes
from server.stores.sqlite_file import open_writer
from server.stores.torn import Key, Stretch, in_order, seams, stretches

T0 = 1_799_755_200_000
SERIES, ROWS = 5, 9_000


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Of three levels, written in the order of time, so that it split in its middle."""
    path = tmp_path_factory.mktemp("tree") / "record.sqlite"
    with closing(open_writer(path, 0)) as file:
        file.execute("BEGIN")
        for n in range(ROWS):
            file.executemany(
                "INSERT INTO reading VALUES (?, ?, ?, 0, NULL)",
                [(s, T0 + n * 60_000 + s, n / 7.0) for s in range(1, SERIES + 1)],
            )
        file.execute("COMMIT")
        file.execute("PRAGMA journal_mode = DELETE")
    return path


def of_pages(path: Path) -> dict[int, tuple[list[Key], list[Stretch]]]:
    """By page the keys on it and its stretches."""
    with closing(sqlite3.connect(path)) as file:
        (shape,) = [s for name, s in shapes(file).items() if name == "reading"]
        numbers = dict(file.execute("SELECT pageno, ncell FROM dbstat WHERE name = 'reading'").fetchall())
    found = {}
    with closing(PageFile(path)) as pages:
        for number, cells in numbers.items():
            rows = [shape.row(cell.rowid, cell.values) for cell in pages.slots(number) if cell]
            keys = [shape.key_of(row) for row in rows if row]
            assert len(keys) == cells, "our reader and SQLite agree on what lies there"
            found[number] = (keys, list(stretches(keys, in_order(keys), pages.inner(number))))
    return found  # type: ignore[return-value]


def test_a_whole_tree_has_no_tear(tree: Path) -> None:
    pages = of_pages(tree)
    assert sum(1 for _, found in pages.values() if found[0].is_inner) > 2, "three levels"
    assert sum(len(keys) for keys, _ in pages.values()) == SERIES * ROWS
    found = [one for _, stretch in pages.values() for one in stretch]
    assert [seam for seam in seams(found) if seam.torn or seam.doubtful] == []


@pytest.mark.parametrize("seed", range(30))
def test_any_pages_lost_are_torn_or_doubtful_seams_and_lost_leaves_alone_exact_ones(tree: Path, seed: int) -> None:
    chance, pages = random.Random(seed), of_pages(tree)
    leaves = [n for n, (_, found) in pages.items() if not found[0].is_inner]
    gone = set(chance.sample(leaves if seed % 2 else list(pages), chance.randrange(1, 25)))
    found = [one for n, (_, stretch) in pages.items() if n not in gone for one in stretch]
    lost = [key for n in gone for key in pages[n][0]]
    kept = {key for n, (keys, _) in pages.items() if n not in gone for key in keys}
    torn = [seam for seam in seams(found) if seam.torn or seam.doubtful]
    for key in lost:
        assert sum((s.before or (0, 0)) < key < (s.after or (99, 0)) for s in torn) == 1
    if seed % 2:
        for seam in torn:
            if seam.torn:
                assert seam.before is None or seam.before in kept
                assert any((seam.before or (0, 0)) < key < (seam.after or (99, 0)) for key in lost), "nothing made up"


@given(st.lists(st.integers(0, 40), max_size=30))
def test_the_longest_ascending_run_is_as_long_as_plain_dynamic_programming_says(keys: list[int]) -> None:
    longest: list[int] = []
    for index, key in enumerate(keys):
        longest.append(1 + max((longest[i] for i in range(index) if keys[i] < key), default=0))
    found = [keys[i] for i in in_order(keys)]
    assert found == sorted(set(found))
    assert len(found) == max(longest, default=0)


def test_a_key_that_damage_made_up_costs_itself_alone() -> None:
    keys = [(1, 10), (1, 20), (9, 1), (1, 30), None, (1, 50)]
    assert in_order(keys) == [0, 1, 3, 5]
    assert list(stretches(keys, [0, 1, 3, 5], None)) == [
        Stretch((1, 10), (1, 20), open_end=True),
        Stretch((1, 30), (1, 30), open_start=True, open_end=True),
        Stretch((1, 50), (1, 50), open_start=True),
    ]
    assert list(stretches(keys, [0, 1, 3], None)) == [], "half of a page that makes sense may be chance"


@given(st.lists(st.one_of(st.integers(1, 90_000), st.integers(1, 1 << 41)), min_size=1, max_size=200))
def test_the_usual_pause_is_the_exact_median(pauses: list[int]) -> None:
    times = [T0]
    for pause in pauses:
        times.append(times[-1] + pause)
    assert usual_pause_ms(lambda: times) == median_low(pauses)


def test_too_little_for_a_pause() -> None:
    assert usual_pause_ms(list) == usual_pause_ms(lambda: [T0]) == 0


def test_the_usual_pause_of_ten_times_the_readings_takes_no_more_memory() -> None:
    """A ratio of one run: all times of a series were held before, 190 MB a million."""

    def peak(count: int) -> int:
        def times() -> Iterator[int]:
            chance, at = random.Random(4), T0
            for _ in range(count):
                at += chance.randrange(1, 120_000)
                yield at

        tracemalloc.start()
        usual_pause_ms(times)
        found = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return found

    peak(100)
    assert peak(50_000) < 1.2 * peak(5_000)
