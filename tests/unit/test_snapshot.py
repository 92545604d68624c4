"""The document of every state of a wall: the model's, and key by key the one the kiosk is tested against."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from server.deeds import AlertCommand
from server.documents import SnapshotDocument
from server.reading import OutlookPoint, SourceState
from server.words import WordsError
from tests.flow.conftest import read_config
from tests.unit.spine import DAY, HOUR, MINUTE, START_MS, Bench, UnsetClock, config, sample

CONTRACT = Path(__file__).parents[1] / "contract"
EMPTY = '[shop]\nname = "Test shop"\n'
FREE = "values"
"""What a sentence was made from: keys of its own."""

Shape = dict[str, set[str]]


def parts(found: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every place in a document with what stands there: a table with its keys, a row with its length, or a type."""
    if isinstance(found, dict):
        yield path, f"table of {', '.join(sorted(found))}"
        for key, value in found.items():
            if key == FREE:
                yield f"{path}.{key}", type(value).__name__
            else:
                yield from parts(value, f"{path}.{key}")
    elif isinstance(found, list):
        yield path, "list"
        for value in found:
            if isinstance(value, list):
                kinds = ", ".join("whole" if n == 0 else "number" for n, _ in enumerate(value))
                assert all(isinstance(v, int if n == 0 else int | float) for n, v in enumerate(value)), path
                yield f"{path}[]", f"row of {kinds}"
            else:
                yield from parts(value, f"{path}[]")
    elif isinstance(found, float) or (isinstance(found, int) and not isinstance(found, bool)):
        yield path, "whole" if path.endswith("_ms") and isinstance(found, int) else "number"
    else:
        yield path, type(found).__name__


def shape(*documents: Any) -> Shape:
    known: Shape = {}
    for document in documents:
        for path, kind in parts(document):
            known.setdefault(path, set()).add(kind)
    return known


def contract() -> Shape:
    return shape(*(json.loads((CONTRACT / f"{name}.json").read_text()) for name in ("snapshot", "snapshot-empty")))


def strange(document: SnapshotDocument) -> list[str]:
    """Places that are not in the contract, or hold another kind of thing. A place may be empty (null) where the model
    says so: that is checked by the model."""
    text = document.model_dump_json()
    SnapshotDocument.model_validate_json(text, strict=True)
    known = contract()
    return [
        f"{path}: {kind}; would be right: {known.get(path)}"
        for path, kinds in shape(json.loads(text)).items()
        for kind in kinds
        if kind != "NoneType"
        # shelved_until_ms and a caution stand empty in the contract: nothing more is said of their kind there
        and kind not in known.get(path, set()) - {"NoneType"}
        and known.get(path) != {"NoneType"}
    ]


@pytest.fixture
async def bench(tmp_path: Path):
    made = Bench(tmp_path / "state", config("[rules.dry-limit]\nraise_after_min = 0\n"))
    yield made
    await made.close()


async def test_zones_fresh_old_silent_and_waiting(bench: Bench):
    await bench.hear([sample("bench-1", n * MINUTE) for n in range(10)])
    assert [z.state for z in bench.document.zones] == ["fresh", "waiting"]
    fresh = bench.document
    bench.until(9 * MINUTE + 121)
    await bench.spine.engine.turn(())
    old = bench.document
    bench.until(9 * MINUTE + 601)
    await bench.spine.engine.turn(())
    silent = bench.document
    assert [d.zones[0].state for d in (fresh, old, silent)] == ["fresh", "old", "silent"]
    assert [d.zones[0].air is None for d in (fresh, old, silent)] == [False, False, True]
    told = [d.zones[0].state_text and d.zones[0].state_text.text for d in (fresh, old, silent)]
    assert told == [None, "2 min ago", "10 min ago"]
    assert [d.zones[1].heard_text and d.zones[1].heard_text.text for d in (fresh, silent)] == ["not heard yet"] * 2
    for document in (fresh, old, silent):
        assert strange(document) == []


async def test_alerts_notices_outlook_and_a_day_of_half_hours(bench: Bench):
    await bench.hear([sample("bench-1", n * 10 * MINUTE, 20.0 + n / 1000, 45 - n / 6) for n in range(150)])
    now = bench.clock.now().wall_ms
    ahead = tuple(OutlookPoint(now + n * 3_600_000, 6.4 - n / 100, 6.2, 6.6) for n in range(97))
    bench.spine.engine.outlooks["bench"] = ahead
    (alert,) = [a for a in bench.document.alerts if a.rule == "dry-limit"]
    await bench.spine.engine.command(AlertCommand("c1", "shelve", alert.id, 8))
    bench.spine.frame.watch({"mq": Lost()})
    await bench.spine.engine.publish()
    zone = bench.document.zones[0]
    assert zone.yesterday_emc_pct is not None
    assert zone.closed_bin_end_ms == (now - 2 * MINUTE * 1000) // 1_800_000 * 1_800_000
    assert [row[0] for row in zone.back] == sorted(row[0] for row in zone.back)
    assert [row[0] - now for row in zone.ahead] == [n * 3_600_000 for n in range(1, 97, 2)]
    assert zone.chart_note is not None
    assert {a.state for a in bench.document.alerts} >= {"shelved", "unacknowledged"}
    assert [n.key for n in bench.document.notices] == ["source-lost"]
    assert strange(bench.document) == []


class Lost:
    def state(self) -> object:
        return SourceState("mq", "mqtt", "127.0.0.1:1883", "lost", START_MS, None, 0, 0, 0, 0, "", "nobody answers")


async def test_no_sensor_yet_is_the_empty_wall_of_the_contract(tmp_path: Path):
    bench = Bench(tmp_path, read_config(EMPTY))
    await bench.spine.engine.turn(())
    bound = json.loads((CONTRACT / "snapshot-empty.json").read_text())
    made = json.loads(bench.document.model_dump_json())
    assert shape(made) == shape(bound)
    assert made["empty"]["lines"][0]["values"] == {"path": "/shop/stillstack.toml"}
    assert [made["band"][part]["key"] for part in ("title", "why", "far")] == [
        bound["band"][part]["key"] for part in ("title", "why", "far")
    ]
    SnapshotDocument.model_validate_json(bench.document.model_dump_json(), strict=True)
    await bench.close()


async def test_a_full_store_and_a_clock_that_is_not_set(tmp_path: Path):
    bench = Bench(tmp_path, config(), UnsetClock(START_MS))
    await bench.hear([sample("bench-1", 1)])
    bench.spine.engine.counts.store_error = "record.sqlite: no room"
    await bench.spine.engine.publish()
    shown = bench.document
    assert (shown.shop.clock_set, shown.band.word) == (False, "act")
    assert [n.key for n in shown.notices] == ["store-full", "clock-not-set"]
    assert strange(shown) == []
    assert shown.zones[0].air is not None
    assert shown.zones[0].air.flags == [], "the air itself is as good as ever"
    await bench.close()


async def test_imperial_units_change_sentences_and_never_figures(bench: Bench):
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 20.0) for n in range(5)])
    metric, imperial = (bench.spine.engine.board.rendered("en", u) for u in ("metric", "imperial"))
    assert metric is not None
    assert imperial is not None
    assert strange(imperial) == []
    assert (metric.units, imperial.units) == ("metric", "imperial")
    assert metric.zones[0].air == imperial.zones[0].air
    assert metric.version == imperial.version


async def test_a_language_without_a_file_is_refused(bench: Bench):
    await bench.spine.engine.turn(())
    with pytest.raises(WordsError, match="language: found 'xx'; would be right: one of en, de"):
        bench.spine.engine.board.rendered("xx", "metric")


async def test_three_days_back_and_no_more(bench: Bench):
    await bench.hear([sample("loft-1", n * HOUR / 2, 17.0, 50 + n % 7) for n in range(5 * 48)])
    now = bench.document.now_ms
    back = bench.document.zones[1].back
    assert now - back[0][0] <= (3 * DAY + HOUR / 2) * 1000
    assert now - back[0][0] > (3 * DAY - HOUR / 2) * 1000
    assert back[-1][0] > now - 60_000


async def test_figures_are_rounded_to_what_can_be_seen(bench: Bench):
    await bench.hear([sample("bench-1", 1, 20.123456, 45.678912)])
    air = bench.document.zones[0].air
    assert air is not None
    assert (air.temperature_c, air.humidity_pct) == (20.12, 45.7)
    assert all(round(v, 2) == v for v in (air.emc_pct, air.emc_low_pct, air.emc_high_pct))
    assert air.emc_low_pct < air.emc_pct < air.emc_high_pct


async def test_an_alert_of_a_silent_zone_is_not_told_in_the_present(bench: Bench):
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 15.0) for n in range(40)])
    (alert,) = [a for a in bench.document.alerts if a.rule == "dry-limit"]
    assert alert.why.key == "alert-dry-why"
    bench.until(40 * MINUTE + 700)
    await bench.spine.engine.turn(())
    (alert,) = [a for a in bench.document.alerts if a.rule == "dry-limit"]
    assert alert.why.key == "alert-unheard-why"
    assert bench.document.band.title.key == "band-silent-title"


async def test_air_without_any_vapour_has_no_dew_point_and_changes_no_picture(bench: Bench):
    await bench.hear([sample("bench-1", n * MINUTE, 20.0, 0.0) for n in range(3)])
    air = bench.document.zones[0].air
    assert air is not None
    assert air.dew_point_c is None
    assert air.emc_pct == 0.0
    version = bench.document.version
    await bench.spine.engine.turn(())
    assert bench.document.version == version


async def test_what_a_broker_kept_is_shown_as_last_known_until_the_sensor_speaks_and_moves_nothing(tmp_path: Path):
    """Field pitfall 16: after a restart an old value counts as new."""
    bench = Bench(tmp_path / "state")
    await bench.hear([sample("loft-1", 1.0, 17.5, 55.0, retained=True)])
    (loft,) = [zone for zone in bench.document.zones if zone.id == "loft"]
    assert (loft.state, loft.air) == ("waiting", None)
    assert loft.heard_text.text == "last known 17.5 °C · 55 %"
    await bench.hear([sample("loft-1", 2.0, 18.0, 54.0)])
    (loft,) = [zone for zone in bench.document.zones if zone.id == "loft"]
    assert loft.state == "fresh"
    assert loft.heard_text.key == "zone-heard"
    assert bench.spine.history.columns("zone:loft/temperature_c", 0, 2**53)[1] == [18.0]
    await bench.close()
