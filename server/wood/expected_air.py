"""The air that boards are going to lie in, as far as anybody knows: recorded, expected, and what lies beyond."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from server.wood.air import Floats
from server.wood.air_series import UNKNOWN_AIR_SIGMA_PCT, AirSeries, beside
from server.wood.ensemble import END_OF_80

_DAY_S = 86_400.0
UNKNOWN_AIR_HALF_PCT = END_OF_80 * UNKNOWN_AIR_SIGMA_PCT
_LAST_WEEK_S = 7 * _DAY_S


@dataclass(frozen=True, slots=True)
class Beyond:
    """What air is taken from where no outlook reaches, from ``from_s`` on: the ``season`` by ``heard_days`` of the
    zone's own record, or the mean of those days of the last ``week`` that were heard."""

    basis: Literal["season", "week"]
    from_s: float
    heard_days: int


@dataclass(frozen=True, slots=True)
class ExpectedAir:
    """The middle of what is expected, and the ends of its central 80 % where there are any: the dry one, ``low``, and
    the damp one, ``high``, of the same edges and zones.

    Both ends are airs that keep to their side all along. What is wrong in the same direction for weeks (a season, a
    mean) belongs into them whole; weather that is forgotten within days moves a board less than its width says.
    ``beyond`` names what it is taken from at last, where that is known.
    """

    middle: AirSeries
    low: AirSeries | None = None
    high: AirSeries | None = None
    beyond: Beyond | None = None

    def __post_init__(self) -> None:
        """Raises ValueError where an end has other edges or zones than the middle."""
        for name, end in (("low", self.low), ("high", self.high)):
            if end is not None and (end.zones != self.middle.zones or len(end) != len(self.middle)):
                found = f"{len(end)} steps of {end.zones} zones"
                raise ValueError(f"{name}: found {found}; would be right: {len(self.middle)} of {self.middle.zones}")

    def continued(self, until_s: float, beyond: ExpectedAir | None = None) -> ExpectedAir:
        """This air, then ``beyond`` (a climatology, say), then the mean of its last seven days up to ``until_s``.

        What is only the mean of the last is marked as not known: it strays as :data:`UNKNOWN_AIR_HALF_PCT` says.
        Raises ValueError where ``beyond`` does not begin where this ends.
        """
        if beyond is not None:
            middle, low, high = (a.then(b) for a, b in zip(self._three(), beyond._three(), strict=True))
            return ExpectedAir(middle, low, high, beyond.beyond).continued(until_s)
        middle, low, high = (_held(a, until_s) for a in self._three())
        return ExpectedAir(middle, low, high, self.beyond)

    @property
    def in_doubt(self) -> bool:
        """Whether anything about it is."""
        return self.low is not None or self.high is not None or not self.middle.known.all()

    def sides(self) -> tuple[AirSeries, bool]:
        """Zones of one series: the middle ones, and if anything is in doubt the low ones and the high ones after
        them; and whether it is. Where the air is not known, they lie as far out as such air strays, or farther."""
        if not self.in_doubt:
            return self.middle, False
        middle, low, high = self._three()
        about, strays = middle.emc_pct(), ~middle.known
        dry = low.drawing(np.minimum(about - UNKNOWN_AIR_HALF_PCT - low.emc_pct(), 0.0) * strays)
        damp = high.drawing(np.maximum(about + UNKNOWN_AIR_HALF_PCT - high.emc_pct(), 0.0) * strays)
        return beside(middle, dry, damp), True

    def _three(self) -> tuple[AirSeries, AirSeries, AirSeries]:
        return self.middle, self.low or self.middle, self.high or self.middle


def growing_edges_s(first_s: float, last_s: float, least_s: float) -> Floats:
    """From ``first_s`` to ``last_s`` in steps of ``least_s`` that grow to a day within the first four, and past a month
    to a twenty-fifth of the time gone by. Days swing no longer in steps of a day."""
    edges = [first_s]
    while edges[-1] < last_s:
        gone = edges[-1] - first_s
        step = max(least_s, min(gone / 4.0, _DAY_S), gone / 25.0)
        edges.append(edges[-1] + step if edges[-1] + 1.5 * step < last_s else last_s)
    return np.array(edges)


def _held(air: AirSeries, until_s: float) -> AirSeries:
    end = float(air.edges_s[-1])
    if until_s <= end:
        return air
    week = air.averaged(np.array([max(float(air.edges_s[0]), end - _LAST_WEEK_S), end]))
    unknown = np.zeros(week.known.shape, np.bool_)
    rest = AirSeries(np.array([end, until_s]), week.start_c, week.end_c, week.start_pa, week.end_pa, unknown)
    return air.then(rest)
