"""Resistances of finishes, fitted to their moisture-excluding effectiveness by simulating the test it was measured in.

The test (tests/data/reference/moisture_excluding_test.csv): ponderosa pine at rest in 30 % RH goes into 90 % at 27 °C;
after 1, 7 and 14 days a finish's effectiveness is 1 - its gain / the bare specimen's gain. Both gains are the solver's.
A specimen coated all round takes water by all its faces, so it is stepped as a board of twice its volume over its
surface: exact where the coat holds back nearly everything, and within 3 % of effectiveness elsewhere (a closed solution
of the whole specimen, tests/wood/test_cover_fit.py).

A finish has one resistance here, that of the least squares over the days that are published. A real one has none: its
film holds back less the damper it is. Each day by itself, in wood that conducts as the formula says or 1.6 times less
or more (the central 80 %, see server/wood/diffusivity.py), gives its own; the least and the greatest of them are the
spread; a thicker or thinner coat than the laboratory's is not in it. Where one day alone is published the spread is as
wide as it is at the middle for finishes with all three.

``python -m tests.wood.fit_covers`` writes the columns of server/wood/covers.csv again; tests/wood/test_cover_fit.py
finds the same.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from statistics import median
from typing import NamedTuple

import numpy as np

from server.wood import species
from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import Boards, film_through
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import emc_pct
from server.wood.ensemble import END_OF_80
from server.wood.moisture import Moisture
from server.wood.outcome import DAY_S
from server.wood.settle import growing_edges
from server.wood.transport import follow

ROOT = Path(__file__).parents[2]
TABLE = ROOT / "server" / "wood" / "covers.csv"
TEST = ROOT / "tests" / "data" / "reference" / "moisture_excluding_test.csv"
DAYS = (1, 7, 14)
INCH_M = 0.0254
ROUNDED_PCT = 0.5
"""Half of the last digit that is printed."""
LN_R = np.linspace(np.log(1e6), np.log(1e13), 321)
FINE = np.linspace(LN_R[0], LN_R[-1], 32_001)
RATES = tuple(float(np.exp(k * END_OF_80 * LN_RATE_SIGMA)) for k in (-1, 0, 1))

Shares = tuple[float | None, float | None, float | None]


class Fit(NamedTuple):
    """A resistance, m² s Pa/kg, its spread, and by how much its effectiveness is above the published one, %, per day
    (None for a day that is not published)."""

    resistance: float
    low: float
    high: float
    misfit_pct: Shares


def definition() -> dict[str, str]:
    """The test as it was read, by topic."""
    with TEST.open(newline="", encoding="utf-8") as lines:
        return {row["topic"]: row["value"] for row in csv.DictReader(lines)}


def specimen_m() -> float:
    """The board's thickness that has the specimen's volume over surface."""
    d = definition()
    a, b, c = (float(d[f"{side}_in"]) * INCH_M for side in ("thickness", "width", "length"))
    return a * b * c / (a * b + b * c + a * c)


@cache
def effectiveness_pct(rate_factor: float = 1.0) -> Floats:
    """(3, fine resistances): of each at 1, 7 and 14 days, %."""
    d = definition()
    pine = species.find(d["species"])
    celsius = (float(d["temperature_f"]) - 32.0) / 1.8
    films = film_through(np.concatenate([[0.0], np.exp(LN_R)]))
    boards = Boards.of(
        thickness_m=specimen_m(), specific_gravity=pine.gravity(), volumetric_shrinkage=pine.volumetric_shrinkage(),
        rate_factor=rate_factor, top_film=films, bottom_film=films, cells=56, face_cell_m=5e-5,
    )  # fmt: skip
    start = float(emc_pct(celsius, float(d["start_rh_pct"]) / 100))
    edges = growing_edges(DAYS[-1])
    edges = edges[edges <= DAYS[-1] * DAY_S]
    at = [int(np.searchsorted(edges, day * DAY_S)) for day in DAYS]
    air = AirSeries.constant(edges, celsius, float(d["exposed_rh_pct"]))
    _, track = follow(boards, Moisture.even(boards, start, celsius), air, at, longest_step_s=np.inf)
    gain = boards.mean_pct(track.profile_pct) - start
    coarse = 100.0 * (1.0 - gain[:, 1:] / gain[:, :1])
    return np.stack([np.interp(FINE, LN_R, one) for one in coarse])


def fit(shares: Shares) -> Fit:
    """The resistance behind an effectiveness of ``shares``, % at 1, 7 and 14 days; none where all of it is 0."""
    known = [i for i, share in enumerate(shares) if share is not None]
    wanted = np.array([shares[i] for i in known], np.float64)
    ends = [_day_alone(i, share, rate) for i, share in zip(known, wanted, strict=True) for rate in RATES]
    if not wanted.any():
        return Fit(0.0, 0.0, min(high for _, high in ends), _misfit(known, wanted))
    found = effectiveness_pct()[known]
    best = int(((found - wanted[:, None]) ** 2).sum(axis=0).argmin())
    resistance = float(np.exp(FINE[best]))
    # What rounds to the same is a range: the spread reaches as far as the days' ranges are apart, or as they agree.
    spread = (resistance, min(high for _, high in ends), max(low for low, _ in ends))
    return Fit(resistance, min(spread), max(spread), _misfit(known, found[:, best] - wanted))


def _misfit(known: list[int], values: Floats) -> Shares:
    of = dict(zip(known, (float(v) for v in values), strict=True))
    return of.get(0), of.get(1), of.get(2)


def _day_alone(i: int, share: float, rate: float) -> tuple[float, float]:
    """The least and the greatest resistance that rounds to ``share`` on that day."""
    low, high = np.interp([share - ROUNDED_PCT, share + ROUNDED_PCT], effectiveness_pct(rate)[i], FINE)
    return (0.0 if share < ROUNDED_PCT else float(np.exp(low))), float(np.exp(high))


def shares_of(row: dict[str, str]) -> Shares:
    """The published effectiveness of a row of the table."""
    one, seven, fourteen = (float(row[f"mee_{day}_pct"]) if row[f"mee_{day}_pct"] else None for day in DAYS)
    return one, seven, fourteen


def fitted(rows: list[dict[str, str]]) -> dict[str, Fit]:
    """Every finish whose effectiveness is published, by key; the spread of those with one day is the middle one of the
    others'."""
    fits = {r["key"]: fit(shares_of(r)) for r in rows if r["kind"] == "finish" and r["mee_14_pct"]}
    whole = [f for f in fits.values() if f.resistance > 0 and None not in f.misfit_pct]
    down, up = median(f.low / f.resistance for f in whole), median(f.high / f.resistance for f in whole)
    for key, f in fits.items():
        if f.resistance > 0 and None in f.misfit_pct:
            fits[key] = Fit(f.resistance, f.resistance * down, f.resistance * up, f.misfit_pct)
    return fits


def columns(f: Fit) -> dict[str, str]:
    """A fit as it stands in the table: three digits, misfits to a tenth."""
    names = ("resistance_m2spa_per_kg", "resistance_low_m2spa_per_kg", "resistance_high_m2spa_per_kg")
    return {
        **{name: f"{value:.3g}" for name, value in zip(names, f[:3], strict=True)},
        **{
            f"misfit_{d}_pct": "" if m is None else f"{round(m, 1) + 0.0:.1f}"
            for d, m in zip(DAYS, f.misfit_pct, strict=True)
        },
    }


def table() -> list[dict[str, str]]:
    """The table of covers as it stands."""
    with TABLE.open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def main() -> None:
    """Write the fitted columns again."""
    rows = table()
    for key, f in fitted(rows).items():
        (row,) = (r for r in rows if r["key"] == key)
        row |= columns(f)
        row["provenance"] = "fitted to what was " + row["provenance"].removeprefix("fitted to what was ")
    with TABLE.open("w", newline="", encoding="utf-8") as lines:
        writer = csv.DictWriter(lines, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
