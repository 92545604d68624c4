"""The figures of the vocabulary: ``python -m tests.bench [NAME...] [--json] [--list]``, or ``tests/bench/run``."""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
from datetime import UTC, datetime
from pathlib import Path

from tests.bench.catalog import MEASURES
from tests.bench.figure import HEADER, Figure


def main() -> int:
    parser = argparse.ArgumentParser(prog="tests/bench/run", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help="figures to measure (default: all)")
    parser.add_argument("--json", action="store_true", help="one JSON object instead of a table")
    parser.add_argument("--list", action="store_true", help="only name the figures")
    asked = parser.parse_args()
    known = {name: measure for measure, names in MEASURES for name in names}
    if unknown := [name for name in asked.names if name not in known]:
        parser.error(f"found {', '.join(unknown)}; would be right: {', '.join(known)}")
    if asked.list:
        sys.stdout.write("\n".join(known) + "\n")
        return 0
    wanted = asked.names or list(known)
    if not asked.json:
        sys.stdout.write(f"{machine()}\n{HEADER}\n")
    found: dict[str, Figure] = {}
    for measure, names in MEASURES:
        if set(names) & set(wanted):
            for figure in measure():
                if figure.name in wanted:
                    found[figure.name] = figure
                    if not asked.json:
                        sys.stdout.write(figure.line() + "\n")
                        sys.stdout.flush()
    if asked.json:
        sys.stdout.write(json.dumps({name: found[name].document() for name in wanted}) + "\n")
    return 0


def machine() -> str:
    """What it was measured on, and when."""
    models = [line for line in Path("/proc/cpuinfo").read_text().splitlines() if line.startswith("model name")]
    model = models[0].partition(":")[2].strip() if models else platform.machine()
    return f"{datetime.now(UTC):%Y-%m-%d %H:%M} UTC, {os.cpu_count()} cores {model}, Python {platform.python_version()}"


if __name__ == "__main__":
    sys.exit(main())
