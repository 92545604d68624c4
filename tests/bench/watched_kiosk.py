"""The kiosk as it is, with an eye on the rectangle of its number: ``python -m tests.bench.watched_kiosk URL``.

The same steps as ``python -m kiosk``; only that every frame is looked at before it is shown.
"""

from __future__ import annotations

import os
import sys
import time
from typing import Any

from kiosk import environment
from kiosk.http_client import HttpClient
from kiosk.words import Words


def main() -> None:
    client = HttpClient(sys.argv[1])
    waiting: list[Any] = []
    client.start(lambda: waiting[0].changed() if waiting else None)
    environment.settle(environment.Panel(1280, 800, False, False))
    from kiosk import app

    app.letters()
    kiosk = app.Kiosk(client, Words(), dpi=149, far_after_s=None)
    waiting.append(kiosk)
    app.run(kiosk, watch)


def watch(kiosk: Any) -> None:
    """Write the time of every frame whose number's pixels differ from those of the frame before."""
    from kivy.core.window import Window
    from kivy.graphics.opengl import GL_RGBA, GL_UNSIGNED_BYTE, glReadPixels

    number = kiosk.window.screens["shop"].ids.air.ids.figure
    before = b""

    def look(*_: object) -> None:
        nonlocal before
        if kiosk.drawn_version is None and (kiosk.window.wall is None or kiosk.window.wall.air is None):
            return
        if not number.number:
            return
        x, y = number.to_window(number.x, number.y)
        seen = glReadPixels(int(x), int(y), int(number.width), int(number.height), GL_RGBA, GL_UNSIGNED_BYTE)
        if seen != before:
            before = seen
            out.write(f"{time.monotonic():.6f}\n")
            out.flush()

    out = open(os.environ["FRAMES_TO"], "w", encoding="ascii")  # noqa: PTH123, SIM115 - for the process's life
    Window.bind(on_flip=look)


if __name__ == "__main__":
    main()
