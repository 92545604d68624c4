"""A client that answers from memory, and a small real server that answers over HTTP; both are told what to say."""

from __future__ import annotations

import contextlib
import copy
import json
import socket
import threading
from collections.abc import Callable, Iterable
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from kiosk.client import Answer, Ask, Command, Link, Outcome, Refused, Snapshot, Tell, Update

CONTRACT = Path(__file__).parents[1] / "contract"


def document(name: str = "snapshot") -> Snapshot:
    """A fresh copy of one of the contract's documents."""
    return copy.deepcopy(json.loads((CONTRACT / f"{name}.json").read_text()))


def answer(name: str) -> Any:
    """What the demo's server answered once (``tests/kiosk/documents``)."""
    return json.loads((Path(__file__).parent / "documents" / f"{name}.json").read_text())


def shop() -> FakeClient:
    """A client of a shop with seven lots, one of them open."""
    client = FakeClient()
    lot = "/api/lots/sapele-boards"
    client.holds = {
        "/api/lots": answer("lots"), lot: answer("lot"), f"{lot}/advice": answer("advice"),
        "/api/species": answer("species"), "/api/destinations": answer("destinations"),
        "/api/sources": answer("sources"), "/api/health": answer("health"), "/api/remotes": answer("remotes"),
        "/api/glueup": answer("glueup-against"),
        "/api/journal": answer("journal"), "/api/round": answer("round"),
    }  # fmt: skip
    return client


class FakeClient:
    """The seam without a wire: ``offer``, ``lose`` and ``refuse`` play the server's part. ``holds`` is what stands
    behind each path: a document, a :class:`Refused`, or None for an answer that does not come."""

    def __init__(self) -> None:
        self.sent: list[Command] = []
        self.asked: list[Ask] = []
        self.told: list[Tell] = []
        self.holds: dict[str, Any] = {}
        self.refusal = ""
        self.used: list[tuple[str, str]] = []
        self.speaks: dict[str, Snapshot] = {}  # by language, what is said once that is asked for
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

    def ask(self, ask: Ask) -> None:
        self.asked.append(ask)
        before = self._update.answers.get(ask.key)
        kept = before.document if before is not None and before.of == ask else None
        self._answer(Answer(ask, "sending", kept))
        self._answer_from(ask, self.holds.get(ask.path, Refused(f"{ask.path}: nothing there")))

    def tell(self, tell: Tell) -> None:
        self.told.append(tell)
        self._answer(Answer(tell, "sending"))
        said = Refused(self.refusal) if self.refusal else {"done": True}
        self._answer_from(tell, self.holds.get(tell.path, said) if not self.refusal else said)

    def forget(self, keys: Iterable[str]) -> None:
        gone = set(keys)
        self._set(answers={key: answer for key, answer in self._update.answers.items() if key not in gone})

    def _answer_from(self, of: Ask | Tell, found: Any) -> None:
        if isinstance(found, Refused):
            self._answer(Answer(of, "refused", refused=found))
        elif found is not None:
            self._answer(Answer(of, "here", copy.deepcopy(found)))

    def _answer(self, answer: Answer) -> None:
        self._set(answers={**self._update.answers, answer.of.key: answer})

    def use(self, language: str, units: str) -> None:
        self.used.append((language, units))
        if language in self.speaks:
            self.offer(self.speaks[language])

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
    """The snapshot and alert doors of the API on a free port, as the contract's documents say, and behind each path of
    ``holds`` a status with a document (None: no answer comes)."""

    def __init__(self, snapshot: Snapshot | None = None, port: int = 0) -> None:
        self.changed = threading.Condition()
        self.snapshot: Any = snapshot
        self.speaks: dict[str, Snapshot] = {}  # by language, instead of it
        self.queries: list[dict[str, list[str]]] = []
        self.posts: list[tuple[str, dict[str, Any]]] = []
        self.drop_posts = 0  # that many are taken and then cut off without an answer
        self.fail_posts = 0  # that many are answered with 503
        self.refusal = ""
        self.raw: bytes | None = None
        self.holds: dict[str, tuple[int, Any] | None] = {}
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
            return 200, json.dumps(self.speaks.get(query["lang"][0], self.snapshot)).encode()

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
            return self._said(path) if path in self.holds else (200, json.dumps(document("command-done")).encode())

    def _said(self, path: str) -> tuple[int, bytes] | None:
        held = self.holds[path]
        return None if held is None else (held[0], json.dumps(held[1]).encode())

    def _held(self, path: str) -> tuple[int, bytes] | None:
        """What stands behind a path; where no answer comes, the connection stays open until the server closes."""
        with self.changed:
            if self.holds[path] is None:
                self.changed.wait_for(lambda: not self.waits, 20)
            return self._said(path)

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
                at = urlsplit(self.path)
                answer = server._held(at.path) if at.path in server.holds else server._answer_to(parse_qs(at.query))
                self._answer(answer)

            def _answer(self, answer: tuple[int, bytes] | None) -> None:
                if answer is None:
                    self.close_connection = True
                else:
                    self._say(answer)

            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                self._answer(server._take(urlsplit(self.path).path, body))

            do_PUT = do_DELETE = do_POST  # noqa: N815 - the library's names

        return Handler
