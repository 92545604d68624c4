"""What runs in the app's group: its tasks, and the wires, started together or one by one while the server runs."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Coroutine, Iterable
from typing import Any

from sensors.supervise import Supervisor


@contextlib.asynccontextmanager
async def running(group: asyncio.TaskGroup, coroutine: Coroutine[Any, Any, None], name: str) -> AsyncIterator[None]:
    """A task of the group for as long as the block lasts; it has ended when the block has."""
    task = group.create_task(coroutine, name=name)
    try:
        yield
    finally:
        if not task.cancelling():  # a group that ends has asked already; to ask twice cuts its cleaning up short
            task.cancel()
        await asyncio.wait({task})


class RunningWires:
    """``wires`` holds those that there are, by source; whoever looks at it sees them come and go."""

    def __init__(self, group: asyncio.TaskGroup, wires: dict[str, Supervisor]) -> None:
        self.wires = wires
        self._group = group
        self._tasks: dict[str, asyncio.Task[None]] = {}

    def start_all(self) -> None:
        """Start those that do not run yet."""
        for name in self.wires.keys() - self._tasks.keys():
            self._tasks[name] = self._group.create_task(self.wires[name].run(), name=f"wire {name}")

    def add(self, wires: dict[str, Supervisor]) -> None:
        """Start further ones now."""
        self.wires.update(wires)
        self.start_all()

    async def remove(self, name: str) -> None:
        """Stop one and forget it; its port is free when this returns, and a broker keeps nothing for us."""
        wire = self.wires.pop(name, None)
        await self._stop([name])
        if wire is not None:
            await wire.forget()

    async def stop_all(self) -> None:
        """Stop all, the newest first; they have ended when this returns."""
        await self._stop(reversed(list(self._tasks)))

    async def _stop(self, names: Iterable[str]) -> None:
        tasks = {task for name in list(names) if (task := self._tasks.pop(name, None)) is not None}
        for task in tasks:
            if not task.cancelling():  # a group that ends has asked already; twice would cut the cleaning up short
                task.cancel()
        if tasks:
            await asyncio.wait(tasks)
