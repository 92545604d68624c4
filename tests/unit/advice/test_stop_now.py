"""Stop now: what lying open does to a lot is what the bench book says, a wrap does less, and few lots are harmed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from server.advice.asking import advise, ask_one, verdicts
from server.advice.base import Line, LotView
from server.advice.stop_now import StopNow
from server.book.base import ask
from server.book.catalog import QUESTIONS as BOOK
from server.wood.believed import settle_believed
from server.wood.expected_air import ExpectedAir
from server.words import Sentence, Words, render
from tests.unit.advice.lots_for_tests import MILLED, laid, seen

WORDS = Words("en", strict=True)
WAYS = ("stickered", "wrapped", "one-face", "dead-stacked")
DRY: dict[str, Any] = {"start": {"kind": "metered", "mc_pct": 8.0}, "thickness_mm": 23}


def stop(view: LotView, **given: Any) -> Line:
    line = ask_one(view, "stop-now", given)
    assert line is not None
    return line


def ways(line: Line) -> dict[str, dict[str, float]]:
    return {row["lying"]: row for row in line.figures["ways"]}


def text(line: Line) -> str:
    return " ".join(str(render(s, WORDS)["text"]) for s in line.said)


def test_a_day_on_the_bench_is_what_the_bench_book_says() -> None:
    """20 mm flatsawn cherry from 8 % into 21 °C / 30 % RH beside ``book cup``: within 0.01 mm after a day."""
    received = {**DRY, "thickness_mm": 20, "lying": "one-face"}
    figures = stop(seen(days=1 / 24, received=received), away_hours=23).figures
    board = {"species": "cherry_black", "thickness_mm": 20, "from_pct": 8.0, "width_mm": 150, "faces": "one"}
    book = ask(BOOK["cup"], {**board, "temperature_c": 21.0, "humidity_pct": 30.0, "days": 1}).figures
    assert figures["cup_mm"] == pytest.approx(book["series"][1]["cup_mm"], abs=0.01)
    assert figures["cup_mm"] == pytest.approx(0.25, abs=0.05), "wood-model.md, section 6"


@pytest.mark.parametrize(
    ("deeds", "rh", "width", "verdict"),
    [
        ((MILLED, laid("one-face")), 15, 150, ("act", "Wrap it today")),
        ((MILLED, laid("one-face")), 30, 180, ("act", "Sticker it today")),
        ((MILLED, laid("one-face")), 30, 150, ("look", "Rather on stickers")),
        ((MILLED, laid("dead-stacked")), 15, 150, ("look", "Rather wrapped")),
        ((MILLED, laid("wrapped")), 15, 150, (None, "")),
        ((MILLED,), 15, 250, (None, "")),
        ((laid("one-face"),), 15, 250, ("look", "Rather on stickers")),
        ((), 15, 250, (None, "")),
        ((MILLED, laid("one-face")), 45, 80, (None, "")),
    ],
)
def test_it_acts_only_where_milled_faces_go_out_overnight_and_a_deed_prevents_it(
    deeds: tuple[Any, ...], rh: float, width: float, verdict: tuple[str | None, str]
) -> None:
    view = seen(*deeds, days=1 / 12, air=lambda _: (21.0, rh), received={**DRY, "width_mm": width})
    line = stop(view)
    title = "" if line.title is None else str(render(line.title, WORDS)["text"])
    assert (line.word, title) == verdict, text(line)
    assert len(title) <= 24
    if line.word == "act":
        assert advise(view).word == "act"


def test_stickered_even_stock_only_moves_slowly() -> None:
    """Limit: equal faces do not cup, however long and however dry."""
    line = stop(seen(MILLED, days=1 / 12, air=lambda _: (21.0, 10.0), received=DRY), away_hours=2400)
    figures = line.figures
    assert abs(figures["cup_mm"]) < 1e-6
    assert figures["move_mm_high"] < 0, "it shrinks"
    assert figures["open_hours"] is None
    assert line.word is None
    assert "It may lie so this whole season." in text(line)


def test_a_longer_pause_does_more_and_a_wrap_less() -> None:
    view = seen(MILLED, laid("one-face"), days=1 / 12, received={**DRY, "width_mm": 250})
    night, week, month = (stop(view, away_hours=h) for h in (16, 168, 720))
    cups = [abs(line.figures["cup_mm"]) for line in (night, week, month)]
    assert cups == sorted(cups)
    for line in (night, week, month):
        wrapped, bench, stickered = (ways(line)[way] for way in ("wrapped", "one-face", "stickered"))
        assert abs(wrapped["cup_mm"]) < abs(bench["cup_mm"])
        assert abs(wrapped["move_mm"]) < abs(stickered["move_mm"])
        assert wrapped["apart_pct"] < stickered["apart_pct"]
    assert night.figures["cup_mm"] > 0, "the open top dries and goes hollow"
    assert night.figures["advice"] != "leave"


def test_open_hours_are_when_the_cup_passes_the_tolerance() -> None:
    view = seen(MILLED, laid("one-face"), days=1 / 12, received={**DRY, "width_mm": 250})
    hours = [stop(view, tolerance_mm=mm).figures["open_hours"] for mm in (0.3, 0.5)]
    assert hours[0] < hours[1]
    for mm, found in zip((0.3, 0.5), hours, strict=True):
        assert stop(view, away_hours=found).figures["cup_mm"] == pytest.approx(mm, abs=0.005)
    past = stop(view, tolerance_mm=0.05)
    assert (past.figures["open_hours"], past.word) == (0.0, "act"), "it gets as much worse again by the morning"
    assert "out of flat already" in text(past)
    assert stop(view, tolerance_mm=0.05, away_hours=0.5).word == "look", "in half an hour it does not"


def test_every_figure_lies_within_its_spread() -> None:
    figures = stop(seen(MILLED, laid("one-face"), days=1 / 12, received=DRY)).figures
    for row in (figures, *figures["ways"]):
        for key in [k for k in row if f"{k}_low" in row and row[k] is not None]:
            high = row[f"{key}_high"]
            assert row[f"{key}_low"] <= row[key], key
            assert high is None or row[key] <= high, key


def test_of_a_dead_stack_only_the_outermost_stands_open() -> None:
    line = stop(seen(MILLED, laid("dead-stacked"), days=1 / 12, received=DRY))
    each = ways(line)
    assert each["as-it-lies"]["cup_mm"] == each["one-face"]["cup_mm"]
    assert abs(each["dead-stacked-inner"]["move_mm"]) < 1e-6
    assert "one on another its outermost piece is" in text(line)


def test_a_finish_holds_back_what_a_bare_face_lets_go() -> None:
    finished = (1 / 24, {"kind": "finished", "lot": "b-1", "cover": "polyurethane-lacquer"})
    bare, coated = (
        ways(stop(seen(MILLED, *more, days=1 / 12, received=DRY)))["one-face"] for more in ((), (finished,))
    )
    assert abs(coated["cup_mm"]) < 0.3 * abs(bare["cup_mm"])


def test_what_it_rests_on_and_is_held_to() -> None:
    line = stop(seen(MILLED, laid("one-face"), days=1 / 12, received=DRY))
    assert line.entries == ("entry-001", "entry-002")
    assert line.limit is not None
    assert line.limit.figures == {"tolerance_mm": 0.3, "apart_limit_pct": 1.0}
    assert line.limit.source == "Common practice, no source."
    assert line.caution is not None
    assert ask_one(seen(days=1, received={"species": None, "sheet": "particleboard"}), "stop-now", {}) is None


def test_what_says_how_it_lies_is_named_and_nothing_older() -> None:
    wrapped, moved = laid("wrapped"), (0.06, {"kind": "moved", "lot": "b-1", "zone": "bench", "lying": "one-face"})
    assert stop(seen(MILLED, wrapped, moved, days=1 / 12, received=DRY)).entries == ("entry-001", "entry-003")
    assert stop(seen(days=1 / 12, received=DRY)).entries == ("entry-000",)


def _any_lot(chance: np.random.Generator, air: ExpectedAir | None) -> LotView:
    """Of a random life of an hour, in one of three airs; the air of the next is to be that of the others."""
    deeds = [MILLED] * int(chance.random() < 0.6) + [laid(str(chance.choice(WAYS)))] * int(chance.random() < 0.7)
    if chance.random() < 0.3:
        deeds.append((0.055, {"kind": "finished", "lot": "b-1", "cover": "polyurethane-lacquer", "faces": "one"}))
    rh = float(chance.choice([10, 30, 60]))
    received = {
        "start": {"kind": "metered", "mc_pct": chance.uniform(5, 13)}, "thickness_mm": chance.uniform(10, 60),
        "width_mm": chance.uniform(40, 400),
    }  # fmt: skip
    view = seen(*deeds, days=1 / 12, air=lambda _: (21.0, rh), received=received)
    if air is None or view.held is None:
        return view
    aim_pct = view.aim.dry_limit_pct, view.aim.damp_limit_pct
    found = settle_believed(view.held.wood.stock, view.held.wood.belief, air, aim_pct=aim_pct)
    return replace(view, held=replace(view.held, air=air, outcome=found))


def test_what_it_decides_of_many_at_once_is_what_it_says_of_each() -> None:
    """Also of those of which it is not asked, as it could decide nothing: eighteen lots, those of one air together."""
    chance, every = np.random.default_rng(11), []
    for _ in range(3):
        first = _any_lot(chance, None)
        every += [first, *(_any_lot(chance, first.held and first.held.air) for _ in range(5))]
    lines = [stop(view) for view in every]
    found = StopNow().decisions(every)
    for line, decision in zip(lines, found, strict=True):
        assert (line.word is None) == (decision is None)
        assert decision is None or _rounded(*decision) == _rounded(line.word, line.title, line.said[0])
    assert {line.word for line in lines} == {None, "look", "act"}
    for view, verdict in zip(every[::6], verdicts(every)[::6], strict=True):
        whole = advise(view)
        assert _rounded(whole.word, whole.title, whole.why) == _rounded(verdict.word, verdict.title, verdict.why)


def _rounded(word: str | None, title: Sentence | None, said: Sentence) -> tuple[object, ...]:
    """To 1e-9: sums of another batch are added up otherwise."""

    def one(sentence: Sentence | None) -> object:
        values = {} if sentence is None else sentence.values
        return sentence and sentence.key, {k: round(v, 9) if isinstance(v, float) else v for k, v in values.items()}

    return word, one(title), one(said)
