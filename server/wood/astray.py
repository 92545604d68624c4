"""How far off lots may be that may lie otherwise than is written.

One thing may have happened since somebody last saw a lot. One that is written as covered (wrapped, stacked without
stickers, one face down) may have been opened to the air of its zone; one that is written as open may lie in another
zone's air. Up to that moment both are the same, so what they differ by now is what a step of the air does to a mean in
the time gone by (:func:`share_gone`). With M the mean as written, E the mean EMC of its zone, E' of
another, and a and b the shares that it would have gone opened and as written:

    opened:     (E − M) (a − b) / (1 − b)        what was left of the way then, times how much more of it is gone
    elsewhere:  (E' − E) a

That is the shift of a lot that was opened or moved ``since_s`` ago. A lot for which that chance was one in ten by then
has this shift or more with the same chance, as a later change shifts it less: so it is the end of its central 80 %, on
the side to which it points. Where air and wood stay, it only grows, until the lot would have come to rest either way.
An open lot that was wrapped unseen has stayed nearer to what it was; how far, its own past says, and this does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.boards import Boards
from server.wood.grid import share_within
from server.wood.outcome import lag_parts_s

SHELL_LEADS = 3.0
"""At first all that a mean has gone is gone from its shells, which are a third of it; tanh(3 a) is what they have gone,
and from two thirds on a seventh more than that at most (tests/wood/test_astray.py)."""


@dataclass(frozen=True, slots=True)
class Astray:
    """By how much n lots may be off for lying otherwise, % MC, each (n, 2): drier (0 or less) and damper (0 or more).
    ``core_pct`` is at most that of the mean, as a core comes after it."""

    mean_pct: Floats
    shell_pct: Floats
    core_pct: Floats

    @classmethod
    def none(cls, n: int) -> Astray:
        """Of lots that surely lie as is written."""
        nothing = np.zeros((n, 2))
        return cls(nothing, nothing, nothing)

    def one(self, i: int) -> Astray:
        """Of one of them."""
        return Astray(*(getattr(self, name)[i : i + 1] for name in ("mean_pct", "shell_pct", "core_pct")))

    def wider(self, other: Astray) -> Astray:
        """What either of two may have done, whichever goes further."""
        low, high = (
            [side(getattr(self, f.name), getattr(other, f.name)) for f in fields(Astray)]
            for side in (np.minimum, np.maximum)
        )
        return Astray(*(np.stack([a[:, 0], b[:, 1]], axis=1) for a, b in zip(low, high, strict=True)))

    @classmethod
    def joined(cls, parts: Sequence[Astray]) -> Astray:
        """Of several one after the other."""
        names = ("mean_pct", "shell_pct", "core_pct")
        return cls(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))

    def shifts_pct(self, boards: Boards) -> tuple[Floats, Floats]:
        """What it does to the profiles of these boards, drier and damper, each (n, cells): the shells by theirs, what
        lies between them by the rest of the mean's."""
        sixth = share_within(boards.widths_m, 0.0, 1 / 6) + share_within(boards.widths_m, 5 / 6, 1.0)
        outer = sixth / boards.widths_m
        between = 1.5 * (self.mean_pct - self.shell_pct / 3.0)
        return tuple(outer * self.shell_pct[:, side, None] + (1.0 - outer) * between[:, side, None] for side in (0, 1))  # type: ignore[return-value]


def astray(  # noqa: PLR0917
    written: Boards, opened: Boards, profile_pct: Floats, temperature_c: ArrayLike, since_s: ArrayLike,
    emc_pct: ArrayLike, elsewhere_pct: Floats,
) -> Astray:  # fmt: skip
    """Of n boards as they are ``written`` and were they ``opened``, ``since_s`` after they may first have been.

    ``profile_pct`` (n, cells) is what they hold as written, ``emc_pct`` the mean EMC of their zone's air since then,
    ``elsewhere_pct`` (n, 2) the driest and dampest of all zones' where they may lie; equal to ``emc_pct`` for a covered
    lot, which is not moved and opened at once. ``since_s`` of 0 or less is no shift at all.
    """
    emc, since = np.asarray(emc_pct, np.float64), np.maximum(np.asarray(since_s, np.float64), 0.0)
    about = 0.5 * (written.mean_pct(profile_pct) + emc)
    shares = [share_gone(boards, since, about, temperature_c) for boards in (opened, written)]
    ahead = np.tanh(SHELL_LEADS * shares[0]), shares[1]
    parts = (
        (written.mean_pct(profile_pct), *shares), (written.shell_pct(profile_pct), *ahead),
        (written.core_pct(profile_pct), *shares),
    )  # fmt: skip
    return Astray(*(_shift(held, a, b, emc, elsewhere_pct) for held, a, b in parts))


def share_gone(boards: Boards, since_s: Floats, mc_pct: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Which part of a step of its air each board's mean has followed after a time, 0..1; 0 where both faces are sealed.

    A plane sheet without a film goes s = 2 / sqrt pi sqrt(D t) / l at first (Crank, The Mathematics of Diffusion,
    eq. 4.20, recalled), which is t = A s² with A = 3 pi / 4 of its lag inside; a film alone goes 1 - exp(-t / B), B its
    lag. One behind the other they go A s² + B s = t, as their resistances add, and no further than either alone.
    """
    inside, film = lag_parts_s(boards, mc_pct, temperature_c)
    a, b = 0.75 * np.pi * inside, film
    sealed = boards.top_film + boards.bottom_film <= 0
    with np.errstate(invalid="ignore", divide="ignore"):
        both = 2.0 * since_s / (b + np.sqrt(b * b + 4.0 * a * since_s))
        share = np.minimum(both, -np.expm1(-since_s / b))
    return np.where(sealed, 0.0, np.clip(share, 0.0, 1.0))


def _shift(held_pct: Floats, a: Floats, b: Floats, emc_pct: Floats, elsewhere_pct: Floats) -> Floats:
    more = np.divide(a - b, 1.0 - b, out=np.zeros_like(a), where=b < 1.0)
    opened = (emc_pct - held_pct) * more
    elsewhere = (elsewhere_pct - emc_pct[:, None]) * a[:, None]
    both = np.concatenate([opened[:, None], elsewhere], axis=1)
    return np.stack([np.minimum(both.min(axis=1), 0.0), np.maximum(both.max(axis=1), 0.0)], axis=1)
