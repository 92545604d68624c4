"""How damp a lot is taken to be when it comes in, and how sure that is: the rows of start_moisture.csv."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import cast

from server.shop.deed import StartKind
from server.shop.receiving import Start


@dataclass(frozen=True, slots=True)
class StartMoisture:
    """A kind of start: its level, % MC (None where it must be given), and one standard deviation."""

    key: StartKind
    level_pct: float | None
    sigma_pct: float
    meaning: str
    provenance: str
    source: str


@cache
def starts() -> MappingProxyType[str, StartMoisture]:
    """Every kind of start by its key."""
    text = files("server.shop").joinpath("start_moisture.csv").read_text(encoding="utf-8")
    return MappingProxyType({row["key"]: _start(row) for row in csv.DictReader(text.splitlines())})


def level_and_sigma(start: Start) -> tuple[float, float]:
    """% MC and one standard deviation of what was said of a lot; a figure that was given stands for the kind's own."""
    kind = starts()[start.kind]
    level = kind.level_pct if start.mc_pct is None else start.mc_pct
    assert level is not None  # noqa: S101 - a metered start is refused without
    return level, kind.sigma_pct


def _start(row: dict[str, str]) -> StartMoisture:
    level = float(row["level_pct"]) if row["level_pct"] else None
    return StartMoisture(
        cast(StartKind, row["key"]), level, float(row["sigma_pct"]), row["meaning"], row["provenance"], row["source"]
    )  # fmt: skip
