"""Two walls over HTTP at once: one outcome, the other is told that it is done already; and what they read of alerts."""

from __future__ import annotations

import asyncio
from uuid import uuid4

from server.app import Settings, serving
from server.clock import SystemClock
from server.stores.sqlite_history import SqliteHistory
from tests.flow.conftest import Door, Shop, until
from tests.flow.test_path import speak

AT_ONCE = "[rules.dry-limit]\nraise_after_min = 0\nclear_after_min = 0\n"
ROUNDS = 5


async def test_two_walls_acknowledging_at_once_have_one_outcome(shop: Shop) -> None:
    settings = Settings(shop.config(broker=False, rules=AT_ONCE), shop.state, SystemClock())
    async with serving(settings) as port, Door(port) as one, Door(port) as other:
        await until(lambda: line_listening(one), "the wire listening")
        await speak(shop, "skipped")
        for n in range(ROUNDS):
            over_first = n % 2 == 1
            await speak(shop, f"T=20.0C RH={20 + n / 10}")
            alert = await until(lambda: state_of(one, "unacknowledged"), "the alert on the wall")
            if over_first:
                await speak(shop, f"T=20.0C RH={45 + n / 10}")
                await until(lambda: state_of(one, "returned"), "it over")
            replies = await asyncio.gather(*(acknowledge(wall, alert) for wall in (one, other, one, other)))
            assert sorted(r["already"] for r in replies) == [False, True, True, True]
            assert {r["state"] for r in replies} == {"normal" if over_first else "acknowledged"}
            assert not any(r["repeated"] for r in replies)
            if not over_first:
                await speak(shop, f"T=20.0C RH={45 + n / 10}")
                await until(lambda: gone(one), "it over")
        page = (await one.http.get("/api/alerts/history", params={"most": 2})).json()
        assert [c["state"] for c in page["changes"]] == ["normal", "acknowledged"]
        assert page["changes"][0]["text"]["key"] == "change-back"
        assert page["changes"][0]["stood_s"] >= 0
        rest = (await one.http.get("/api/alerts/history", params={"before": page["before"], "most": 500})).json()
        assert rest["before"] is None
        assert len(rest["changes"]) == 3 * ROUNDS - 2
    history = SqliteHistory(shop.state / "record.sqlite")
    assert [e.kind for e in history.journal() if e.kind == "acknowledged"] == ["acknowledged"] * ROUNDS


async def acknowledge(wall: Door, alert: str) -> dict[str, object]:
    reply = await wall.post(f"/api/alerts/{alert}/acknowledge", {"command_id": str(uuid4())})
    assert reply.status_code == 200, reply.text
    return reply.json()


async def state_of(door: Door, state: str) -> str | None:
    alerts = (await door.http.get("/api/alerts")).json()
    return next((a["id"] for a in alerts if a["rule"] == "dry-limit" and a["state"] == state), None)


async def gone(door: Door) -> bool:
    return not [a for a in (await door.http.get("/api/alerts")).json() if a["rule"] == "dry-limit"]


async def line_listening(door: Door) -> bool:
    sources = (await door.http.get("/api/sources")).json()
    return any(s["source"] == "line" and s["state"] == "listening" for s in sources)
