"""Whatever is told, in whatever order, and whatever air comes late: the course is that of a run from scratch."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from server.bins import BIN_MS
from server.model.air import ShopAir
from server.model.course import Course
from server.model.first_air import _first_lain_ms
from server.model.half_hours import HalfHours
from server.model.woods import Wood, Woods
from server.shop.entries import Entry
from server.shop.journal import NotPossible, facts
from server.shop.lots import Shop, fold
from server.wood.air import saturation_pressure_pa
from tests.unit.model.memory_shelf import MemoryShelf

BEGIN_MS = 1_799_712_000_000  # a midnight of UTC
ZONES = ("bench", "loft", "attic")
SILENT = "attic"
"""Nothing is heard of it before some air comes late."""
DAYS = 4


Air = tuple[float, float]
"""Temperature, °C, and humidity 0..1 of a half hour."""


def heard(bins: dict[int, Air]) -> HalfHours:
    ends = sorted(bins)
    c, rh = (np.array([bins[end][i] for end in ends]) for i in (0, 1))
    return HalfHours(np.array(ends), c, saturation_pressure_pa(c) * rh, np.ones(len(ends)))


def programs(shop: Shop) -> dict[str, Any]:
    return {name: lot.acts for name, lot in shop.lots.items() if lot.acts}


def assert_same(found: Woods, right: Woods) -> None:
    assert set(found.names) == set(right.names)
    for name in right.names:
        mine, wood = found.one(name), right.one(name)
        assert mine.zone == wood.zone
        assert np.abs(mine.belief.held_pct() - wood.belief.held_pct()).max() < 1e-9
        assert np.abs(mine.belief.ln_rate - wood.belief.ln_rate).max() < 1e-9
        assert np.abs(mine.stock.thickness_m - wood.stock.thickness_m).max() < 1e-12


class Life(RuleBasedStateMachine):
    """A shop of a few lots through some days, told in any order."""

    @initialize(seed=st.integers(0, 1000))
    def open(self, seed: int) -> None:
        chance = np.random.default_rng(seed)
        self.bins = {
            zone: {
                BEGIN_MS + (i + 1) * BIN_MS: (18.0, chance.uniform(0.25, 0.6))
                for i in range(48 * DAYS)
                if chance.random() > 0.1
            }
            for zone in ZONES
        }
        self.bins[SILENT] = {}
        self.entries: list[Entry] = []
        self.course, self.shelf = Course.begin(BEGIN_MS), MemoryShelf()

    def keep(self, course: Course) -> None:
        self.shelf.keep(course)
        self.course = course

    def air(self, from_ms: int, to_ms: int) -> ShopAir:
        return ShopAir.of(ZONES, {zone: heard(bins) for zone, bins in self.bins.items()}, from_ms, to_ms)

    @property
    def course_end(self) -> int:
        return BEGIN_MS + DAYS * 48 * BIN_MS

    def tell(self, half_hours: int, **deed: Any) -> None:
        """At the very edge of a half hour, within it, or right before the next one."""
        n = len(self.entries)
        within_ms = (0, 60_000, BIN_MS - 1)[n % 3]
        t_ms = min(BEGIN_MS + half_hours * BIN_MS + within_ms, self.course.at_ms + 900_000)
        entry = Entry(id=f"entry-{n:04}", t_ms=t_ms, recorded_ms=BEGIN_MS + n, deed=deed)
        try:
            shop = fold(facts([*self.entries, entry]))
        except NotPossible:
            return
        self.entries.append(entry)
        self.keep(self.course.retold(programs(shop), self.air, self.shelf))

    @rule(
        when=st.integers(0, 60),
        lot=st.sampled_from("abc"),
        mm=st.sampled_from([12.0, 27.0]),
        zone=st.sampled_from(ZONES),
    )
    def receive(self, when: int, lot: str, mm: float, zone: str) -> None:
        self.tell(
            when, kind="received", lot=lot, name=lot, species="cherry_black", thickness_mm=mm, pieces=4, width_mm=150,
            length_mm=2000, zone=zone, start={"kind": "unknown"}, aim={"dry_limit_pct": 6, "damp_limit_pct": 10},
        )  # fmt: skip

    @rule(
        when=st.integers(0, 190), lot=st.sampled_from("abcd"),
        deed=st.sampled_from([
            {"kind": "milled", "take_top_mm": 1.0, "take_bottom_mm": 0.5}, {"kind": "moved", "zone": "bench"},
            {"kind": "moved", "zone": "attic"},
            {"kind": "moved", "zone": "loft", "lying": "one-face"}, {"kind": "wrapped"}, {"kind": "unwrapped"},
            {"kind": "metered", "reading_pct": 9.0}, {"kind": "metered", "reading_pct": 14.0, "depth_mm": 5.0},
            {"kind": "straightedged", "hollow_mm": 0.4, "hollow_face": "top"},
            {"kind": "straightedged", "hollow_mm": 0.2, "hollow_face": "bottom"},
            {"kind": "metered", "reading_pct": 10.0, "method": "dielectric"},
            {"kind": "weighed", "kg": 1.204}, {"kind": "weighed", "kg": 1.192}, {"kind": "resawn"},
            {"kind": "split", "pieces": 1, "into": "d", "name": "d"}, {"kind": "delivered"}, {"kind": "dead-stacked"},
            {"kind": "joined", "others": ["b"]},
        ]),
    )  # fmt: skip
    def do(self, when: int, lot: str, deed: dict[str, Any]) -> None:
        self.tell(when, lot=lot, **deed)

    @rule(
        when=st.integers(0, 190), panel=st.sampled_from("pq"), first=st.sampled_from("abp"),
        second=st.sampled_from("bcd"), pieces=st.integers(1, 4), zone=st.sampled_from(ZONES),
    )  # fmt: skip
    def glue(self, when: int, panel: str, first: str, second: str, pieces: int, zone: str) -> None:  # noqa: PLR0917
        """Two lots into one panel, all of their pieces or some."""
        boards = [{"lot": first, "pieces": 1 if first == "p" else pieces}, {"lot": second, "pieces": pieces}]
        self.tell(
            when, kind="glued", lot=panel, name=panel, boards=boards, width_mm=150, length_mm=1000, adhesive="pva",
            clamp_h=2, zone=zone, aim={"dry_limit_pct": 6, "damp_limit_pct": 10},
        )  # fmt: skip

    @precondition(lambda self: self.entries)
    @rule(
        when=st.integers(0, 190), panel=st.sampled_from("pq"),
        deed=st.sampled_from([
            {"kind": "milled", "take_top_mm": 1.0, "take_bottom_mm": 0.5}, {"kind": "moved", "zone": "loft"},
            {"kind": "metered", "reading_pct": 9.0}, {"kind": "finished", "cover": "shellac-3", "faces": "one"},
            {"kind": "fitted", "held": "free", "clearance_mm": 2.0}, {"kind": "crated"}, {"kind": "unwrapped"},
            {"kind": "straightedged", "hollow_mm": 0.3, "hollow_face": "top"}, {"kind": "delivered"},
            {"kind": "customer-read", "reading_pct": 8.0},
        ]),
    )  # fmt: skip
    def do_to_a_panel(self, when: int, panel: str, deed: dict[str, Any]) -> None:
        self.tell(when, lot=panel, **deed)

    @precondition(lambda self: self.entries)
    @rule(lot=st.sampled_from("abc"), read=st.floats(6.0, 16.0), back=st.booleans())
    def part_in_the_half_hour_of_a_word(self, lot: str, read: float, back: bool) -> None:
        """Metered, parted, the other part metered, and if need be put together again, or the parting undone."""
        when = 8 + len(self.entries)
        self.tell(when, kind="metered", lot=lot, reading_pct=read)
        self.tell(when, kind="split", lot=lot, pieces=1, into="e", name="e")
        split = self.entries[-1]
        self.tell(when, kind="metered", lot="e", reading_pct=read + 2.0)
        if back:
            self.tell(when, kind="joined", lot=lot, others=["e"])
        elif split.deed.kind == "split":
            self.tell(190, kind="undone", entry=split.id)

    @precondition(lambda self: self.entries)
    @rule(which=st.integers(0, 30))
    def undo(self, which: int) -> None:
        self.tell(190, kind="undone", entry=self.entries[which % len(self.entries)].id)

    @precondition(lambda self: self.entries)
    @rule(which=st.integers(0, 30), earlier=st.integers(0, 100))
    def date_back(self, which: int, earlier: int) -> None:
        entry = self.entries[which % len(self.entries)]
        if entry.deed.kind not in {"undone", "corrected"}:
            at_ms = max(BEGIN_MS, entry.t_ms - earlier * BIN_MS)
            self.tell(190, kind="corrected", entry=entry.id, at_ms=at_ms, becomes=entry.deed.model_dump())

    @rule(half_hours=st.sampled_from([1, 5, 48, 70]))
    def go_on(self, half_hours: int) -> None:
        to_ms = min(self.course.at_ms + half_hours * BIN_MS, self.course_end)
        self.keep(self.course.moved_on(self.air, to_ms))

    @rule()
    def restart(self) -> None:
        """With nothing but the shelf, each lot's state through its bytes."""
        for edge_ms, there in self.shelf.kept.items():
            self.shelf.kept[edge_ms] = {name: Wood.from_bytes(wood.to_bytes()) for name, wood in there.items()}
        self.keep(Course.resumed(self.course.at_ms, self.course.programs, self.air, self.shelf))

    @rule(zone=st.sampled_from(ZONES), which=st.integers(1, 48 * DAYS), rh=st.floats(0.2, 0.7))
    def air_comes_late(self, zone: str, which: int, rh: float) -> None:
        end_ms = BEGIN_MS + which * BIN_MS
        first = end_ms <= min(self.bins[zone], default=end_ms)
        self.bins[zone][end_ms] = (19.0, rh)
        from_ms = _first_lain_ms(self.course, zone, end_ms - BIN_MS) if first else end_ms - BIN_MS
        self.keep(self.course.reaired([zone], min(from_ms, end_ms - BIN_MS), self.air, self.shelf))

    @invariant()
    def it_is_a_run_from_scratch(self) -> None:
        scratch = replace(Course.begin(BEGIN_MS), programs=programs(fold(facts(self.entries))))
        assert_same(self.course.woods, scratch.moved_on(self.air, self.course.at_ms).woods)


Life.TestCase.settings = settings(max_examples=12, stateful_step_count=12, deadline=None, report_multiple_bugs=False)
test_life = Life.TestCase
