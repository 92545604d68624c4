"""Moisture through boards over time: many at once, each as if it were alone.

One dimension, through the thickness; ends and edges are out of scope, and :mod:`server.wood.ends` says how far from
them that holds. A board's result depends on its own state, its own values and its air alone: not on which others are in
the batch, nor on where a row of steps is cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import Boards
from server.wood.columns import Columns, FaceAir, Medium, Stepper
from server.wood.moisture import Moisture

AHEAD = 16384
"""What the air asks of columns is made for so many columns times steps at once."""
BLOCK = 2048
"""Columns stepped together: enough that calls cost little, few enough for the cache (tried 256 to 4096)."""
LONGEST_STEP_S = 3600.0
"""A step of the air that is longer is stepped in equal parts, unless a caller knows that its air is calm."""


@dataclass(frozen=True, slots=True)
class Track:
    """Boards along the way, at ``times_s`` (k): ``profile_pct`` (k, n, cells), ``surface_rh`` (k, n, 2), and the water
    that had come in by the top and the bottom face since the beginning, kg/m², ``gained_kg_m2`` (k, n, 2)."""

    times_s: Floats
    profile_pct: Floats
    surface_rh: Floats
    temperature_c: Floats
    gained_kg_m2: Floats


def advance(
    boards: Boards, moisture: Moisture, air: AirSeries, zone: ArrayLike = 0, *, longest_step_s: float = LONGEST_STEP_S
) -> Moisture:
    """``moisture`` after all of ``air``. ``zone`` says in which of its airs a board lies: one number or n.

    Raises ValueError where state, boards and zones do not fit together.
    """
    after, _ = _go(boards, moisture, air, zone, (), longest_step_s)
    return after


def follow(
    boards: Boards,
    moisture: Moisture,
    air: AirSeries,
    at: Sequence[int] | None = None,
    zone: ArrayLike = 0,
    *,
    longest_step_s: float = LONGEST_STEP_S,
) -> tuple[Moisture, Track]:
    """As :func:`advance`, with what was on the way at the edges ``at`` of ``air`` (0 is the beginning; all if None)."""
    edges = range(len(air) + 1) if at is None else at
    return _go(boards, moisture, air, zone, edges, longest_step_s)


def _go(  # noqa: PLR0917  one caller's arguments, handed on
    boards: Boards, moisture: Moisture, air: AirSeries, zone: ArrayLike, at: Sequence[int], longest_step_s: float
) -> tuple[Moisture, Track]:
    if not longest_step_s > 0:
        raise ValueError(f"longest_step_s: found {longest_step_s:g}; would be right: above 0 s")
    zones = np.broadcast_to(np.asarray(zone, np.intp), len(boards))
    if moisture.profile_pct.shape != boards.widths_m.shape:
        found, right = moisture.profile_pct.shape, boards.widths_m.shape
        raise ValueError(f"moisture: found a state of shape {found}; would be right: {right}, as the boards are")
    if zones.size and not (zones.min() >= 0 and zones.max() < air.zones):
        raise ValueError(f"zone: found {zones.min()} to {zones.max()}; would be right: 0 to {air.zones - 1}")
    for name, edge in (("at", e) for e in at if not 0 <= e <= len(air)):
        raise ValueError(f"{name}: found edge {edge}; would be right: 0 to {len(air)}")
    shape = (len(at), len(boards))
    kept = Track(
        air.edges_s[list(at)],
        np.empty((*shape, boards.cells)),
        np.empty((*shape, 2)),
        np.empty(shape),
        np.empty((*shape, 2)),
    )
    after = Moisture(
        np.empty_like(moisture.profile_pct), np.empty_like(moisture.temperature_c), np.empty_like(moisture.surface_rh),
        moisture.unknown_s + _unknown_s(air)[zones],
    )  # fmt: skip
    parted, edges = air.in_parts(longest_step_s)
    for which, alike in _blocks(boards, moisture):
        block = _Block(boards.take(which), moisture.take(which), zones[which], alike)
        for row in block.through(parted, edges[list(at)].tolist()):
            part = block.state()
            kept.profile_pct[row, which], kept.surface_rh[row, which] = part[0], part[2]
            kept.temperature_c[row, which], kept.gained_kg_m2[row, which] = part[1], block.gained_kg_m2()
        after.profile_pct[which], after.temperature_c[which], after.surface_rh[which] = block.state()
    return after, kept


def _unknown_s(air: AirSeries) -> Floats:
    return np.asarray((np.diff(air.edges_s)[:, None] * ~air.known).sum(axis=0))


def _blocks(boards: Boards, moisture: Moisture) -> Iterator[tuple[NDArray[np.intp], int]]:
    """Numbers of boards that go together, and how many of them, the first, are the same from both sides: those cost
    half."""
    alike = (
        (boards.top_film == boards.bottom_film)
        & (moisture.profile_pct == moisture.profile_pct[:, ::-1]).all(axis=1)
        & (moisture.surface_rh[:, 0] == moisture.surface_rh[:, 1])
    )
    order = np.argsort(~alike, kind="stable")
    columns = np.cumsum(np.where(alike[order], 1, 2))
    for number in range(-(-int(columns[-1:].sum()) // BLOCK)):
        which = order[(columns > number * BLOCK) & (columns <= (number + 1) * BLOCK)]
        yield which, int(alike[which].sum())


class _Block:
    """Boards that are stepped together, the first ``alike`` of them from both sides. Their columns: every board's top
    half, then the bottom halves of those that are not alike."""

    def __init__(self, boards: Boards, moisture: Moisture, zones: NDArray[np.intp], alike: int) -> None:
        self._alike, self._boards = alike, len(boards)
        self._dry = boards.dry_kg_m3
        each = np.concatenate([np.arange(len(boards)), np.arange(alike, len(boards))])
        self._zones = zones[each]
        self._one_zone = int(zones[0]) if (zones == zones[0]).all() else None
        films = np.concatenate([boards.top_film, boards.bottom_film[alike:]])
        d = boards.diffusivity  # taken, not indexed: rows of columns side by side are what calls are quick with
        widths, cubic = boards.halves_m.take(each, axis=1), d.cubic.take(each, axis=1)
        self._stepper = Stepper(
            Medium(
                widths, np.log(0.5 * widths) - cubic[0], cubic, d.activation_cal_mol.take(each, axis=1),
                100.0 * films / self._dry[each], boards.heat_lag_s[each], len(boards) - alike,
            )
        )  # fmt: skip
        half = boards.cells // 2
        tops, bottoms = moisture.profile_pct[:, :half], moisture.profile_pct[alike:, : half - 1 : -1]
        profile = np.concatenate([tops, bottoms]).T
        rh = np.concatenate([moisture.surface_rh[:, 0], moisture.surface_rh[alike:, 1]])
        self._now = Columns.of(np.array(profile, order="C"), moisture.temperature_c[each], rh, np.zeros(each.size))

    def through(self, air: AirSeries, at: Sequence[int]) -> Iterator[int]:
        """Step through ``air``; at each edge of ``at`` give its place in ``at``."""
        rows: dict[int, list[int]] = {}
        for row, edge in enumerate(at):
            rows.setdefault(edge, []).append(row)
        yield from rows.get(0, ())
        ahead = max(1, AHEAD // self._zones.size)
        for first in range(0, len(air), ahead):
            face = self._at_faces(air.between(first, min(first + ahead, len(air))))
            drawn = self._stepper.drawn(self._now.temperature_c, face)
            for k in range(len(face.seconds)):
                self._now = self._stepper.step(self._now, face, drawn, k)
                yield from rows.get(first + k + 1, ())

    def _at_faces(self, air: AirSeries) -> FaceAir:
        zones = self._zones if self._one_zone is None else [self._one_zone]
        return FaceAir(
            np.diff(air.edges_s)[:, None], air.start_c.take(zones, axis=1), air.end_c.take(zones, axis=1),
            air.start_pa.take(zones, axis=1), air.end_pa.take(zones, axis=1),
        )  # fmt: skip

    def state(self) -> tuple[Floats, Floats, Floats]:
        """Profiles (n, cells), temperatures (n,), humidity at the faces (n, 2)."""
        tops, bottoms = self._faces(self._now.moisture)
        rh = self._faces(self._now.surface_rh)
        profile = np.concatenate([tops, bottoms[::-1]]).T
        return profile, self._now.temperature_c[: self._boards], np.stack(rh, axis=1)

    def gained_kg_m2(self) -> Floats:
        """Water that came in by each face since the beginning, (n, 2)."""
        faces = np.stack(self._faces(self._now.gained), axis=1)
        return np.asarray(faces * self._dry[:, None] / 100.0)

    def _faces(self, values: Floats) -> tuple[Floats, Floats]:
        """Of every board, at the columns from its top and from its bottom."""
        alike, n = self._alike, self._boards
        return values[..., :n], np.concatenate([values[..., :alike], values[..., n:]], axis=-1)
