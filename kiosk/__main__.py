"""``python -m kiosk``: the window on the wall."""

from __future__ import annotations

import argparse
import logging
import signal
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk import choice, environment, figures
from kiosk.http_client import HttpClient
from kiosk.words import Words, languages

if TYPE_CHECKING:
    from kiosk import app

SNAPSHOT_WITHIN_S = 60.0


def size(text: str) -> tuple[int, int]:
    """``1280x800`` as two numbers, at least 320 each."""
    width, _, height = text.partition("x")
    if not (width.isdigit() and height.isdigit() and min(int(width), int(height)) >= 320):
        raise argparse.ArgumentTypeError(f"found {text!r}; would be right: WIDTHxHEIGHT in pixels, such as 1280x800")
    return int(width), int(height)


def density(text: str) -> float:
    """A density in dots per inch, 30..1000."""
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 30 <= value <= 1000:
        raise argparse.ArgumentTypeError(f"found {text!r}; would be right: dots per inch, 30 to 1000")
    return value


def parser() -> argparse.ArgumentParser:
    p = argparse.ArgumentParser(
        prog="python -m kiosk", description="The window on the wall: a client of stillstack serve."
    )
    p.add_argument("--server", required=True, metavar="URL", help="such as http://127.0.0.1:8321")
    p.add_argument("--size", type=size, default=(1280, 800), metavar="WxH", help="window in pixels (1280x800)")
    p.add_argument("--dpi", type=density, metavar="N", help="the panel's true density (guessed from the size)")
    p.add_argument("--fullscreen", action="store_true", help="fill the screen, without a pointer")
    p.add_argument("--lang", choices=languages(), help="(the one chosen at this wall, else en)")
    p.add_argument("--units", choices=figures.UNITS, help="(those chosen at this wall, else metric)")
    p.add_argument("--snapshots", type=Path, metavar="DIR", help="picture every screen once, then end")
    p.add_argument(
        "--within-s", type=float, default=SNAPSHOT_WITHIN_S, metavar="S", help="how long --snapshots may wait"
    )
    p.add_argument("--pictures", type=Path, metavar="DIR", help="keep a picture of what is shown (without a display)")
    p.add_argument("--restarted", action="store_true", help="say on the wall that this window was restarted")
    return p


def worth_saying(record: logging.LogRecord) -> bool:
    """Kivy tells of itself at length, and of every input library it lacks as an error with a traceback."""
    ours = not record.name.startswith("kivy")
    return ours or (record.levelno >= logging.ERROR and "Input:" not in record.getMessage())


def main(argv: list[str] | None = None) -> int:
    """The exit status: 0, or 1 when ``--snapshots`` found something missing."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))  # until the window can stop in order
    signal.signal(signal.SIGINT, lambda *_: sys.exit(0))
    asked = parser().parse_args(argv)
    logging.basicConfig(level=logging.WARNING, format="kiosk: %(message)s")
    logging.getLogger().handlers[0].addFilter(worth_saying)
    offscreen = bool(asked.snapshots) or (bool(asked.pictures) and not environment.has_display())
    folder = environment.state_folder()
    chosen = choice.kept(folder)
    language = asked.lang or chosen.language
    units = replace(chosen.units, system=asked.units) if asked.units else chosen.units
    client = HttpClient(asked.server, lang=language, units=units.system)
    turn = _Turn()
    client.start(turn)  # the first answer comes while the window is still being made
    environment.settle(environment.Panel(asked.size[0], asked.size[1], asked.fullscreen, offscreen))
    from kiosk import app, pictures, window  # noqa: PLC0415 - Kivy reads its surroundings when it is first imported

    app.letters()
    kiosk = app.Kiosk(
        client,
        Words(language),
        units=units,
        keep=lambda new: choice.keep(folder, new),
        dpi=asked.dpi,
        restarted=asked.restarted,
        far_after_s=None if offscreen else window.FAR_AFTER_S,  # nobody can touch a picture to bring it near
    )
    turn.kiosk = kiosk
    if not asked.snapshots:
        app.run(kiosk, (lambda k: pictures.keep(k, asked.pictures)) if asked.pictures else None)
        return 0
    runs: list[pictures.SnapshotRun] = []
    app.run(kiosk, lambda k: runs.append(pictures.SnapshotRun(k, asked.snapshots, asked.within_s)))
    if not runs[0].done:
        print(f"kiosk: --snapshots: {runs[0].problem or 'stopped before the pictures were made'}", file=sys.stderr)
    return 0 if runs[0].done else 1


class _Turn:
    """What the client calls until, and after, there is a window."""

    kiosk: app.Kiosk | None = None

    def __call__(self) -> None:
        if self.kiosk is not None:
            self.kiosk.changed()


if __name__ == "__main__":
    sys.exit(main())
