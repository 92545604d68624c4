"""What a broker kept for us while we were away, told apart from what is live. MQTT marks neither."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

QUIET_S = 0.3
"""What was kept comes without a pause. The first one this long ends it."""
LOOK_S = 0.1
LONGEST_S = 60.0
"""A shop where something is always said makes no pause: then it ends here, which is time for 100,000 messages."""
HELD_BACK = 10
"""With so many unacknowledged a broker may be waiting for us, not we for it: brokers send from about ten up to a
hundred ahead (common practice, no source)."""


class Backlog:
    """From :meth:`begin`, when a session goes on from before, :attr:`is_coming` holds until the first quiet moment.

    Quiet counts only while something could have been heard: a loop that was busy, or a broker that waits for us, makes
    no pause. ``is_held_back`` says the latter.
    """

    def __init__(self, loop: asyncio.AbstractEventLoop, is_held_back: Callable[[], bool]) -> None:
        self._loop = loop
        self._is_held_back = is_held_back
        self._looking: asyncio.TimerHandle | None = None
        self._quiet_s = 0.0
        self._heard = False
        self._until_s = 0.0

    @property
    def is_coming(self) -> bool:
        """Whether a message heard now had waited at the broker, as far as can be told."""
        return self._looking is not None

    def begin(self) -> None:
        """The broker has said that it knew us."""
        self._quiet_s, self._heard = 0.0, True
        self._until_s = self._loop.time() + LONGEST_S
        self._looking = self._loop.call_later(LOOK_S, self._look)

    def heard(self) -> None:
        """Something came."""
        self._heard = True

    def end(self) -> None:
        """No more of it. Twice is once."""
        if self._looking is not None:
            self._looking.cancel()
            self._looking = None

    def _look(self) -> None:
        # After the loop was busy, what waits in the socket is read before this is called: asyncio takes what is ready
        # before what is due. So no stretch is quiet in which something had come.
        if self._heard:
            self._quiet_s = 0.0
        elif not self._is_held_back():
            self._quiet_s += LOOK_S
        self._heard = False
        if self._quiet_s > QUIET_S - LOOK_S / 2 or self._loop.time() >= self._until_s:
            self._looking = None
        else:
            self._looking = self._loop.call_later(LOOK_S, self._look)
