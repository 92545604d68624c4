"""Names of devices that announced themselves: no two quantities under one, whatever is announced in which order."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sensors.discovered_names import names
from sensors.discovery import Discovered
from sensors.places import template

NODES = ("loft", "yard", "yard-2", "a/b")
one = st.builds(
    lambda device, twin, node, object_id, field: (
        f"home/sensor/{node}/{object_id}/config",
        Discovered("s", device, device, object_id, field, template("{{ value_json.a }}"), twin),
    ),
    st.sampled_from(["d", "d.loft", "d.t"]),
    st.sampled_from(["", *NODES]),
    st.sampled_from(["loft", "yard"]),
    st.sampled_from(["t", "h", "t2"]),
    st.sampled_from(["temperature_c", "humidity_pct"]),
)


@given(st.lists(one, max_size=10), st.integers(0, 10))
def test_each_quantity_has_a_name_of_its_own_and_keeps_it(said: list[tuple[str, Discovered]], first: int) -> None:
    announced = dict(said)
    called = names(announced)
    assert called == names(dict(reversed(announced.items())))
    early = dict(list(announced.items())[:first])
    given_then = names(early)
    later = names(announced, given_then)
    assert {topic: later[topic] for topic in early} == given_then
    for told in (called, later):
        by_name = [(name, announced[topic].quantity) for topic, name in told.items()]
        assert len(set(by_name)) == len(by_name) == len(announced)


@given(st.lists(one, max_size=10))
def test_one_name_is_one_device(said: list[tuple[str, Discovered]]) -> None:
    announced = dict(said)
    owner: dict[str, set[tuple[str, str]]] = {}
    for topic, name in names(announced).items():
        owner.setdefault(name, set()).add((announced[topic].device, announced[topic].twin))
    assert all(len(owners) == 1 for owners in owner.values())
