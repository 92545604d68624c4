"""The command ``stillstack``: serve, kiosk, demo, feed, book, store, preflight. Heavy parts come where needed."""

from __future__ import annotations

import argparse
import asyncio
import logging
import os
import re
import sys
from collections.abc import Coroutine, Iterator, Sequence
from pathlib import Path
from typing import Any

from server.book.command import OneLine, add_book_commands
from server.store_command import add_store_commands

OK, FAILED, REFUSED = 0, 1, 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command. 0 done, 1 failed, 2 refused (what was found and what would be right is on standard error)."""
    given = list(sys.argv[1:] if argv is None else argv)
    if given[:1] == ["kiosk"]:  # a program of its own, with options of its own
        os.execv(sys.executable, [sys.executable, "-m", "kiosk", *given[1:]])  # noqa: S606 - our own interpreter
    args = _parser().parse_args(given)
    return int(args.run(args))


def _parser() -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = OneLine(
        prog="stillstack", description="Tells a furniture workshop what its air is doing to its wood."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    serve = commands.add_parser("serve", help="read the sensors, keep the record, open the door for the wall")
    demo = commands.add_parser("demo", help="the same for the fictional workshop, with fourteen months behind it")
    for one in (serve, demo):
        one.add_argument("--api-port", type=_port, help="of the door on 127.0.0.1 (default: the configuration's)")
        one.add_argument("--restarted", action="store_true", help=argparse.SUPPRESS)
    serve.add_argument("--record", type=Path, metavar="FILE", help="write down what the wires hear, for feed")
    demo.add_argument("--speed", type=_speed, default=1.0, help="run its clock this many times as fast (1..3600)")
    serve.set_defaults(run=_serve)
    demo.set_defaults(run=_demo)
    commands.add_parser("kiosk", help="the window on the wall (kiosk --help lists its options)")
    feed = commands.add_parser("feed", help="play a recording into the sources, as if their devices spoke again")
    feed.add_argument("file", type=Path, metavar="FILE", help="made by serve --record")
    feed.add_argument("--speed", type=_speed, default=1.0, help="times its own pace (1..3600)")
    feed.set_defaults(run=_feed)
    preflight = commands.add_parser("preflight", help="look whether everything is there and the configuration is right")
    preflight.add_argument("--api-port", action="store_true", help="only print the port of the door")
    preflight.add_argument("--listen", action="store_true", help="say what is heard on serial ports and brokers")
    preflight.add_argument("--seconds", type=_seconds, default=10.0, help="so long (default 10)")
    preflight.add_argument("--broker", type=_broker, metavar="HOST[:PORT]", help="this one instead of those configured")
    preflight.set_defaults(run=_preflight)
    add_book_commands(commands)
    add_store_commands(commands, state_folder)
    return parser


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > 65535:
        raise argparse.ArgumentTypeError(f"found {text}; would be right: 0 to 65535")
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 1.0 <= seconds <= 3600.0:
        raise argparse.ArgumentTypeError(f"found {text}; would be right: 1 to 3600")
    return seconds


def _broker(text: str) -> tuple[str, int | None]:
    found = re.fullmatch(r"(\[[0-9a-fA-F:.]+\]|[^\s:\[\]]+)(?::(\d{1,5}))?", text, re.ASCII)
    if found is None or (found[2] and not 1 <= int(found[2]) <= 65535):
        raise argparse.ArgumentTypeError(f"found {text}; would be right: HOST or HOST:PORT, as shop-broker:1883")
    return found[1].strip("[]"), int(found[2]) if found[2] else None


def _speed(text: str) -> float:
    try:
        speed = float(text)
    except ValueError:
        speed = 0.0
    if not 1.0 <= speed <= 3600.0:
        raise argparse.ArgumentTypeError(f"found {text}; would be right: 1 to 3600")
    return speed


def state_folder(demo: bool = False) -> Path:
    """Where the record lives: $STILLSTACK_STATE, else ./state (./state/demo). The store makes it."""
    return Path(os.environ.get("STILLSTACK_STATE") or ("state/demo" if demo else "state")).absolute()


def _serve(args: argparse.Namespace) -> int:
    from server.serve import serve  # noqa: PLC0415 - the web stack is not needed to answer a book question

    return _guarded(serve(state_folder(), args.api_port, restarted=args.restarted, record_to=args.record))


def _demo(args: argparse.Namespace) -> int:
    from server.demo.play import play  # noqa: PLC0415

    return _guarded(play(state_folder(demo=True), args.speed, args.api_port, restarted=args.restarted))


def _feed(args: argparse.Namespace) -> int:
    from server.config import ConfigError  # noqa: PLC0415
    from server.feed import feed_command  # noqa: PLC0415
    from server.serve import config_path, read_config  # noqa: PLC0415

    try:
        return asyncio.run(feed_command(args.file, read_config(config_path()), args.speed))
    except ConfigError as refused:
        sys.stderr.write(f"{refused}\n")
        return REFUSED


def _guarded(work: Coroutine[Any, Any, None]) -> int:
    """Run it; what a person can mend is said in their words, without a traceback."""
    from sensors.recording import RecordingError  # noqa: PLC0415
    from server.api.door import PortTaken  # noqa: PLC0415
    from server.broker import BrokerError  # noqa: PLC0415
    from server.config import ConfigError  # noqa: PLC0415
    from server.stores.port import StoreError, StoreFull  # noqa: PLC0415

    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s: %(message)s", datefmt="%H:%M:%S")
    logging.getLogger("httpx").setLevel(logging.WARNING)
    code = OK
    try:
        asyncio.run(work)
    except* StoreFull as full:  # nobody has to change the shop's setup for this: worth trying again
        code = FAILED
        for one in _single(full):
            sys.stderr.write(f"{one}\n")
    except* (ConfigError, StoreError, PortTaken, BrokerError, RecordingError) as refused:
        code = REFUSED
        for one in _single(refused):
            sys.stderr.write(f"{one}\n")
    return code


def _single(group: BaseExceptionGroup[Any]) -> Iterator[BaseException]:
    """The exceptions of a group, however deep: task groups nest."""
    for one in group.exceptions:
        if isinstance(one, BaseExceptionGroup):
            yield from _single(one)
        else:
            yield one


def _preflight(args: argparse.Namespace) -> int:
    from server.preflight import preflight  # noqa: PLC0415
    from server.preflight_listen import preflight_listen  # noqa: PLC0415

    if args.listen:
        return preflight_listen(state_folder(), args.seconds, args.broker)
    return preflight(state_folder(), only_port=args.api_port)


if __name__ == "__main__":
    sys.exit(main())
