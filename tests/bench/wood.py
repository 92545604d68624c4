"""The wood model against SciPy: 500 boards through one noisy 120-day winter, and what a tick and an outlook cost.

The baseline is one call a board over the whole winter, air straight between records, on the product's grid: the cheaper
of LSODA (banded) and BDF (sparse), each at the loosest tolerance whose errors are within 0.02 % (mean) and 0.05 % (any
point, from the first hour on) of LSODA at 1e-9 on 200 cells. That choice is made over the winter's first ten days; five
boards, one thread. Our own errors are the greater of those against that reference, and of the whole winter's against
our own solver on 200 cells in steps of 450 s: means drift for months.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median
from typing import Any

import numpy as np

from server.wood.air_series import AirSeries
from server.wood.boards import Boards
from server.wood.emc import emc_pct
from server.wood.ensemble import Doubts
from server.wood.expected_air import ExpectedAir
from server.wood.moisture import Moisture
from server.wood.outcome import settle_in
from server.wood.transport import BLOCK, advance, follow
from tests.bench.figure import Figure
from tests.bench.processes import CACHE, ROOT
from tests.wood.boards_for_tests import noisy_winter, random_boards, random_values, winter_air
from tests.wood.independent import OneBoard, graded

DAYS, FIRST_DAYS, BOARDS, SOME, RUNS, SEED = 120, 10, 500, 5, 3, 1
MEAN_PCT, POINT_PCT = 0.02, 0.05
TOLERANCES = (3e-3, 1e-3, 3e-4, 1e-4)
PASSES, ARRAYS = 24, 8


def measure() -> list[Figure]:
    """The speed-up, and the error it is had at."""
    problems = [_Problem(i) for i in range(SOME)]
    method, tolerance = _loosest(problems)
    boards, start, air = _winter(BOARDS)
    ratios, mine, theirs = [], [], []
    for _ in range(RUNS):
        ours = _seconds(lambda: advance(boards, start, air))
        one = median(_seconds(lambda p=p: p.run(DAYS, method, tolerance)) for p in problems)
        ratios.append(BOARDS * one / ours)
        mine.append(ours)
        theirs.append(one)
    errors = [p.our_errors() for p in problems] + _errors_all_winter(problems)
    note = f"{median(mine):.2f} s for {BOARDS} boards; {method} at {tolerance:g} {median(theirs):.2f} s a board"
    points = f"greatest at any point {max(e[1] for e in errors):.3f} % MC"
    return [
        Figure("wood_speedup_to_solve_ivp", "1", 80, "at least", tuple(ratios), note),
        Figure("wood_mean_error_pct_mc", "%", MEAN_PCT, "at most", (max(e[0] for e in errors),), points),
    ]


def measure_growth() -> list[Figure]:
    """How cost grows with the number of boards: least squares over four numbers, each run in turn."""
    counts = (500, 1000, 2000, 5000)
    prepared = [(random_boards(n, 2), n) for n in counts]
    air = winter_air(5, SEED)
    slopes, last = [], []
    for _ in range(RUNS):
        times = [_seconds(lambda b=b, n=n: advance(b, Moisture.even(b, 9.0, 17.0), air)) for b, n in prepared]
        slopes.append(float(np.polyfit(np.log(counts), np.log(times), 1)[0]))
        last.append(times[-1] / counts[-1] / len(air))
    note = f"{1e6 * median(last):.2f} µs a board and step among 5,000"
    return [Figure("wood_cost_exponent", "1", 1.05, "at most", tuple(slopes), note)]


def measure_bandwidth() -> list[Figure]:
    """How near the solver is to what one core can move: the bytes a step has to touch, over its time, as a share of the
    bandwidth of a NumPy triad (a = b + s c) whose three arrays are together as large as what the step works on.

    A step has to touch 24 numbers a cell (:data:`PASSES`) if all that can be done at one place is done there at once:
    moisture and widths in, half resistances out (3); those and widths in, pivots and factors out (4); and for each of
    two stages down the rows widths, moisture, factors and pivots in, the right side out (5; 6 where the second begins),
    and back up the right side and factors in and the right side out (3 each). It works on eight (:data:`ARRAYS`):
    moisture before and after, right side, widths in two forms, half resistances, factors, pivots. The triad in NumPy is
    two calls on five arrays. One thread, solver and triad in turn; out of the cache the triad's arrays are 256 MB. The
    goal is ours: no source gives one.
    """
    air, day = winter_air(4, SEED), 48
    prepared = []
    for count in (500, 5000):
        boards = random_boards(count, SEED)
        settled = advance(boards, Moisture.even(boards, 9.0, 17.0), air.between(0, day))
        prepared.append((boards, settled))
    runs: list[tuple[float, ...]] = []
    for _ in range(RUNS):
        run: list[float] = []
        for boards, state in prepared:
            columns = int(np.where(boards.top_film == boards.bottom_film, 1, 2).sum())
            seconds = min(
                _seconds(lambda b=boards, m=state: advance(b, m, air.between(day, 2 * day))) for _ in range(3)
            )
            triad = _triad_bytes_per_s(ARRAYS * 4 * boards.cells * min(columns, BLOCK))
            run += [day * PASSES * 4 * boards.cells * columns / seconds, triad]
        runs.append((*run, _triad_bytes_per_s(2**28)))
    few, cached, many, cached_many, far = (median(column) / 1e9 for column in zip(*runs, strict=True))
    note = (
        f"{few:.1f} of {cached:.0f} GB/s in cache ({far:.0f} out of it); 5,000 boards {many:.1f} of {cached_many:.0f}"
    )
    return [Figure("wood_bandwidth_share_pct", "%", 3, "at least", tuple(100 * r[0] / r[1] for r in runs), note)]


def _triad_bytes_per_s(size: int) -> float:
    a, b, c = (np.full(size // 24, x) for x in (1.0, 2.0, 3.0))

    def triad() -> None:
        for _ in range(times):
            np.multiply(c, 3.0, out=a)
            np.add(a, b, out=a)

    times = max(1, 2**28 // size)
    return float(5 * a.nbytes * times / min(_seconds(triad) for _ in range(5)))


def measure_tick() -> list[Figure]:
    """A minute of 1,000 boards; two weeks of 200, and what becomes of them; the import."""
    boards = random_boards(1000, 3)
    state = advance(boards, Moisture.even(boards, 9.0, 17.0), winter_air(1, SEED))
    minute = AirSeries.of_bins([0.0, 60.0], [17.0], [44.0])
    ticks = [1000 * _seconds(lambda: advance(boards, state, minute)) for _ in range(31)]
    lots = random_boards(200, 4)
    weeks, daily = winter_air(14, SEED), range(0, 14 * 48 + 1, 48)
    expected = ExpectedAir(weeks, weeks.drawing(-0.5), weeks.drawing(0.5))
    outlooks, outcomes = [], []
    for _ in range(RUNS):
        fresh = Moisture.even(lots, 9.0, 17.0)
        outlooks.append(_seconds(lambda m=fresh: follow(lots, m, weeks, daily)))
        unsure = Doubts(start_half_pct=0.5)
        outcomes.append(_seconds(lambda m=fresh, d=unsure: settle_in(lots, m, expected, doubts=d, aim_pct=(6, 9))))
    code = (
        "import time; t = time.perf_counter(); import server.wood.transport, sys; assert 'scipy' not in sys.modules; \
print(time.perf_counter() - t)"
    )
    imports = [float(subprocess.check_output([sys.executable, "-c", code], cwd=ROOT)) for _ in range(RUNS)]
    note = f"{median(outcomes):.2f} s to say when each is settled and good to mill, with its spread"
    return [
        Figure("wood_tick_1000_boards_ms", "ms", 5, "at most", tuple(ticks)),
        Figure("outlook_200_boards_s", "s", 1, "at most", tuple(outlooks), note),
        Figure("wood_import_s", "s", 0.2, "at most", tuple(imports), "NumPy included, no SciPy"),
    ]


def _winter(count: int) -> tuple[Boards, Moisture, AirSeries]:
    boards, air = random_boards(count, SEED), winter_air(DAYS, SEED)
    return boards, Moisture.even(boards, _start_pct(count), air.start_c[0, 0]), air


def _start_pct(count: int) -> Any:
    _, c, h = noisy_winter(1, SEED)
    return float(emc_pct(c[0], h[0] / 100)) + np.random.default_rng(SEED).uniform(-3, 3, count)


class _Problem:
    """One of the winter's boards as SciPy has it, and its reference."""

    def __init__(self, number: int) -> None:
        self.values = {k: v[[number]] for k, v in random_values(BOARDS, SEED).items()}
        self.boards = Boards.of(**self.values)
        self.start = float(_start_pct(BOARDS)[number])
        self.at = np.arange(2, FIRST_DAYS * 48 + 1, 2)
        times, self.c, self.h = noisy_winter(DAYS, SEED)
        self.times = times
        self.fine = graded(float(self.boards.thickness_m[0]), 200, 3e-5)
        self.reference = self._kept(number)

    def run(self, days: int, method: str, tolerance: float, cells: Any = None) -> Any:
        """Profiles at full hours of the first ten days at most."""
        n = days * 48 + 1
        grid = self.boards.widths_m[0] if cells is None else cells
        board = OneBoard(
            grid, specific_gravity=float(self.values["specific_gravity"][0]), times_s=self.times[:n],
            volumetric_shrinkage=float(self.values["volumetric_shrinkage"][0]), temperature_c=self.c[:n],
            films=(2e-8, float(self.boards.bottom_film[0])), humidity_pct=self.h[:n],
        )  # fmt: skip
        at = self.times[self.at]
        return board.run(self.start, float(self.c[0]), at, method=method, rtol=tolerance, atol=10 * tolerance)[0]

    def errors(self, profiles: Any, reference: Any = None) -> tuple[float, float]:
        """Greatest difference of the mean and of any point from the reference."""
        grid, wanted = self.boards.widths_m[0], self.reference if reference is None else reference
        mean = np.abs(profiles @ grid / grid.sum() - wanted @ self.fine / self.fine.sum()).max()
        ours, theirs = (np.cumsum(w) - w / 2 for w in (grid, self.fine))
        points = np.array([np.interp(ours, theirs, profile) for profile in wanted])
        return float(mean), float(np.abs(points - profiles).max())

    def our_errors(self) -> tuple[float, float]:
        """The product's."""
        air = AirSeries.between_records(self.times, self.c, self.h).between(0, FIRST_DAYS * 48)
        _, track = follow(self.boards, Moisture.even(self.boards, self.start, float(self.c[0])), air, list(self.at))
        return self.errors(track.profile_pct[:, 0])

    def _kept(self, number: int) -> Any:
        """LSODA at 1e-9 on 200 cells takes minutes: once a machine."""
        path = CACHE / f"wood-reference-{SEED}-{number}-{self.fine.size}.npy"
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            np.save(path, self.run(FIRST_DAYS, "LSODA", 1e-9, self.fine))
        return np.load(path)


def _errors_all_winter(problems: list[_Problem]) -> list[tuple[float, float]]:
    """The product's against itself on the reference's cells, six times a day."""
    first = problems[0]
    air = AirSeries.between_records(first.times, first.c, first.h)
    values = {k: np.concatenate([p.values[k] for p in problems]) for k in first.values}
    found = []
    for grid, longest_s in (({}, 3600.0), ({"cells": first.fine.size, "face_cell_m": 3e-5}, 450.0)):
        boards = Boards.of(**values, **grid)
        start = Moisture.even(boards, [p.start for p in problems], float(first.c[0]))
        _, track = follow(boards, start, air, range(2, len(air) + 1, 8), longest_step_s=longest_s)
        found.append(track.profile_pct)
    return [p.errors(found[0][:, i], found[1][:, i]) for i, p in enumerate(problems)]


def _loosest(problems: list[_Problem]) -> tuple[str, float]:
    """The cheaper of both methods, each at the loosest tolerance that keeps all five within the errors asked for."""
    good: list[tuple[float, str, float]] = []
    for method in ("LSODA", "BDF"):
        for tolerance in TOLERANCES:
            began = time.process_time()
            found = [p.errors(p.run(FIRST_DAYS, method, tolerance)) for p in problems]
            spent = time.process_time() - began
            if all(mean <= MEAN_PCT and point <= POINT_PCT for mean, point in found):
                good.append((spent, method, tolerance))
                break
    _, method, tolerance = min(good)
    return method, tolerance


def _seconds(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began
