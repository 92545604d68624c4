"""``python -m tests.proof [--keep FOLDER] [NAME…]``: replay the records that are not kept yet, and write the table of
all that are. Without a name, all of them: an hour or so on two cores. What was kept by other rules must be deleted."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.proof import judge, records
from tests.proof.keep import TABLE, kept, replayed
from tests.proof.table import A_WEEK, AHEAD, LATE, ahead_rows, head, late_rows, totals, week_row

OUT = Path(__file__).with_name("table.md")
INTRO = """# How far ahead the rules told it

Written by `python -m tests.proof`, each record by the real spine with every rule at its defaults
(`tests/proof/replay.py`); the suite replays two of them and finds their rows again (`tests/proof/test_replay.py`).
{missing}

What each record is:

{records}

Columns: *came* dry-outs or damp spells; *told* ahead of them, *≥ 12 h* that far; *lead* median (least to most) of
those told; *raised a week* look-ahead alerts of this zone and limit; *false*, *near*, *again* of them; *stood* the
share of the half hours inside the limit at which one stood: where it is large, being told says little.

{definitions}
"""


def text(folder: Path) -> str:
    """The whole page."""
    there = {name: found for name in TABLE if (found := kept(name, folder)) is not None}
    missing = [name for name in TABLE if name not in there]
    chosen = [there[name] for name in there if TABLE[name].use == "chosen on"]
    held_out = [there[name] for name in there if TABLE[name].use.startswith("held out")]
    said = INTRO.format(
        missing=f"Not replayed for this page: {', '.join(missing)}." if missing else "",
        records=(records.__doc__ or "").partition("\n\n")[2].strip(),
        definitions=(judge.__doc__ or "").partition("\n\n")[2].replace("``", "`").strip(),
    ).replace("``", "`")
    parts = [said, "## Look-ahead alerts\n\n" + head(AHEAD)]
    parts[-1] += "".join("\n" + line for name in there for line in ahead_rows(*there[name], TABLE[name].use))
    parts.append("\n".join(
        f"* {what}, {side}: {totals(of, side)}."
        for what, of in (("Chosen on", chosen), ("Held out", held_out)) for side in ("dry", "damp")
    ))  # fmt: skip
    parts.append("## Alerts a week, of all rules\n\n" + head(A_WEEK))
    parts[-1] += "".join("\n" + week_row(*there[name]) for name in there)
    parts.append("## Told less than 12 h ahead, or not at all\n\n" + head(LATE))
    parts[-1] += "".join("\n" + line for name in there for line in late_rows(*there[name]))
    return "\n\n".join(parts) + "\n"


def main(arguments: list[str]) -> None:
    """Replay, keep, write."""
    asked = argparse.ArgumentParser(prog="python -m tests.proof", description=__doc__)
    asked.add_argument("names", nargs="*", metavar="NAME", help=f"one of {', '.join(TABLE)}")
    asked.add_argument("--keep", type=Path, default=Path("proof-kept"), help="where replays are kept")
    given = asked.parse_args(arguments)
    if unknown := sorted(set(given.names) - set(TABLE)):
        asked.error(f"found {unknown[0]!r}; would be right: {', '.join(TABLE)}")
    for name in given.names or TABLE:
        replayed(name, given.keep)
        sys.stdout.write(f"{name}\n")
        sys.stdout.flush()
    OUT.write_text(text(given.keep), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
