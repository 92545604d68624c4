"""Where the published figures lie, for every test of the physics."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

Rows = list[dict[str, str]]
REFERENCE = Path(__file__).parents[1] / "data" / "reference"


@pytest.fixture(scope="session")
def published() -> Callable[[str], Rows]:
    """Reads one table of tests/data/reference by its name."""

    def read(name: str) -> Rows:
        with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
            return list(csv.DictReader(lines))

    return read
