"""Work that blocks, in a thread the program's end does not wait for.

The loop's own pool is waited for when the program ends, so a look-up of a name that hangs for a minute would hold the
exit for that minute. This one is left behind.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Callable
from typing import TypeVar

_T = TypeVar("_T")


def in_daemon_thread(call: Callable[[], _T], name: str) -> asyncio.Future[_T]:
    """Start ``call`` in a daemon thread; the future of the running loop holds what it returned or raised.

    The call cannot be stopped: cancelling the future only means that nobody waits. ``name`` is the thread's, for a
    person who looks at a stack.
    """
    loop = asyncio.get_running_loop()
    outcome: asyncio.Future[_T] = loop.create_future()

    def run() -> None:
        try:
            result = call()
        except Exception as err:  # noqa: BLE001 - a thread has nobody above it: whoever awaits the future raises it
            settle(outcome.set_exception, err)
        else:
            settle(outcome.set_result, result)

    def settle(put: Callable[..., None], value: object) -> None:
        with contextlib.suppress(RuntimeError):  # the loop is closed: the program ends
            loop.call_soon_threadsafe(lambda: None if outcome.done() else put(value))

    threading.Thread(target=run, name=name, daemon=True).start()
    return outcome
