"""What a reading teaches about a lot: its profile, its rate factor, and how sure both are.

Let x be all that is held of a lot (profile, ln rate, ln film) and A the columns of :mod:`server.wood.belief`, so that
P = A Aᵀ. A witness says y = h(x) + noise of variance R. With phi_j = h(x + A_j) - h(x), which for a linear h is Aᵀ
times its gradient, the least-variance estimate is

    S = phiᵀ phi + R,   x⁺ = x + (A phi / S) (y - h(x)),   P⁺ = A (1 - phi phiᵀ / S) Aᵀ.

A⁺ = A (1 - b phi phiᵀ) has that square if 2 b - b² phiᵀ phi = 1 / S, and so, with phiᵀ phi = S - R, if
b = 1 / (S (1 + sqrt(R / S))). (Potter's square root, in Bierman, Factorization Methods for Discrete Sequential
Estimation, 1977; recalled, derived here.) A square cannot turn negative, and 1 - b phi phiᵀ only shrinks, so no row of
readings makes it unstable; what would leave the model's range is held at its end. The rate learns because the columns
bind it to the profile: a board damper than it should be by now is taken for a slower one, in the measure in which that
is what a slower one would be.

Two guards. A reading further than :data:`GATE` standard deviations sqrt(S) from what was expected is not believed, and
the reason said; a second one in a row that stands off alike is, since two agree against us: what is held is then made
less sure until the reading lies within one standard deviation, and is put right by it. A reading that is only a bound
(pins below 7 %) never pulls: where it contradicts what is held, that becomes less sure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from server.wood.belief import Belief, boards_of, deviations, rebuilt, sigma_of, state_of, widened
from server.wood.boards import Boards
from server.wood.carry import caught_up
from server.wood.stock import Stock
from server.wood.witness import GATE, Found, Reason, Witness

ALIKE = 3.0
"""A second reading agrees with the first where the two stand off alike within so many of their own deviations."""


@dataclass(frozen=True, slots=True)
class Told:
    """What became of a reading: ``reason``, what was ``expected`` of it and by how much it stood ``off``, in its own
    unit and in standard deviations (nan of a first weighing); mean with its standard deviation, and rate factor, of the
    lot before and after."""

    reason: Reason
    expected: float
    off: float
    off_sigmas: float
    mean_pct: tuple[float, float]
    mean_sigma_pct: tuple[float, float]
    rate_factor: tuple[float, float]

    @property
    def used(self) -> bool:
        """Whether it moved what is held."""
        return self.reason in {"used", "second-alike"}


def assimilate(stock: Stock, belief: Belief, lot: int, witness: Witness) -> tuple[Belief, Told]:
    """What is held after ``witness`` spoke of the one ``lot``, and what became of its word; of other lots, as before.

    Raises ValueError for a lot that is not there.
    """
    if not 0 <= lot < len(belief):
        raise ValueError(f"lot: found {lot}; would be right: 0 to {len(belief) - 1}")
    part = stock.take([lot])
    one = caught_up(part, belief.take([lot]))
    boards = boards_of(part, one)
    after, reason, off, s = _heard(part, boards, one, witness)
    means = [boards.mean_pct(b.held_pct()[0]) for b in (one, after)]  # a reading changes no thickness
    sigmas = [float(sigma_of(m)) for m in means]
    told = Told(
        reason, witness.value - off, off, off / s, (float(means[0][0]), float(means[1][0])), (sigmas[0], sigmas[1]),
        (float(np.exp(one.ln_rate[0, 0])), float(np.exp(after.ln_rate[0, 0]))),
    )  # fmt: skip
    return belief.put([lot], after), told


def _heard(stock: Stock, boards: Boards, one: Belief, witness: Witness) -> tuple[Belief, Reason, float, float]:
    """After it, why so, by how much it stood off and the standard deviation of that."""
    every, own = witness.expected(boards, one), witness.sigma(boards, one)
    off, s = witness.value - float(every[0]), float(np.hypot(sigma_of(every), own))
    apart = witness.apart(Found(stock, one, off, s))
    if apart is not None:
        return *apart, off, s
    if abs(off) <= GATE * s:
        return _put_right(stock, boards, one, witness), "used", off, s
    per_pct = _per_pct(boards, one, witness)
    apart_pct = abs(off / per_pct - float(one.doubted_pct[0]))
    if apart_pct <= ALIKE * np.sqrt(2.0) * own / abs(per_pct):  # never of nan
        unsure = _believed(stock, boards, one, witness, off)
        return _put_right(stock, boards_of(stock, unsure), unsure, witness), "second-alike", off, s
    return replace(one, doubted_pct=np.array([off / per_pct])), "absurd", off, s


def _put_right(stock: Stock, boards: Boards, one: Belief, witness: Witness) -> Belief:
    every = witness.expected(boards, one)
    phi, r = every[1:] - every[0], witness.sigma(boards, one) ** 2
    s = float(phi @ phi) + r
    columns = deviations(one)
    state = state_of(one) + columns @ phi * ((witness.value - float(every[0])) / s)
    columns -= np.outer(columns @ phi, phi) / (s * (1.0 + np.sqrt(r / s)))
    return replace(rebuilt(stock, one, state, columns), doubted_pct=np.full(1, np.nan))


def _believed(stock: Stock, boards: Boards, one: Belief, witness: Witness, off: float) -> Belief:
    """So much less sure of the whole profile that ``off`` is one standard deviation."""
    every = witness.expected(boards, one)
    s2 = float(sigma_of(every)) ** 2 + witness.sigma(boards, one) ** 2
    return widened(stock, one, 0, np.sqrt(max(off * off - s2, 0.0)) / _per_pct(boards, one, witness))


def _per_pct(boards: Boards, one: Belief, witness: Witness) -> float:
    """By how much more it would say were all of the lot 1 % MC damper, so that a scale's doubts are no meter's."""
    probe = replace(one, moisture=replace(one.moisture, profile_pct=one.moisture.profile_pct + 0.01))
    return float((witness.expected(boards, probe) - witness.expected(boards, one))[0]) / 0.01
