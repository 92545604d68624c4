"""What a damaged record has lost, by series and time: spans [from_ms, to_ms] between two readings that are there.

Three witnesses. How the pages fit together (:mod:`server.stores.torn`) is exact, and needs no guess at how often a
sensor speaks. Where that leaves a doubt, a pause longer than the series usually makes counts as lost. And the hours
that came through say how many good readings each of them had.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from itertools import chain, pairwise
from statistics import median_high

from server.stores.rollups import HOUR_MS
from server.stores.torn import Key, Seam, Stretch, seams

LONG = 3
"""So many times the usual pause between two readings of a series is a gap."""
Span = tuple[int, int]
_FEW = 20
_FINE_BITS = 12
_TIMES = "SELECT t_ms FROM reading WHERE series = ? ORDER BY t_ms"
_FEWER = """
SELECT told.series, told.start_ms FROM temp.told_hour AS told
LEFT JOIN hour ON hour.series = told.series AND hour.start_ms = told.start_ms
WHERE told.count > coalesce(hour.count, 0) ORDER BY 1, 2
"""


def remember_hours(new: sqlite3.Connection) -> None:
    """Keep the hours that were salvaged, before they are made again from the readings that were."""
    new.execute(
        "CREATE TEMP TABLE told_hour (series INTEGER, start_ms INTEGER, count INTEGER, PRIMARY KEY (series, start_ms))"
        " WITHOUT ROWID"
    )
    new.execute("INSERT INTO temp.told_hour SELECT series, start_ms, count FROM hour")


def usual_pause_ms(times: Callable[[], Iterable[int]]) -> int:
    """The (lower) median of the pauses between these times, exact; 0 of less than two. ``times`` is asked several
    times over and must give the same ascending ms each time: what is held is 4,096 counts, however long it is."""
    wide = _counts(times(), lambda pause: pause.bit_length(), 64)
    rank = (sum(wide) - 1) // 2
    if rank < 0:
        return 0
    bits, rank = _ranked(wide, rank)
    low, shift = (1 << bits - 1 if bits else 0), max(0, bits - 1)
    while shift:
        shift = max(0, shift - _FINE_BITS)
        fine = _counts(times(), lambda pause, low=low, shift=shift: (pause - low) >> shift, 1 << _FINE_BITS)  # type: ignore[misc]
        place, rank = _ranked(fine, rank)
        low += place << shift
    return low


def _counts(times: Iterable[int], place: Callable[[int], int], size: int) -> list[int]:
    counts = [0] * size
    for before, after in pairwise(times):
        at = place(after - before)
        if 0 <= at < size:
            counts[at] += 1
    return counts


def _ranked(counts: list[int], rank: int) -> tuple[int, int]:
    """In which place that rank lies, and its rank among those there."""
    for place, count in enumerate(counts):
        if rank < count:
            return place, rank
        rank -= count
    raise AssertionError("a rank beyond all counts")  # the times changed while they were asked


class Gaps:
    """Of a salvaged record whose hours are made again, and were kept by :func:`remember_hours` before that.
    ``raw_from``: by series, from when on raw readings were kept on purpose. ``hours_whole``: all hours came through, so
    where they show no loss there is none of good readings."""

    def __init__(self, new: sqlite3.Connection, raw_from: dict[int, int], *, hours_whole: bool) -> None:
        self._new, self._hours_whole = new, hours_whole
        self._names: dict[int, str] = dict(new.execute("SELECT id, name FROM series").fetchall())
        self._raw_from = raw_from
        self._with_hours = {series for (series,) in new.execute("SELECT DISTINCT series FROM temp.told_hour")}
        self._fewer: dict[int, list[int]] = {}
        for series, start_ms in new.execute(_FEWER):
            if start_ms >= self._raw_from.get(series, 0):
                self._fewer.setdefault(series, []).append(start_ms)
        self._oldest, self._newest = self._labels()
        self._short: set[int] = set()
        self._usual = {series: self._usual_pause_ms(series) for series in self._names}
        self._any_usual = median_high([p for p in self._usual.values() if p] or [0])
        self._spans: dict[int, list[Span]] = {}

    def find(self, readings: list[Stretch], hours: list[Stretch]) -> dict[str, list[Span]]:
        """Spans by the name of their series; of pruned times those whose hours are gone. Sorts both lists."""
        for seam in seams(readings):
            self._judge(seam)
        for series, starts in self._fewer.items():
            for start_ms in starts:
                self._name_unnamed_hour(series, start_ms)
        for seam in seams(hours):
            self._judge_hours(seam)
        return {
            self._names[series]: list(_merged(spans))
            for series, spans in sorted(self._spans.items())
            if series in self._names and spans
        }

    def _labels(self) -> Span:
        """The oldest and the newest time that anything in the record speaks of."""
        ends = []
        for table, column in (("reading", "t_ms"), ("temp.told_hour", "start_ms")):
            for series in self._names:
                # one question an end: together they would walk through all of it
                for end in ("min", "max"):
                    question = f"SELECT {end}({column}) FROM {table} WHERE series = ?"  # noqa: S608  our own names
                    ends += [t for (t,) in self._new.execute(question, (series,)) if t is not None]
        return min(ends, default=0), max(ends, default=0)

    def _judge(self, seam: Seam) -> None:
        before, after = seam.before, seam.after
        if before and after and before[0] == after[0]:
            long = after[1] - before[1] > LONG * self._usual_of(after[0])
            if seam.torn or (seam.doubtful and long):
                self._name_pauses(before[0], before[1], after[1])
        elif seam.torn or seam.doubtful:
            self._judge_ends(before, after)

    def _judge_ends(self, before: Key | None, after: Key | None) -> None:
        """Between two series: the end of one, all of those between, and the beginning of the other."""
        if before:
            # the other series have lost their last ones as well, perhaps: the next would have been due then
            self._name_if(before[0], before[1], self._newest + self._usual_of(before[0]))
        if after:
            self._name_if(after[0], self._oldest, after[1])
        low, high = before[0] if before else 0, after[0] if after else 1 << 62
        for series in self._names:
            if low < series < high:
                self._name_if(series, self._oldest, self._newest)

    def _name_if(self, series: int, from_ms: int, to_ms: int) -> None:
        """What may be lost at an end: as far as the hours tell, or else as far as any label in the record goes."""
        told = [h for h in self._fewer.get(series, []) if h + HOUR_MS > from_ms and h <= to_ms]
        if self._hours_whole and series in self._with_hours:
            if not told:
                return
            from_ms, to_ms = max(from_ms, told[0]), min(to_ms, told[-1] + HOUR_MS)
        if to_ms - from_ms > LONG * self._usual_of(series) or told:
            self._name_pauses(series, from_ms, to_ms)

    def _name_pauses(self, series: int, from_ms: int, to_ms: int) -> None:
        """The whole of it, or what is left of it around readings that were found on a page that is mostly lost."""
        from_ms = max(from_ms, self._raw_from.get(series, 0))
        if from_ms >= to_ms:
            return
        inside = self._new.execute(
            "SELECT t_ms FROM reading WHERE series = ? AND t_ms > ? AND t_ms < ? ORDER BY t_ms",
            (series, from_ms, to_ms),
        )
        pauses = pairwise(chain([from_ms], (t_ms for (t_ms,) in inside), [to_ms]))
        longest, long = (0, 0), LONG * self._usual_of(series)
        named = self._spans.setdefault(series, [])
        count = len(named)
        for a, b in pauses:
            longest = max(longest, (a, b), key=lambda span: span[1] - span[0])
            if b - a > long:
                named.append((a, b))
        if len(named) == count:
            named.append(longest)

    def _name_unnamed_hour(self, series: int, start_ms: int) -> None:
        end_ms = start_ms + HOUR_MS
        spans = self._spans.setdefault(series, [])
        if any(a < end_ms and b > start_ms for a, b in spans):
            return
        if spans and spans[-1][1] == start_ms:
            spans[-1] = (spans[-1][0], end_ms)
        else:
            spans.append((start_ms, end_ms))

    def _judge_hours(self, seam: Seam) -> None:
        """Hours whose readings were pruned are all there was of them."""
        if not seam.torn or seam.after is None:
            return
        series, to_ms = seam.after
        closed = self._new.execute("SELECT raw_from_ms FROM thinned WHERE series = ?", (series,)).fetchone()
        same = seam.before is not None and seam.before[0] == series
        from_ms = seam.before[1] + HOUR_MS if seam.before and same else self._oldest
        if closed and from_ms < (to_ms := min(to_ms, closed[0])):
            self._spans.setdefault(series, []).append((from_ms, to_ms))

    def _usual_of(self, series: int) -> int:
        """Of a series of which little is left the pauses may be what was lost: then no more than the others make."""
        own = self._usual.get(series, 0)
        return own if own and series not in self._short else min(own or self._any_usual, self._any_usual)

    def _usual_pause_ms(self, series: int) -> int:
        ask = self._new.execute
        (count,) = ask(f"SELECT count(*) FROM ({_TIMES} LIMIT {_FEW})", (series,)).fetchone()  # noqa: S608  a number
        if count < _FEW:
            self._short.add(series)
        return usual_pause_ms(lambda: (t_ms for (t_ms,) in ask(_TIMES, (series,))))


def _merged(spans: list[Span]) -> Iterator[Span]:
    """In order, those that overlap as one."""
    held: Span | None = None
    for span in sorted(spans):
        if held is not None and span[0] < held[1]:
            held = (held[0], max(held[1], span[1]))
            continue
        if held is not None:
            yield held
        held = span
    if held is not None:
        yield held
