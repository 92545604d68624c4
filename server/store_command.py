"""``stillstack store verify | backup | restore | refill | export | import``: the record in a person's hands.

``verify``, ``backup`` and ``export`` only read, and may be used while the server runs. ``restore``, ``refill`` and
``import`` hold the folder.
"""

from __future__ import annotations

import argparse
import asyncio
import csv
import sqlite3
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from datetime import UTC, datetime
from itertools import chain, groupby, pairwise
from pathlib import Path
from typing import get_args

from server.clock import SystemClock
from server.config import ConfigError
from server.import_command import add_import_options, take_in
from server.reading import AlertState
from server.shop.csv_history import CsvHistoryError
from server.stores.backup import back_up, backup_name, backups, restore
from server.stores.port import StoreDamaged, StoreError
from server.stores.refill import refill
from server.stores.sqlite_file import BACKUPS, FILE_NAME, connect_reader, translated
from server.stores.sqlite_history import SqliteHistory
from server.stores.verify import Look, looks

OK, WRONG, REFUSED = 0, 1, 2
StateFolder = Callable[[], Path]
_LAST_MS = 1 << 62
_MONTH_MS = 30 * 86_400_000


def add_store_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], state_folder: StateFolder
) -> None:
    """Add ``store`` with its six; each has a ``run`` that takes the arguments and returns the exit code."""
    store = commands.add_parser("store", help="look through the record, copy it, put a copy back, or take figures out")
    each = store.add_subparsers(required=True, metavar="DEED")
    verify = each.add_parser("verify", help="look through the whole record, or a copy of it; changes nothing")
    verify.add_argument("file", nargs="?", type=Path, help="default: the record of the state folder")
    backup = each.add_parser("backup", help="copy the record, also while the server writes in it")
    backup.add_argument("--to", type=Path, metavar="FILE", help="default: a dated file in the backup folder")
    back = each.add_parser("restore", help="make a copy the record; the present one is kept aside. Server stopped")
    back.add_argument("file", type=Path, help="a copy that store backup made")
    export = each.add_parser("export", help="readings of one series as CSV")
    export.add_argument("series", help="owner/quantity, such as bench-1/humidity_pct or zone:loft/emc_pct")
    export.add_argument("--from", dest="from_ms", type=_time, default=0, metavar="TIME", help="2027-01-12T07:00, UTC")
    export.add_argument("--to", dest="to_ms", type=_time, default=_LAST_MS, metavar="TIME", help="before this; UTC")
    export.add_argument("--out", type=Path, metavar="FILE", help="default: standard output")
    refilling = each.add_parser("refill", help="bring back from a copy what a salvage has lost. Server stopped")
    refilling.add_argument("file", type=Path, help="a copy that store backup made")
    taking_in = each.add_parser("import", help="another logger's CSV as a sensor's history, all or nothing")
    add_import_options(taking_in)
    deeds = (
        (verify, _verify), (backup, _backup), (back, _restore), (refilling, _refill), (export, _export),
        (taking_in, take_in),
    )  # fmt: skip
    for parser, deed in deeds:
        parser.set_defaults(run=_worded(deed, state_folder))


def _worded(deed: Callable[[argparse.Namespace, Path], int], state: StateFolder) -> Callable[[argparse.Namespace], int]:
    def run(args: argparse.Namespace) -> int:
        try:
            return deed(args, state())
        except (StoreError, ConfigError, CsvHistoryError, OSError) as error:
            sys.stderr.write(f"{error}\n")
            return WRONG if isinstance(error, StoreDamaged) else REFUSED

    return run


def _time(text: str) -> int:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"found {text}; would be right: a time such as 2027-01-12T07:00") from None
    return round((at if at.tzinfo else at.replace(tzinfo=UTC)).timestamp() * 1000)


def _verify(args: argparse.Namespace, state: Path) -> int:
    path = args.file or state / FILE_NAME
    right = True
    whole = False
    for look in looks(path):
        sys.stdout.write(f"{look}\n")
        right &= look.right
        whole |= look.what == "pages and indexes" and look.right
    if whole:
        steps = alert_steps(path)
        sys.stdout.write(f"{steps}\n")
        right &= steps.right
    return OK if right else WRONG


def alert_steps(path: Path) -> Look:
    """Whether every alert has states there are, ends with normal, and stands as its last change says.

    Steps in between may be missing: while a disk was full only the newest change of an alert waited for it. So any
    standing state may follow any other; a new spell of an alert has a new id, so nothing follows normal. Raises
    :class:`StoreError`.
    """
    odd: list[str] = []
    try:
        with closing(connect_reader(path)) as record:
            record.execute("BEGIN")
            now = dict(record.execute("SELECT id, state FROM alert").fetchall())
            changes = record.execute("SELECT id, state FROM alert_change ORDER BY id, number").fetchall()
    except sqlite3.Error as error:
        raise translated(path, error) from error
    for alert, found in groupby(changes, key=lambda change: change[0]):
        states = [state for _, state in found]
        odd += [f"{alert} in a state {state}" for state in states if state not in get_args(AlertState)]
        odd += [f"{alert} from normal to {after}" for before, after in pairwise(states) if before == "normal"]
        if now.pop(alert, None) != states[-1]:
            odd.append(f"{alert} does not stand as it last changed")
    odd += [f"{alert} stands and never changed" for alert in now]
    found_text = f"{len(odd)} odd ({'; '.join(odd[:3])})" if odd else f"{len(changes):,} lawful"
    return Look(
        not odd, "changes of alerts", found_text, "states of ISA-18.2, nothing after normal, and the last one standing"
    )


def backup_folder(state: Path) -> Path:
    """Where copies go: what the configuration names, else the state folder's own. Raises ConfigError."""
    from server.serve import config_path, read_config  # noqa: PLC0415 - the web stack, for one line of a file

    path = config_path()
    named = read_config(path).store.backup_folder if path.exists() else None
    return state / BACKUPS if named is None else state / named


def _backup(args: argparse.Namespace, state: Path) -> int:
    to = args.to or backup_folder(state) / backup_name(SystemClock().now().wall_ms)
    size = back_up(state / FILE_NAME, to)
    sys.stdout.write(f"{to}: {size:,} bytes, checked\n")
    return OK


def _restore(args: argparse.Namespace, state: Path) -> int:
    try:
        aside = restore(state, args.file, SystemClock().now().wall_ms)
    except StoreDamaged:
        others = [str(p) for p in backups(backup_folder(state)) if p != args.file]
        if others:
            sys.stderr.write(f"Other copies: {', '.join(others)}\n")
        raise
    kept = f"; the one before is kept as {aside}" if aside else ""
    sys.stdout.write(f"{args.file} is the record now{kept}\n")
    return OK


def _refill(args: argparse.Namespace, state: Path) -> int:
    count = asyncio.run(refill(state, args.file, SystemClock()))
    sys.stdout.write(f"{count:,} readings came back from {args.file}\n")
    return OK


def _export(args: argparse.Namespace, state: Path) -> int:
    history = SqliteHistory(state / FILE_NAME)
    if (span := history.span(args.series)) is None:
        raise StoreError(f"series: found no reading of {args.series!r}; would be right: one of the record's series, "
                         f"such as {', '.join(history.series_names()[:5]) or 'none yet'}")  # fmt: skip
    rows = _csv_rows(history, args.series, max(args.from_ms, span[0]), min(args.to_ms, span[1] + 1))
    if args.out is None:
        csv.writer(sys.stdout, lineterminator="\n").writerows(rows)
    else:
        with args.out.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)
    return OK


def _csv_rows(history: SqliteHistory, series: str, from_ms: int, to_ms: int) -> Iterator[Sequence[object]]:
    yield "t_ms", "time", "series", "value", "flags", "raw"
    # a month at a time: years of one a second would not fit the memory, and no read lasts long
    months = range(from_ms, to_ms, _MONTH_MS)
    found = (history.readings(series, at, min(at + _MONTH_MS, to_ms), good_only=False) for at in months)
    for r in chain.from_iterable(found):
        time = datetime.fromtimestamp(r.t_ms / 1000, UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
        names = "+".join((flag.name or "?").lower().replace("_", "-") for flag in r.flags)
        yield r.t_ms, time, series, r.value, names, "" if r.raw is None else r.raw
