"""Everything a person or a client can get wrong in an entry: each is refused by field, what was found and what would be
right, and nothing is written."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.api.access import BODY_LIMIT
from server.api.problems import ProblemDocument
from tests.unit.spine import HOUR, START_MS, Bench
from tests.unit.test_salt_checks import client

SOLID: dict[str, Any] = {
    "kind": "received", "lot": "oak-1", "name": "Legs", "species": "oak_northern_red", "thickness_mm": 27, "pieces": 3,
    "width_mm": 120, "length_mm": 2200, "zone": "bench", "start": {"kind": "unknown"},
    "aim": {"destination": "heated"},
}  # fmt: skip
SHEET = {**SOLID, "lot": "mdf-1", "species": None, "sheet": "mdf", "thickness_mm": 18}
H = HOUR * 1000
THERE: list[tuple[float, dict[str, Any]]] = [
    (0, {**SOLID, "lot": "ash-1", "species": "ash_white"}),
    (0, {**SOLID, "lot": "ash-2", "species": "ash_white", "thickness_mm": 22, "pieces": 2}),
    (0, {**SOLID, "lot": "ash-3", "species": "ash_white"}),
    (0, SHEET),
    (1, {"kind": "milled", "lot": "ash-2", "take_top_mm": 2, "take_bottom_mm": 2}),
    (2, {"kind": "split", "lot": "ash-1", "pieces": 1, "into": "part-1", "name": "Part"}),
    (3, {"kind": "moved", "lot": "part-1", "zone": "loft"}),
    (4, {"kind": "delivered", "lot": "ash-3"}),
]
NOW_MS = START_MS + 10 * H


def entry(deed: Any, **more: Any) -> dict[str, Any]:
    return {"id": "told-now-1", "deed": deed, **more}


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    made.until(10 * HOUR)
    async with client(made) as door:
        for n, (t_h, deed) in enumerate(THERE):
            body = {"id": f"told-before-{n}", "t_ms": START_MS + round(t_h * H), "who": "Ada", "deed": deed}
            reply = await door.post("/api/journal", json=body)
            assert reply.status_code == 200, reply.text
    yield made
    await made.close()


async def refused(bench: Bench, content: bytes, kind: str = "application/json") -> ProblemDocument:
    """The answer to a body; nothing was written, and the lots are as they were."""
    async with client(bench) as door:
        before = [(await door.get(f"/api/{what}")).json() for what in ("journal", "lots?ended=true")]
        reply = await door.post("/api/journal", content=content, headers={"content-type": kind})
        assert 400 <= reply.status_code < 500, reply.text
        assert reply.headers["content-type"] == "application/problem+json"
        assert [(await door.get(f"/api/{what}")).json() for what in ("journal", "lots?ended=true")] == before
    problem = ProblemDocument.model_validate_json(reply.content)
    assert problem.status == reply.status_code
    assert len(problem.field) <= 120
    assert len(problem.found) <= 300
    assert not any(phrase in problem.would_be_right for phrase in ("Input should", "unable to", "permitted"))
    return problem


def milled(lot: str, top: Any, bottom: Any = 1) -> dict[str, Any]:
    return {"kind": "milled", "lot": lot, "take_top_mm": top, "take_bottom_mm": bottom}


def split(**more: Any) -> dict[str, Any]:
    return {"kind": "split", "lot": "ash-1", "pieces": 1, "into": "part-2", "name": "Part", **more}


MM = "the thickness in millimetres, 0.3 to 300 mm"
NEVER = "a lot that is in the shop"
CASES: dict[str, tuple[dict[str, Any], int, str, str, str]] = {
    # The issue's own list: what is told, then status, field, found, would be right (the beginning of both).
    "unknown lot": (entry(milled("oak-9", 1)), 409, "lot", "'oak-9', which was not there then", "a lot received"),
    "unknown species": (entry({**SOLID, "species": "ash_whit"}), 409, "species", "'ash_whit'", "one of ash_white"),
    "unknown sheet": (entry({**SHEET, "lot": "x", "sheet": "mdv"}), 409, "sheet", "'mdv'", "one of mdf"),
    "unknown zone": (entry({**SOLID, "zone": "attic"}), 409, "zone", "'attic'", "one of bench, loft"),
    "milling more than there is": (
        entry(milled("ash-1", 14, 13)), 409, "take_top_mm", "14 and 13 mm off 27 mm", "0.3 mm or more left",
    ),
    "sawing more than there is": (
        entry({"kind": "resawn", "lot": "ash-2", "kerf_mm": 18}), 409, "kerf_mm", "18 mm out of 18 mm", "two halves",
    ),
    "sawing a delivered board": (
        entry({"kind": "resawn", "lot": "ash-3"}), 409, "lot", "'ash-3', delivered before", NEVER,
    ),
    "the future": (
        entry(milled("ash-1", 1), t_ms=NOW_MS + 300_000), 409, "t_ms", str(NOW_MS + 300_000), "a time that has come",
    ),
    "a time in seconds": (
        entry(milled("ash-1", 1), t_ms=START_MS // 1000), 409, "t_ms", str(START_MS // 1000), "ms since 1970 UTC",
    ),
    "before receiving": (
        entry(milled("ash-1", 1), t_ms=START_MS - H), 409, "lot", "'ash-1', which was not there then", "a lot received",
    ),
    "negative pieces": (entry({**SOLID, "pieces": -3}), 422, "deed.pieces", "-3", "a whole number of pieces, 1 to"),
    "a long note": (
        entry(milled("ash-1", 1), note="n" * 10_000), 422, "note", "'" + "n" * 40 + "'… (10,000 signs)", "a note of up",
    ),
    # Thickness, width and length in another unit.
    "inches": (
        entry({**SOLID, "thickness_mm": 1.0}), 409, "thickness_mm", "1 mm",
        "25.4 mm, if it was inches; quarters 1 (6.35 mm), if it was quarters of an inch; sizes_checked: true",
    ),
    "part of an inch": (
        entry({**SOLID, "thickness_mm": 0.75}), 409, "thickness_mm", "0.75 mm", "19.05 mm, if it was inches; sizes_ch",
    ),
    "quarters": (
        entry({**SOLID, "thickness_mm": 4}), 409, "thickness_mm", "4 mm",
        "101.6 mm, if it was inches; quarters 4 (25.4 mm), if it was quarters of an inch",
    ),
    "eight quarters": (
        entry({**SOLID, "thickness_mm": 8}), 409, "thickness_mm", "8 mm", "quarters 8 (50.8 mm), if it was quarters",
    ),
    "tenths of a millimetre": (
        entry({**SOLID, "thickness_mm": 254}), 409, "thickness_mm", "254 mm", "25.4 mm, if it was tenths of a mill",
    ),
    "micrometres": (entry({**SOLID, "thickness_mm": 1000}), 422, "deed.thickness_mm", "1000", MM),
    "a sheet in inches": (entry({**SHEET, "thickness_mm": 0.75}), 409, "thickness_mm", "0.75 mm", "19.05 mm, if it"),
    "width in inches": (entry({**SOLID, "width_mm": 6}), 409, "width_mm", "6 mm", "152.4 mm, if it was inches; 27 mm"),
    "length in metres": (entry({**SOLID, "length_mm": 1.2}), 422, "deed.length_mm", "1.2", "the length in millimetres"),
    "length in inches": (
        entry({**SOLID, "length_mm": 96}), 409, "length_mm", "96 mm", "2438.4 mm, if it was inches; 960 mm, if it was",
    ),
    "long in metres": (entry({**SOLID, "length_mm": 12}), 409, "length_mm", "12 mm", "12000 mm, if it was metres"),
    "corrected into another unit": (
        entry({"kind": "corrected", "entry": "told-before-0", "at_ms": START_MS,
               "becomes": {**THERE[0][1], "thickness_mm": 1}}),
        409, "thickness_mm", "1 mm", "25.4 mm, if it was inches",
    ),
    # What rests on another entry.
    "a correction a later entry cannot bear": (
        entry({"kind": "corrected", "entry": "told-before-0", "at_ms": START_MS,
               "becomes": {**THERE[0][1], "pieces": 1}}),
        409, "pieces", "1, in the entry 'told-before-5' (split, which Ada told)", "a lot of two pieces or more; or",
    ),
    "a correction into a later time": (
        entry({"kind": "corrected", "entry": "told-before-1", "at_ms": START_MS + 2 * H, "becomes": THERE[1][1]}),
        409, "lot", "'ash-2', which was not there then, in the entry 'told-before-4' (milled", "a lot received before",
    ),
    "undoing what others rest on": (
        entry({"kind": "undone", "entry": "told-before-5"}),
        409, "lot", "'part-1', which was not there then, in the entry 'told-before-6' (moved", "a lot received before",
    ),
    "undoing what is not there": (
        entry({"kind": "undone", "entry": "told-never"}), 409, "entry", "'told-never'", "the id of an entry that was",
    ),
    "correcting into another kind": (
        entry({"kind": "corrected", "entry": "told-before-4", "at_ms": START_MS,
               "becomes": {"kind": "confirmed", "lot": "ash-2"}}),
        409, "becomes.kind", "'confirmed'", "the same kind, milled; else undo it",
    ),
    # Lots among each other.
    "splitting into one that is there": (
        entry(split(into="ash-2")), 409, "into", "'ash-2', which is there already", "an id no lot has had",
    ),
    "splitting into one that left": (entry(split(into="ash-3")), 409, "into", "'ash-3', which is", "an id no lot has"),
    "splitting all of it": (entry(split(pieces=2)), 409, "pieces", "2", "1 to 1, fewer than the lot has"),
    "joining unlike lots": (
        entry({"kind": "joined", "lot": "ash-1", "others": ["ash-2"]}), 409, "others", "'ash-2': ash_white, flat, 18",
        "ash_white, flat, 27 mm as 'ash-1' is",
    ),
    "joining with itself": (
        entry({"kind": "joined", "lot": "ash-1", "others": ["ash-1"]}), 409, "others", "ash-1", "each other lot once",
    ),
    "receiving it again": (entry({**SOLID, "lot": "ash-3"}), 409, "lot", "'ash-3', which is there already", "an id no"),
    "a meter on a sheet": (
        entry({"kind": "metered", "lot": "mdf-1", "reading_pct": 8}), 409, "lot", "'mdf-1', which is mdf", "a lot of",
    ),
    "metering what has left": (
        entry({"kind": "metered", "lot": "ash-3", "reading_pct": 8}), 409, "lot", "'ash-3', delivered before", NEVER,
    ),
    "more strips than it gives": (
        entry({"kind": "ripped", "lot": "ash-1", "width_mm": 50, "pieces": 9}), 409, "pieces", "9 strips of 50 mm",
        "at most 4 out of 2 of 120 mm",
    ),
    # Numbers and names that are none.
    "a number as text": (entry(milled("ash-1", "1")), 422, "deed.take_top_mm", "'1'", "what comes off a face in mill"),
    "yes for a number": (entry(milled("ash-1", True)), 422, "deed.take_top_mm", "true", "what comes off a face in mil"),
    "half a piece": (entry(split(pieces=1.5)), 422, "deed.pieces", "1.5", "a whole number of pieces"),
    "a huge number": (entry(milled("ash-1", 10**400)), 422, "deed.take_top_mm", "1000", "what comes off a face"),
    "a huge time": (entry(milled("ash-1", 1), t_ms=10**30), 422, "t_ms", "1000", "when it happened, ms since 1970"),
    "a null byte": (
        entry(split(name="Le\0gs")), 422, "deed.name", r"'Le\x00gs'", "what the shop calls the new lot, 1 to 40 signs",
    ),
    "an escape": (entry(milled("ash-1", 1), who="A\x1bda"), 422, "who", r"'A\x1bda'", "who says so, one line"),
    "a control character in a note": (entry(milled("ash-1", 1), note="a\x07"), 422, "note", r"'a\x07'", "a note of up"),
    "half a character": (entry(split(name="\ud83d")), 422, "deed.name", r"'\ud83d'", "what the shop calls the new lot"),
    "an id with a space": (
        {**entry(milled("ash-1", 1)), "id": "told now 1"}, 422, "id", "'told now 1'", "an id made by whoever writes it",
    ),
    # Other shapes.
    "no deed": ({"id": "told-now-1"}, 422, "deed", "nothing", "a value"),
    "a deed of no kind": (entry({"lot": "ash-1"}), 422, "deed.kind", "nothing", "one of 'received', 'split'"),
    "a deed nobody knows": (entry({"kind": "sold", "lot": "ash-1"}), 422, "deed.kind", "'sold'", "one of 'received', "),
    "a field nobody asked for": (
        entry({**milled("ash-1", 1), "take_mm": 1}), 422, "deed.take_mm", "a field nobody asked for",
        "one of lot, kind, take_top_mm, take_bottom_mm",
    ),
    "a list for a deed": (entry([]), 422, "deed", "[]", "an object whose kind is one of 'received', 'split'"),
    "a list for a lot": (entry({"kind": "used-up", "lot": ["ash-1"]}), 422, "deed.lot", "['ash-1']", "small letters"),
    "an end before its beginning": (
        entry({"kind": "away", "from_ms": NOW_MS, "to_ms": START_MS}), 422, "deed", "{", "an end after its beginning",
    ),
    "an id with other content": (
        {"id": "told-before-7", "deed": milled("ash-1", 1)}, 409, "id", "'told-before-7'", "the same content, or an id",
    ),
}  # fmt: skip


async def test_what_cannot_be_is_refused_by_name_and_nothing_is_written(bench: Bench) -> None:
    wrong = {}
    for case, (body, status, field, found, right) in CASES.items():
        said = await refused(bench, json.dumps(body).encode())
        as_expected = (said.status, said.field) == (status, field) and said.found.startswith(found)
        if not as_expected or not said.would_be_right.startswith(right):
            wrong[case] = f"{said.status} {said.detail}"
    assert not wrong


DEEP = b'{"id":' + b"[" * 30 + b"]" * 30 + b"}"
BODIES: dict[str, tuple[bytes, str, int, str, str]] = {
    "no JSON": (b"{", "application/json", 400, "body", "text that is not JSON"),
    "not a number": (b'{"id": "told-now-1", "t_ms": NaN}', "application/json", 400, "body", "text that is not JSON"),
    "infinity": (b'{"t_ms": -Infinity}', "application/json", 400, "body", "text that is not JSON"),
    "digits without end": (b'{"t_ms": ' + b"9" * 5000 + b"}", "application/json", 400, "body", "text that is not JSON"),
    "no UTF-8": (b'{"id": "\xff\xfe"}', "application/json", 400, "body", "text that is not JSON"),
    "another encoding": ('{"id": "told-now-1"}'.encode("utf-16"), "application/json", 400, "body", "text that is not"),
    "too deep": (DEEP, "application/json", 400, "body", "more than 20 levels"),
    "an array": (b"[]", "application/json", 422, "body", "[]"),
    "nothing": (b"null", "application/json", 422, "body", "null"),
    "a form": (b"id=told-now-1", "application/x-www-form-urlencoded", 415, "content-type", "application/x-www"),
    "text": (b"{}", "text/plain", 415, "content-type", "text/plain"),
    "just too large": (
        b'"' + b"x" * (BODY_LIMIT - 1) + b'"', "application/json", 413, "body", f"more than {BODY_LIMIT} bytes",
    ),
}  # fmt: skip


async def test_a_body_that_is_none_is_refused(bench: Bench) -> None:
    wrong = {}
    for case, (content, kind, status, field, found) in BODIES.items():
        said = await refused(bench, content, kind)
        if (said.status, said.field) != (status, field) or not said.found.startswith(found):
            wrong[case] = f"{said.status} {said.detail}"
    assert not wrong


async def test_what_looks_odd_and_is_right_is_taken(bench: Bench) -> None:
    """Thin stock that somebody means, a square stick, a sheet of 3 mm, and every sign a language has."""
    odd = [
        {**SOLID, "lot": "veneer", "thickness_mm": 0.6, "sizes_checked": True},
        {**SOLID, "lot": "short", "length_mm": 60, "sizes_checked": True},
        {**SOLID, "lot": "square", "width_mm": 27},
        {**SOLID, "lot": "thin", "thickness_mm": 9},
        {**SHEET, "lot": "back", "thickness_mm": 3},
        {**SOLID, "lot": "named", "name": "Sønnås 樫 🪵 e\u0301", "rack": "\U0010ffff"},
    ]
    async with client(bench) as door:
        for n, deed in enumerate(odd):
            body = {"id": f"told-odd-{n}", "note": "two\n\tlines", "t_ms": float(NOW_MS), "deed": deed}
            reply = await door.post("/api/journal", json=body)
            assert reply.status_code == 200, reply.text
        named = (await door.get("/api/lots/named")).json()
    assert (named["name"], named["rack"]) == (odd[-1]["name"], "\U0010ffff")
    await bench.restart()
    await bench.spine.stockroom.opened()
    assert bench.spine.stockroom.shop.lots["named"].name == odd[-1]["name"]


async def test_an_id_that_another_part_has_used_is_refused(bench: Bench) -> None:
    """What was answered as written must be written: the record keeps one entry an id, whoever told it."""
    command = "e3e70682-c209-4cac-a29f-6fbed82c07cd"
    async with client(bench) as door:
        begun = await door.post("/api/salt-checks", json={"command_id": command, "sensor": "bench-1", "salt": "NaCl"})
        assert begun.status_code == 200, begun.text
    problem = await refused(bench, json.dumps({**entry(milled("ash-1", 1)), "id": command}).encode())
    assert (problem.field, problem.would_be_right) == ("id", "the same content, or an id of its own")


async def test_of_ten_clients_at_once_each_is_told_how_it_stands(bench: Bench) -> None:
    """Each takes one of two pieces: one can."""
    async with client(bench) as door:
        replies = await asyncio.gather(*(
            door.post("/api/journal", json={"id": f"at-once-{n}", "deed": split(into=f"one-{n}")}) for n in range(10)
        ))  # fmt: skip
    assert sorted(reply.status_code for reply in replies) == [200] + [409] * 9
    late = ProblemDocument.model_validate(next(r.json() for r in replies if r.status_code == 409))
    assert (late.field, late.found, late.would_be_right) == ("pieces", "1", "a lot of two pieces or more")
