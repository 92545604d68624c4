"""What a client reads of alerts: what stands, pages of changes, the report; and what it is refused with which words."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from tests.unit.api.walls import Wall
from tests.unit.spine import HOUR, MINUTE, START_MS, config, sample

AT_ONCE = "[rules.dry-limit]\nraise_after_min = 0\nclear_after_min = 0\n[rules.sensor-silent]\nat_least_min = 600\n"
DAY_MS = 86_400_000


@pytest.fixture
async def wall(tmp_path: Path) -> AsyncIterator[Wall]:
    made = await Wall(tmp_path / "state", config(AT_ONCE)).open()
    yield made
    await made.bench.close()


async def air(wall: Wall, minute: int, humidity_pct: float) -> None:
    await wall.bench.hear([sample("bench-1", (minute + n) * MINUTE, 20.0, humidity_pct) for n in range(2)], 2)


async def acknowledge(wall: Wall, alert: str, command: str | None = None) -> Any:
    reply = await wall.ask("POST", f"alerts/{alert}/acknowledge", {"command_id": command or str(uuid4())})
    assert reply.status_code == 200, reply.text
    return reply.json()


async def test_what_stands_says_its_state_since_when_what_to_do_and_what_may_be_told(wall: Wall) -> None:
    await air(wall, 1, 20.0)
    (alert,) = await wall.get("alerts")
    assert (alert["state"], alert["raised_ms"], alert["deeds"]) == (
        "unacknowledged", START_MS + 120_000, ["acknowledge", "shelve"],
    )  # fmt: skip
    assert alert["deed"]["key"] == "band-dry-why"
    assert alert["deed"]["text"].endswith("Wrap stock that is milled, or bring the heating down.")
    assert (alert["stale"], alert["chattering"], alert["raises_in_a_day"], alert["note"]) == (False, False, 1, None)


async def test_an_alert_that_comes_and_goes_is_marked_so(wall: Wall) -> None:
    for n in range(3):
        await air(wall, 1 + 6 * n, 20.0)
        await air(wall, 4 + 6 * n, 45.0)
    (alert,) = await wall.get("alerts")
    assert (alert["state"], alert["chattering"], alert["raises_in_a_day"]) == ("returned", True, 3)
    assert alert["note"]["text"].startswith("It came 3 times in a day")
    assert alert["why"]["text"] == "Back at 13:17, after 3 min. Acknowledge it to put it away."


async def test_changes_come_in_pages_that_neither_skip_nor_repeat(wall: Wall) -> None:
    for n in range(4):
        await air(wall, 1 + 6 * n, 20.0)
        await air(wall, 4 + 6 * n, 45.0)
    seen, before = [], 2**53
    while before is not None:
        page = await wall.get(f"alerts/history?most=3&before={before}")
        seen += [(c["at_ms"], c["state"]) for c in page["changes"]]
        before = page["before"]
    assert [state for _, state in seen] == ["returned", "unacknowledged"] * 4
    assert seen == sorted(seen, reverse=True)
    middle = await wall.get(f"alerts/history?from_ms={seen[3][0]}&to_ms={seen[1][0]}")
    assert [(c["at_ms"], c["state"]) for c in middle["changes"]] == seen[2:4]
    assert middle["changes"][0]["text"]["text"] == "Back after 3 min."
    assert middle["changes"][0]["stood_s"] == 180


async def test_the_last_changes_hang_on_the_wall_for_a_day(wall: Wall) -> None:
    await air(wall, 1, 20.0)
    await acknowledge(wall, (await wall.get("alerts"))[0]["id"])
    await air(wall, 4, 45.0)
    said = (await wall.get("snapshot"))["changes"]
    assert [(c["state"], c["text"]["text"]) for c in said[:2]] == [
        ("normal", "Back after 3 min."),
        ("acknowledged", "Seen by somebody."),
    ]
    assert [c["title"]["text"] for c in said] == ["Bench room: too dry"] * 3
    await wall.bench.tick_until(25 * HOUR, every_s=6 * HOUR)
    assert [c for c in (await wall.get("snapshot"))["changes"] if c["rule"] == "dry-limit"] == []


async def test_the_second_to_acknowledge_is_told_that_it_is_done_already(wall: Wall) -> None:
    await air(wall, 1, 20.0)
    ident = (await wall.get("alerts"))[0]["id"]
    first, second = await acknowledge(wall, ident, one := str(uuid4())), await acknowledge(wall, ident)
    again = await acknowledge(wall, ident, one)
    assert [(r["already"], r["repeated"], r["state"]) for r in (first, second, again)] == [
        (False, False, "acknowledged"), (True, False, "acknowledged"), (False, True, "acknowledged"),
    ]  # fmt: skip
    await air(wall, 4, 45.0)
    late = await acknowledge(wall, ident)
    assert (late["already"], late["state"]) == (True, "normal")
    assert [e.kind for e in wall.bench.spine.history.journal("acknowledged")] == ["acknowledged"]
    refused = await wall.refused("POST", f"alerts/{ident}/shelve", 409, hours=2)
    assert (refused.field, refused.found) == ("alert", "'normal'")
    unknown = await wall.refused("POST", "alerts/zz/acknowledge", 404)
    assert unknown.would_be_right == "the id of an alert in the snapshot"


async def test_the_report_names_each_measure_and_its_bound(wall: Wall) -> None:
    await air(wall, 1, 20.0)
    await acknowledge(wall, (await wall.get("alerts"))[0]["id"])
    found = await wall.get(f"alerts/measures?from_ms={START_MS}&to_ms={START_MS + DAY_MS}")
    per_day = found["measures"][0]
    assert (per_day["key"], per_day["value"], per_day["acceptable"], per_day["most"], per_day["provenance"]) == (
        "alarms_per_day", 1.0, 150.0, 300.0, "memory",
    )  # fmt: skip
    assert per_day["title"]["text"] == "Alarms a day, on average"
    assert [(one["rule"], one["count"]) for one in found["most_frequent"]] == [("dry-limit", 1)]
    assert found["acknowledging"]["count"] == 1


@pytest.mark.parametrize(
    ("query", "field", "right"),
    [
        ("measures?from_ms=5&to_ms=5", "to_ms", "later than from_ms (5)"),
        (f"measures?from_ms=0&to_ms={401 * DAY_MS}", "to_ms", "at most 400 days after from_ms (34560000000)"),
        ("measures?to_ms=5", "from_ms", ""),
        ("measures?from_ms=x&to_ms=5", "from_ms", ""),
        ("history?from_ms=7&to_ms=3", "to_ms", "later than from_ms (7)"),
        ("history?most=0", "most", ""),
        ("history?most=501", "most", ""),
        ("history?before=0", "before", ""),
    ],
)
async def test_a_span_or_page_that_is_none_is_refused(wall: Wall, query: str, field: str, right: str) -> None:
    refused = await wall.refused("GET", f"alerts/{query}", 422)
    assert refused.field == field
    assert refused.would_be_right == right or not right
