"""Pictures: told by their bytes, kept once, given back as they came, in every copy of the record; what is refused."""

from __future__ import annotations

import struct
import zlib
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from server.api.access import BODY_LIMIT
from server.api.problems import ProblemDocument
from server.pictures import NoPicture, kind_of
from server.stores.backup import back_up
from server.stores.sqlite_history import SqliteHistory
from tests.unit.api.walls import Wall
from tests.unit.test_lots_api import LOT


def chunk(name: bytes, data: bytes) -> bytes:
    """Of a PNG, as ISO/IEC 15948 5.3 has it."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int = 2, height: int = 3, shade: int = 7) -> bytes:
    """A whole grey PNG."""
    rows = b"".join(b"\0" + bytes([shade] * width) for _ in range(min(height, 9)))
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    whole = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + whole


def jpeg(width: int = 4, height: int = 5, frame: int = 0xC0) -> bytes:
    """The markers of a JPEG, as ISO/IEC 10918-1 annex B has them, around an empty scan."""
    app = b"\xff\xe0" + struct.pack(">H", 16) + b"JFIF\0\x01\x01\0\0\x01\0\x01\0\0"
    sof = b"\xff" + bytes([frame]) + struct.pack(">HBHHB", 11, 8, height, width, 1) + b"\x01\x11\0"
    scan = b"\xff\xda" + struct.pack(">H", 8) + b"\x01\x01\0\0\x3f\0" + b"\x00"
    return b"\xff\xd8" + app + b"\xff" + sof + scan + b"\xff\xd9"


@pytest.fixture
async def wall(tmp_path: Path) -> AsyncIterator[Wall]:
    made = await Wall(tmp_path / "state").open()
    yield made
    await made.bench.close()


async def put(wall: Wall, name: str, data: bytes, kind: str = "image/png", **query: str) -> httpx.Response:
    return await wall.ask("PUT", f"pictures/{name}", content=data, headers={"content-type": kind}, params=query)


def problem(reply: httpx.Response, status: int) -> ProblemDocument:
    assert reply.status_code == status, reply.text
    return ProblemDocument.model_validate(reply.json())


@pytest.mark.parametrize(
    ("data", "kind"), [(png(), "image/png"), (jpeg(), "image/jpeg"), (jpeg(frame=0xC2), "image/jpeg")]
)
async def test_it_comes_back_as_it_was_put_also_after_a_restart_and_from_a_copy(
    wall: Wall, tmp_path: Path, data: bytes, kind: str
) -> None:
    reply = await put(wall, "log-7", data, kind, who="Ada")
    assert reply.json() == {"done": True, "repeated": False, "id": "log-7", "type": kind, "bytes": len(data)}
    assert (await put(wall, "log-7", data, kind)).json()["repeated"]
    await wall.again()
    found = await wall.ask("GET", "pictures/log-7")
    assert (found.status_code, found.content, found.headers["content-type"]) == (200, data, kind)
    assert found.headers["x-content-type-options"] == "nosniff"
    back_up(tmp_path / "state" / "record.sqlite", tmp_path / "copy.sqlite")
    assert SqliteHistory(tmp_path / "copy.sqlite").picture("log-7") == (kind, data)
    (entry,) = [e for e in await wall.journal() if e["deed"]["kind"] == "pictured"]
    assert (entry["who"], entry["deed"]["subject"], entry["deed"]["bytes"]) == ("Ada", "log-7", len(data))


async def test_a_lot_names_a_picture_that_there_is(wall: Wall) -> None:
    async def receive(picture: str, entry: str = "wall-0000") -> httpx.Response:
        return await wall.ask("POST", "journal", {"id": entry, "deed": {**LOT, "log": "log-7", "picture": picture}})

    refused = problem(await receive("log-7"), 409)
    assert (refused.field, refused.found) == ("picture", "'log-7'")
    await put(wall, "log-7", png())
    assert (await receive("log-7")).status_code == 200
    (lot,) = await wall.get("lots")
    assert (lot["log"], lot["picture"]) == ("log-7", "log-7")
    becomes: dict[str, Any] = {**LOT, "picture": "log-8"}
    deed = {"kind": "corrected", "entry": "wall-0000", "at_ms": lot["received_ms"], "becomes": becomes}
    assert problem(await wall.ask("POST", "journal", {"id": "wall-0001", "deed": deed}), 409).field == "picture"


@pytest.mark.parametrize(
    ("data", "kind", "status", "field", "said"),
    [
        (b"", "image/png", 415, "body", "0 bytes"),
        (b"<svg/>", "image/png", 415, "body", "3c 73 76 67"),
        (b"GIF89a" + bytes(30), "image/png", 415, "body", "47 49 46"),
        (b"<html>", "text/html", 415, "content-type", "text/html"),
        (b"{}", "application/json", 415, "content-type", "application/json"),
        (png(), "image/jpeg", 415, "content-type", "bytes of image/png"),
        (png()[:-4], "image/png", 415, "body", "cut off"),
        (png(0, 5), "image/png", 415, "body", "0 x 5"),
        (png(20_001, 1), "image/png", 415, "body", "20001 x 1"),
        (png().replace(b"\x08\0\0\0\0", b"\x09\0\0\0\0"), "image/png", 415, "body", "header is damaged"),
        (jpeg()[:-2], "image/jpeg", 415, "body", "cut off"),
        (jpeg(0, 4), "image/jpeg", 415, "body", "0 x 4"),
        (jpeg(frame=0xC4), "image/jpeg", 415, "body", "without a frame"),
        (jpeg()[:20], "image/jpeg", 415, "body", "without a scan"),
        (png() + bytes(BODY_LIMIT), "image/png", 413, "body", "more than 1000000 bytes"),
    ],
)  # fmt: skip
async def test_what_is_no_picture(wall: Wall, data: bytes, kind: str, status: int, field: str, said: str) -> None:  # noqa: PLR0917
    refused = problem(await put(wall, "log-7", data, kind), status)
    assert refused.field == field
    assert said in refused.found
    assert refused.would_be_right
    assert (await wall.ask("GET", "pictures/log-7")).status_code == 404


async def test_an_id_stays_its_pictures(wall: Wall) -> None:
    await put(wall, "log-7", png())
    assert problem(await put(wall, "log-7", png(shade=8)), 409).field == "picture"
    assert problem(await put(wall, "Log 7", png()), 422).field == "picture"
    assert problem(await wall.ask("GET", "pictures/log-8"), 404).found == "'log-8'"
    assert (await wall.ask("GET", "pictures/log-7")).content == png()


@pytest.mark.parametrize("whole", [png(), jpeg()])
def test_any_beginning_of_a_picture_is_none(whole: bytes) -> None:
    for end in range(len(whole)):
        with pytest.raises(NoPicture):
            kind_of(whole[:end])
