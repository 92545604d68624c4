"""What the frame adds to the engine's state: wires, names, news, the order of the list."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from sensors.driver import Listener
from sensors.supervise import Supervisor
from server.clock import Instant
from server.engine import EngineState
from server.frame import Frame, worst_first
from server.reading import Alert, AlertState, SourceState, Word
from server.words.of_notice import NEWS_MS
from tests.unit.spine import START_MS, Bench, config, sample


def alert(name: str, state: AlertState = "unacknowledged", word: Word = "look", raised_ms: int = START_MS) -> Alert:
    return Alert(name, "dry-limit", name, state, word, "dry", raised_ms, raised_ms, None, {})


def ids(alerts: list[Alert]) -> list[str]:
    return [a.id for a in worst_first(alerts)]


def test_what_nobody_has_seen_comes_first_then_graver_words_then_the_newest():
    seen = alert("seen", "acknowledged", "act", START_MS + 9)
    look, act, newer = alert("look"), alert("act", word="act"), alert("newer", raised_ms=START_MS + 1)
    shelved, over = alert("shelved", "shelved"), alert("over", "returned")
    assert ids([shelved, seen, look, over, act, newer]) == ["act", "newer", "look", "over", "seen", "shelved"]


def test_alerts_of_one_moment_stand_in_an_order_that_does_not_hang_on_their_ids():
    one = Alert("zzz", "sensor-silent", "bench-1", "unacknowledged", "look", "none", START_MS, START_MS, None, {})
    other = Alert("aaa", "sensor-silent", "bench-2", "unacknowledged", "look", "none", START_MS, START_MS, None, {})
    assert ids([other, one]) == ids([one, other]) == ["zzz", "aaa"]


def test_every_state_has_its_place():
    assert len(ids([alert(state, state) for state in get_args(AlertState)])) == len(get_args(AlertState))


class Quiet:
    async def run(self, listener: Listener) -> None:
        """Never started here."""


def test_a_supervised_wires_state_is_ours_field_by_field():
    frame = Frame(config(), None, None)
    supervisor = Supervisor("mq", "mqtt", "127.0.0.1:1883", Quiet(), lambda _: None, lambda: (START_MS, 5.0))
    supervisor.dropped(3)
    frame.watch({"mq": supervisor})
    assert frame.sources() == [
        SourceState("mq", "mqtt", "127.0.0.1:1883", "starting", START_MS, None, 0, 0, 3, 0, "", "")
    ]


@pytest.mark.parametrize(("gone_ms", "is_news"), [(0, True), (NEWS_MS - 1, True), (NEWS_MS, False)])
def test_a_restart_is_news_for_ten_minutes(gone_ms: int, is_news: bool):
    frame = Frame(config(), None, START_MS)
    view = frame(EngineState(Instant(START_MS + gone_ms, 0.0), (), (), ""))
    assert ("server-restarted" in [n.key for n in view.notices]) is is_news


async def test_zones_go_by_their_names_and_sensors_by_their_ids(tmp_path: Path):
    bench = Bench(tmp_path, config("[rules.sensor-silent]\nat_least_min = 1\n"))
    await bench.hear([sample("bench-1", n) for n in (0, 10)])
    await bench.tick_until(600)
    texts = {a.subject: (a.title.text, a.why.text) for a in bench.document.alerts}
    assert texts["loft-1"] == (
        "Rack loft: sensor silent",
        "loft-1 has not been heard since the start. Look at its plug, battery and network.",
    )
    await bench.close()
