"""A client that answers from memory, and a small real server that answers over HTTP; both are told what to say."""

from __future__ import annotations

import contextlib
import copy
import json
import socket
import threading
from collections.abc import Callable
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from kiosk.client import Command, Link, Outcome, Snapshot, Update

CONTRACT = Path(__file__).parents[1] / "contract"


def document(name: str = "snapshot") -> Snapshot:
    """A fresh copy of one of the contract's documents."""
    return copy.deepcopy(json.loads((CONTRACT / f"{name}.json").read_text()))


class FakeClient:
    """The seam without a wire: ``offer``, ``lose`` and ``refuse`` play the server's part."""

    def __init__(self) -> None:
        self.sent: list[Command] = []
        self.refusal = ""
        self._update = Update()
        self._on_change: Callable[[], None] = lambda: None

    def start(self, on_change: Callable[[], None]) -> None:
        self._on_change = on_change

    def latest(self) -> Update:
        return self._update

    def send(self, command: Command) -> None:
        self.sent.append(command)
        self._set(outcome=Outcome(command, "sending"))
        self._set(outcome=Outcome(command, "refused" if self.refusal else "done", self.refusal))

    def stop(self) -> None:
        self._on_change = lambda: None

    def offer(self, snapshot: Snapshot) -> None:
        self._set(snapshot=snapshot, link=Link("live"))

    def lose(self, reason: str = "server does not answer") -> None:
        self._set(link=Link("away", reason))

    def refuse(self, reason: str) -> None:
        self.refusal = reason

    def _set(self, **what: Any) -> None:
        self._update = replace(self._update, **what)
        self._on_change()


class SmallServer:
    """The snapshot and alert doors of the API on a free port, as the contract's documents say, and nothing else."""

    def __init__(self, snapshot: Snapshot | None = None, port: int = 0) -> None:
        self.changed = threading.Condition()
        self.snapshot: Any = snapshot
        self.queries: list[dict[str, list[str]]] = []
        self.posts: list[tuple[str, dict[str, Any]]] = []
        self.drop_posts = 0  # that many are taken and then cut off without an answer
        self.fail_posts = 0  # that many are answered with 503
        self.refusal = ""
        self.raw: bytes | None = None
        self.waits = True
        self.open: set[socket.socket] = set()
        self._http = ThreadingHTTPServer(("127.0.0.1", port), self._handler())
        self._http.daemon_threads = True
        self._thread = threading.Thread(target=self._http.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
        self._thread.start()

    @property
    def port(self) -> int:
        return int(self._http.server_address[1])

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def offer(self, snapshot: Snapshot) -> None:
        with self.changed:
            self.snapshot = snapshot
            self.changed.notify_all()

    def close(self) -> None:
        with self.changed:
            self.waits = False
            self.changed.notify_all()
        self._http.shutdown()
        self._http.server_close()
        for connection in list(self.open):  # a client keeps its connection, and its thread would go on answering
            with contextlib.suppress(OSError):
                connection.shutdown(socket.SHUT_RDWR)
        self._thread.join(5)

    def wait_for(self, true: Callable[[], bool], timeout_s: float = 10.0) -> bool:
        with self.changed:
            return self.changed.wait_for(true, timeout_s)

    def _answer_to(self, query: dict[str, list[str]]) -> tuple[int, bytes]:
        with self.changed:
            self.queries.append(query)
            self.changed.notify_all()
            if self.raw is not None:
                return 200, self.raw
            after, wait_s = query.get("after", [""])[0], float(query.get("wait_s", ["0"])[0])
            if after:
                self.changed.wait_for(lambda: not self.waits or self.snapshot["version"] != after, wait_s)
            return 200, json.dumps(self.snapshot).encode()

    def _take(self, path: str, body: dict[str, Any]) -> tuple[int, bytes] | None:
        with self.changed:
            self.posts.append((path, body))
            self.changed.notify_all()
            if self.drop_posts:
                self.drop_posts -= 1
                return None
            if self.fail_posts:
                self.fail_posts -= 1
                return 503, b"{}"
            if self.refusal:
                return 404, json.dumps({**document("problem"), "detail": self.refusal}).encode()
            return 200, json.dumps(document("command-done")).encode()

    def _handler(self) -> type[BaseHTTPRequestHandler]:
        server = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def setup(self) -> None:
                super().setup()
                server.open.add(self.connection)

            def finish(self) -> None:
                server.open.discard(self.connection)
                with contextlib.suppress(OSError):
                    super().finish()

            def log_message(self, *args: object) -> None:
                """Tests speak for themselves."""

            def _say(self, answer: tuple[int, bytes]) -> None:
                self.send_response(answer[0])
                self.send_header("Content-Type", "application/json")
                self.send_header("Content-Length", str(len(answer[1])))
                self.end_headers()
                with contextlib.suppress(OSError):
                    self.wfile.write(answer[1])

            def do_GET(self) -> None:
                self._say(server._answer_to(parse_qs(urlsplit(self.path).query)))

            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                answer = server._take(self.path, body)
                if answer is None:
                    self.close_connection = True
                else:
                    self._say(answer)

        return Handler
