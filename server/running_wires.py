"""The wires that run: started together with the server, or one by one while it runs."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable

from sensors.supervise import Supervisor


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
