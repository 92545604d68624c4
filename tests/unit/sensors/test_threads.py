"""Blocking work beside the loop: its result, its error, and a caller who has gone."""

import asyncio
import threading

import pytest

from sensors.threads import in_daemon_thread
from tests.unit.sensors.helpers import until


async def test_the_result_and_the_error_come_back_from_a_daemon() -> None:
    assert await in_daemon_thread(threading.current_thread, "work") is not threading.current_thread()
    assert (await in_daemon_thread(threading.current_thread, "work")).daemon
    with pytest.raises(ZeroDivisionError):
        await in_daemon_thread(lambda: 1 // 0, "work")


async def test_a_caller_who_has_gone_is_no_error() -> None:
    complaints: list[object] = []
    asyncio.get_running_loop().set_exception_handler(lambda _loop, context: complaints.append(context))
    go_on = threading.Event()
    outcome = in_daemon_thread(go_on.wait, "work left behind")
    outcome.cancel()
    go_on.set()
    await until(lambda: all(thread.name != "work left behind" for thread in threading.enumerate()))
    await asyncio.sleep(0)
    assert complaints == []
