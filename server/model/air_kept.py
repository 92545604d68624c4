"""Half hours that were read from the record before, kept in memory: a correction of a quarter ago asks for thousands
of each zone, and nearly all of them are what they were the last time.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from server.bins import BIN_MS
from server.model.air import LEAST_COVERED, ShopAir
from server.model.half_hours import HalfHours
from server.model.recorded import last_week, zone_half_hours
from server.stores.port import History

KEPT_MS = 100 * 86_400_000
"""A quarter and some days: of a zone that is 150 kB."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """Of one zone all that is known of the half hours between two edges, and those before that fill its beginning;
    ``other`` are the edges at which half hours begin that have become others since."""

    from_ms: int
    to_ms: int
    heard: HalfHours
    other: frozenset[int] = frozenset()


@dataclass(slots=True)
class KeptAir:
    """The air as :func:`server.model.recorded.recorded_air` has it. Whoever hears that a zone's air has become another
    says so by :meth:`forget`. One caller at a time asks what lies :meth:`between`, any number for a :meth:`week`."""

    kept_ms: int = KEPT_MS
    _zones: dict[str, _Kept] = field(default_factory=dict)
    _other: deque[tuple[str, int, int]] = field(default_factory=deque)
    _weeks: dict[str, ShopAir] = field(default_factory=dict)
    _told: Counter[str] = field(default_factory=Counter)

    def forget(self, zone: str, from_ms: int, to_ms: int) -> None:
        """The zone's air is another one between those edges. From any thread, once the record has it."""
        self._other.append((zone, from_ms, to_ms))
        self._told[zone] += 1
        self._weeks.pop(zone, None)

    def week(self, history: History, zone: str, until_ms: int) -> ShopAir:
        """The last week of a zone's half hours, read once a half hour; nobody changes it. From any thread. Raises
        StoreError."""
        kept, told = self._weeks.get(zone), self._told[zone]
        if kept is None or kept.to_ms != until_ms:
            kept = last_week(history, zone, until_ms)
            if self._told[zone] == told:  # else what was read may be what it was before
                self._weeks[zone] = kept
        return kept

    def between(self, history: History, zones: Sequence[str], from_ms: int, to_ms: int) -> ShopAir:
        """See there. What is not known is read. Raises StoreError, and ValueError where the ends are no half hours."""
        while self._other:
            self._forget(*self._other.popleft())
        heard = {zone: self._heard(history, zone, from_ms, to_ms) for zone in zones}
        return ShopAir.of(zones, heard, from_ms, to_ms)

    def _forget(self, zone: str, from_ms: int, to_ms: int) -> None:
        kept = self._zones.get(zone)
        if kept is None or from_ms >= kept.to_ms:
            return
        if from_ms < kept.from_ms:  # it may be what fills the beginning
            del self._zones[zone]
        elif to_ms < kept.to_ms:
            self._zones[zone] = replace(kept, other=kept.other.union(range(from_ms, to_ms, BIN_MS)))
        else:
            heard = _some(kept.heard, kept.heard.ends_ms <= from_ms)
            self._zones[zone] = _Kept(kept.from_ms, from_ms, heard, frozenset(e for e in kept.other if e < from_ms))

    def _heard(self, history: History, zone: str, from_ms: int, to_ms: int) -> HalfHours:
        kept = self._zones.get(zone)
        if kept is None or from_ms > kept.to_ms or to_ms < kept.from_ms:
            kept = _Kept(from_ms, to_ms, zone_half_hours(history, zone, from_ms, to_ms))
        for begin_ms, end_ms in _spans(kept.other):
            kept = _put_right(kept, zone_half_hours(history, zone, begin_ms, end_ms), begin_ms, end_ms)
        if from_ms < kept.from_ms:
            before = zone_half_hours(history, zone, from_ms, kept.from_ms)
            inside = _some(kept.heard, kept.heard.ends_ms > kept.from_ms)
            kept = _Kept(from_ms, kept.to_ms, _joined(before, inside))
        if to_ms > kept.to_ms:
            after = zone_half_hours(history, zone, kept.to_ms, to_ms)
            kept = _Kept(kept.from_ms, to_ms, _joined(kept.heard, _some(after, after.ends_ms > kept.to_ms)))
        self._zones[zone] = _shortened(kept, self.kept_ms)
        return kept.heard


def _spans(edges: frozenset[int]) -> Iterator[tuple[int, int]]:
    """Half hours that follow each other, from the first one's beginning to the last one's end."""
    edge = np.sort(np.fromiter(edges, np.int64, len(edges)))
    for part in np.split(edge, np.flatnonzero(np.diff(edge) > BIN_MS) + 1) if edge.size else ():
        yield int(part[0]), int(part[-1]) + BIN_MS


def _put_right(kept: _Kept, heard: HalfHours, begin_ms: int, end_ms: int) -> _Kept:
    """With what was ``heard`` between two edges in place of what was known there."""
    ends = kept.heard.ends_ms
    inside = _some(heard, heard.ends_ms > begin_ms)
    parts = _some(kept.heard, ends <= begin_ms), inside, _some(kept.heard, ends > end_ms)
    return replace(kept, heard=_joined(*parts), other=frozenset(e for e in kept.other if not begin_ms <= e < end_ms))


def _shortened(kept: _Kept, kept_ms: int) -> _Kept:
    """Without what is too long ago, but for the last that fills a beginning."""
    from_ms = max(kept.from_ms, kept.to_ms - kept_ms)
    before = kept.heard.ends_ms <= from_ms
    fills = np.flatnonzero(before & (kept.heard.covered >= LEAST_COVERED))[-1:]
    return _Kept(from_ms, kept.to_ms, _some(kept.heard, ~before | np.isin(np.arange(before.size), fills)))


def _some(heard: HalfHours, which: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> HalfHours:
    if which.all():
        return heard
    return HalfHours(heard.ends_ms[which], heard.temperature_c[which], heard.pressure_pa[which], heard.covered[which])


def _joined(*parts: HalfHours) -> HalfHours:
    return HalfHours(
        np.concatenate([p.ends_ms for p in parts]), np.concatenate([p.temperature_c for p in parts]),
        np.concatenate([p.pressure_pa for p in parts]), np.concatenate([p.covered for p in parts]),
    )  # fmt: skip
