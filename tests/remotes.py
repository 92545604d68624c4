"""Real time-series servers as private child processes, a small fake of the write endpoint, and a slow wire before them.

InfluxDB 1.6 knows no ``/api/v2/write``; an nginx in front of it turns that into its own ``/write``. VictoriaMetrics
takes it as it is. Neither answers 401, 413, 422 or 429 as InfluxDB 2 does: for those there is :class:`FakeServer`.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import math
import re
import signal
import ssl
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import parse_qs, unquote, urlsplit

import httpx

from server.stores.remote import Point
from tests.flow.conftest import free_port

DEADLINE_S = 60.0
BUCKET = "shop"
Kept = dict[tuple[str, int], tuple[float, float, float]]
"""By series and time: value, flags, raw."""


class Server(Protocol):
    """What a test holds of a server, whichever it is."""

    url: str

    def start(self) -> None:
        """Up and answering when it returns."""

    def stop(self) -> None:
        """An orderly end."""

    def kill(self) -> None:
        """kill -9."""

    def wipe(self) -> None:
        """Stopped, emptied, started."""

    def kept(self) -> Kept:
        """Everything that it holds."""


def wait_for(condition: Callable[[], Any], what: str, within_s: float = DEADLINE_S) -> Any:
    """Poll a condition of another process; fail by name when it never holds."""
    end = time.monotonic() + within_s
    while not (found := condition()):
        assert time.monotonic() < end, f"never came: {what}"
        time.sleep(0.02)
    return found


def answers(url: str) -> bool:
    try:
        return httpx.get(url, timeout=2.0).status_code < 400
    except httpx.HTTPError:
        return False


class _Children:
    """Child processes of one server."""

    def __init__(self) -> None:
        self._children: list[subprocess.Popen[bytes]] = []

    def run(self, *command: str) -> None:
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self._children.append(subprocess.Popen(command, **quiet))

    def end(self, sign: signal.Signals) -> None:
        for child in self._children:
            child.send_signal(sign)
        for child in self._children:
            child.wait(30)
        self._children.clear()


class InfluxServer:
    """InfluxDB 1.6 behind nginx."""

    def __init__(self, folder: Path, bucket: str = BUCKET) -> None:
        self._folder, self._bucket = folder, bucket
        self._influx_port, self._rpc_port, port = free_port(), free_port(), free_port()
        self.url = f"http://127.0.0.1:{port}"
        self._children = _Children()
        folder.mkdir()
        (folder / "influx.conf").write_text(
            f"""
reporting-disabled = true
bind-address = "127.0.0.1:{self._rpc_port}"
[meta]
dir = "{folder}/meta"
[data]
dir = "{folder}/data"
wal-dir = "{folder}/wal"
[http]
bind-address = "127.0.0.1:{self._influx_port}"
log-enabled = false
[monitor]
store-enabled = false
"""
        )
        temporary = "\n".join(
            f"{kind}_temp_path {folder}/nginx-{kind};" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        (folder / "nginx.conf").write_text(
            f"""
pid {folder}/nginx.pid;
error_log {folder}/nginx-error.log;
daemon off;
master_process off;
events {{ worker_connections 64; }}
http {{
  access_log off;
  client_max_body_size 25m;
  {temporary}
  server {{
    listen 127.0.0.1:{port};
    location = /api/v2/write {{
      proxy_pass http://127.0.0.1:{self._influx_port}/write?db=$arg_bucket&precision=$arg_precision;
    }}
    location / {{ proxy_pass http://127.0.0.1:{self._influx_port}; }}
  }}
}}
"""
        )

    def start(self) -> None:
        self._children.run("influxd", "-config", str(self._folder / "influx.conf"))
        self._children.run("nginx", "-c", str(self._folder / "nginx.conf"), "-e", str(self._folder / "nginx-error.log"))
        wait_for(lambda: answers(f"{self.url}/ping"), "InfluxDB up")
        self.make_bucket()

    def make_bucket(self) -> None:
        self._query(f'CREATE DATABASE "{self._bucket}"', post=True)

    def drop_bucket(self) -> None:
        self._query(f'DROP DATABASE "{self._bucket}"', post=True)

    def stop(self) -> None:
        self._children.end(signal.SIGTERM)

    def kill(self) -> None:
        self._children.end(signal.SIGKILL)

    def wipe(self) -> None:
        self.drop_bucket()
        self.make_bucket()

    def _query(self, question: str, *, post: bool = False) -> Any:
        query = {"db": self._bucket, "q": question, "epoch": "ms"}
        call = httpx.post if post else httpx.get
        reply = call(f"{self.url}/query", params=query, timeout=60.0)
        assert reply.status_code == 200, reply.text
        return json.loads(reply.content)["results"][0]

    def kept(self) -> Kept:
        """By InfluxQL."""
        found = self._query("SELECT value, flags, raw FROM reading GROUP BY *")
        rows: Kept = {}
        for one in found.get("series", []):
            assert not one.get("partial")
            for t_ms, value, flags, raw in one["values"]:
                rows[series_of(one["tags"]), t_ms] = (value, flags, raw)
        return rows


class VictoriaServer:
    """VictoriaMetrics."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir()
        self._port = free_port()
        self.url = f"http://127.0.0.1:{self._port}"
        self._children = _Children()

    def start(self) -> None:
        self._children.run(
            "victoria-metrics",
            f"-httpListenAddr=127.0.0.1:{self._port}",
            f"-storageDataPath={self._folder}",
            "-retentionPeriod=20y",
            "-memory.allowedBytes=64MB",
        )
        wait_for(lambda: answers(f"{self.url}/health"), "VictoriaMetrics up")

    def stop(self) -> None:
        self._children.end(signal.SIGINT)

    def kill(self) -> None:
        self._children.end(signal.SIGKILL)

    def wipe(self) -> None:
        reply = httpx.post(
            f"{self.url}/api/v1/admin/tsdb/delete_series", params={"match[]": '{__name__=~"reading_.*"}'}
        )
        assert reply.status_code == 204, reply.text

    def kept(self) -> Kept:
        """By its export of every series, once what it took last can be seen."""
        httpx.get(f"{self.url}/internal/force_flush", timeout=30.0).raise_for_status()
        reply = httpx.get(f"{self.url}/api/v1/export", params={"match[]": '{__name__=~"reading_.*"}'}, timeout=60.0)
        reply.raise_for_status()
        fields: dict[tuple[str, int], dict[str, float]] = {}
        for line in reply.text.splitlines():
            one = json.loads(line)
            tags = one["metric"]
            field = tags.pop("__name__").removeprefix("reading_")
            for t_ms, value in zip(one["timestamps"], one["values"], strict=True):
                # sent twice it may lie there twice, until it tidies up: the same value, as every query shows once
                fields.setdefault((series_of(tags), t_ms), {})[field] = value
        return {key: (one["value"], one["flags"], one["raw"]) for key, one in fields.items()}


def series_of(tags: dict[str, str]) -> str:
    """The series that a point's tags name."""
    owner = "zone:" + _name(tags["zone"]) if tags.get("zone") else _name(tags["sensor"])
    return f"{owner}/{_name(tags['quantity'])}"


def _name(tag: str) -> str:
    return unquote(tag, errors="strict") if tag != "%" else ""


def parsed(line: str) -> tuple[str, dict[str, str], dict[str, str], int]:
    """A line of the line protocol, read by the grammar of InfluxDB's documentation: measurement, tags, fields, time."""
    head, fields, t_ms = re.split(r"(?<!\\) ", line)
    measurement, *tags = re.split(r"(?<!\\),", head)
    pairs = [re.split(r"(?<!\\)=", tag) for tag in tags]
    assert all(len(pair) == 2 and all(pair) for pair in pairs), line
    plain = {_unescaped(key): _unescaped(value) for key, value in pairs}
    return _unescaped(measurement), plain, dict(f.split("=") for f in fields.split(",")), int(t_ms)


def _unescaped(text: str) -> str:
    return re.sub(r"\\([,= ])", r"\1", text)


class FakeRemote:
    """The seam in a dictionary. ``answer`` may raise for the points it is asked about."""

    def __init__(self, answer: Callable[[list[Point]], None] = lambda _: None) -> None:
        self.answer = answer
        self.writes: list[list[Point]] = []
        self.rows: Kept = {}
        self.closed = 0

    def write(self, points: Any) -> None:
        self.writes.append(list(points))
        self.answer(list(points))
        for p in points:
            self.rows[p.series, p.t_ms] = (p.value, float(p.flags), p.value if p.raw is None else p.raw)

    def close(self) -> None:
        self.closed += 1

    def kept(self) -> Kept:
        return dict(self.rows)


Answer = tuple[int, dict[str, str], str]
"""Status, headers, body."""


class FakeServer:
    """``POST /api/v2/write`` as InfluxDB 2's API description has it: 204, or what ``judge`` answers to the lines.

    ``partial`` keeps the lines that ``judge`` finds right one by one although it answers an error, as a server does
    that takes part of a request.
    """

    def __init__(self, judge: Callable[[list[str]], Answer | None] = lambda _: None, *, partial: bool = False) -> None:
        self.judge, self.partial = judge, partial
        self.requests: list[dict[str, Any]] = []
        self.rows: Kept = {}
        outer = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"])).decode("utf-8")
                lines = body.split("\n")
                url = urlsplit(self.path)
                outer.requests.append(
                    {"path": url.path, **parse_qs(url.query), "headers": dict(self.headers), "n": len(lines)}
                )
                status, headers, text = outer.taken(lines)
                said = text.encode()
                self.send_response_only(status)
                for name, value in {**headers, "Content-Length": str(len(said))}.items():
                    self.send_header(name, value)
                self.end_headers()
                self.wfile.write(said)

            def log_message(self, *_: object) -> None:
                return

        self._http = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._http.daemon_threads = True
        self.url = f"http://127.0.0.1:{self._http.server_port}"
        self._thread = threading.Thread(target=lambda: self._http.serve_forever(0.02), daemon=True)
        self._thread.start()

    def taken(self, lines: list[str]) -> Answer:
        answer = self.judge(lines)
        for line in lines if answer is None else [one for one in lines if self.partial and self.judge([one]) is None]:
            _, tags, fields, t_ms = parsed(line)
            numbers = {name: float(value) for name, value in fields.items()}
            assert all(math.isfinite(number) for number in numbers.values())
            self.rows[series_of(tags), t_ms] = (numbers["value"], numbers["flags"], numbers["raw"])
        return answer or (204, {}, "")

    def kept(self) -> Kept:
        return dict(self.rows)

    def wrap(self, context: ssl.SSLContext) -> None:
        """Speak TLS from here on."""
        self._http.socket = context.wrap_socket(self._http.socket, server_side=True)

    def close(self) -> None:
        self._http.shutdown()
        self._http.server_close()
        self._thread.join()


class SlowWire:
    """A TCP relay to ``port`` that holds back every piece for ``delay_s``, and everything while ``stalled``."""

    def __init__(self, port: int, delay_s: float) -> None:
        self._to, self._delay_s = port, delay_s
        self.flowing = asyncio.Event()
        self.flowing.set()
        self._tasks: set[asyncio.Task[Any]] = set()
        self.connections = 0

    async def __aenter__(self) -> SlowWire:
        self._server = await asyncio.start_server(self._relay, "127.0.0.1", 0)
        self.port = int(self._server.sockets[0].getsockname()[1])
        return self

    async def __aexit__(self, *_: object) -> None:
        self._server.close()
        for task in list(self._tasks):
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        await asyncio.sleep(0)  # an aborted transport closes in the loop's next turn
        await self._server.wait_closed()

    async def _relay(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        self._tasks.add(task)
        self.connections += 1
        task.add_done_callback(self._tasks.discard)
        writers = [writer]
        try:
            far_reader, far_writer = await asyncio.open_connection("127.0.0.1", self._to)
            writers.append(far_writer)
            async with asyncio.TaskGroup() as group:
                group.create_task(self._pump(reader, far_writer))
                group.create_task(self._pump(far_reader, writer))
        except* (ConnectionError, EOFError):
            pass
        finally:
            for one in writers:
                one.transport.abort()

    async def _pump(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while piece := await reader.read(1 << 16):
            await asyncio.sleep(self._delay_s)
            await self.flowing.wait()
            writer.write(piece)
            await writer.drain()
        raise EOFError


@contextlib.contextmanager
def running(server: Any) -> Iterator[Any]:
    """A server for as long as the block lasts."""
    server.start()
    try:
        yield server
    finally:
        server.kill()


@contextlib.contextmanager
def own_folder() -> Iterator[Path]:
    """A folder with a short name: sockets and logs of servers live there."""
    with tempfile.TemporaryDirectory(prefix="remote-", ignore_cleanup_errors=True) as name:
        yield Path(name)
