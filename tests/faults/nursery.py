"""Servers that start at once: forked from a process that has imported everything, so that fifty lives fit into a test.

A child is the whole server all the same, with its own loop, threads, files and sockets; kill -9 ends it as any other.
``python -m tests.faults.nursery PORT`` forks one for each line it reads, and says its process id.
"""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import subprocess
import sys

from tests.faults.conftest import ROOT, ServerProcess


class Nursling(ServerProcess):
    """A server of the nursery, killed and started as any other; :meth:`start_afresh` gives it a start of its own."""

    nursery: subprocess.Popen[str] | None = None
    pid = 0

    def start(self, *more: str) -> None:
        if self.nursery is None:
            command = [sys.executable, "-m", "tests.faults.nursery", str(self.port)]
            self.nursery = subprocess.Popen(
                command, cwd=ROOT, env=self.environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
            )
        assert self.nursery.stdin is not None
        assert self.nursery.stdout is not None
        self.nursery.stdin.write(" ".join(more) + "\n")
        self.nursery.stdin.flush()
        self.pid = int(self.nursery.stdout.readline())

    def start_afresh(self, *more: str) -> None:
        """As a service manager does, with a new interpreter."""
        super().start(*more)
        assert self.process is not None
        self.pid = self.process.pid

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        if self.process is not None and self.process.pid == self.pid:
            self.process.wait(10)

    def close(self) -> None:
        """The nursery, and whoever is left in it."""
        if self.nursery is not None:
            self.nursery.communicate(timeout=20)


def nursery(port: int) -> None:
    """A life for each line that is read, the one before having ended; at the end the last is ended too."""
    from server import app, cli, serve
    from server.stores import influx

    assert app
    assert serve
    assert influx
    gc.freeze()
    pid = 0
    for line in sys.stdin:
        if pid:
            os.waitpid(pid, 0)
        pid = os.fork()
        if not pid:
            os._exit(cli.main(["serve", "--api-port", str(port), *line.split()]))
        sys.stdout.write(f"{pid}\n")
        sys.stdout.flush()
    if pid:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)


if __name__ == "__main__":
    nursery(int(sys.argv[1]))
