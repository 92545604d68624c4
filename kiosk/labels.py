"""The kiosk's own words: labels only. Every sentence about air and wood comes from the server, in the same language."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Labels:
    """One language. Field names say where a word stands; the values are what is read there."""

    screens: dict[str, str]
    later: dict[str, str]
    later_heading: str
    draws_to: str
    outlook: str
    to_look_at: str
    nothing_to_look_at: str
    aim: str
    now: str
    yesterday: str
    air: str
    humidity: str
    dew_point: str
    silent: str
    waiting: str
    clock_not_set: str
    server_away: str
    waiting_for_server: str
    waiting_hint: str
    restarted: str
    restarted_why: str
    acknowledge: str
    shelve: str
    unshelve: str
    close: str
    caution: str
    source: str
    sending: str
    not_sent: str
    over: str
    page: str
    at: str
    states: dict[str, str]
    words: dict[str, str]
    weekdays: tuple[str, ...]


EN = Labels(
    screens={
        "shop": "Shop",
        "rack": "Rack",
        "glue_up": "Glue-up",
        "seasons": "Seasons",
        "bench_book": "Bench book",
        "setup": "Setup",
    },
    later={
        "rack": "It will show each lot of stock by its end grain, worst first.",
        "glue_up": "It will say whether these boards and this adhesive can go together now, and why.",
        "seasons": "It will lay this winter beside the ones before it.",
        "bench_book": "It will answer one question a page: movement, gap, settling, milling, each with its source.",
        "setup": "It will list the sensors and their wires, the zones and their aims.",
    },
    later_heading="Not built yet",
    draws_to="This air draws wood to",
    outlook="Three days back, four ahead",
    to_look_at="To look at",
    nothing_to_look_at="Nothing to look at",
    aim="aim",
    now="now",
    yesterday="yesterday",
    air="air",
    humidity="humidity",
    dew_point="dew point",
    silent="silent",
    waiting="waiting",
    clock_not_set="clock not set",
    server_away="Server away since {at}",
    waiting_for_server="Waiting for the server",
    waiting_hint="This window keeps trying. If the server was not started, deploy/run starts it.",
    restarted="This window was restarted",
    restarted_why="Only the picture went away. The server kept every reading.",
    acknowledge="Acknowledge",
    shelve="Shelve 8 h",
    unshelve="Unshelve",
    close="Close",
    caution="Caution",
    source="Source of the limit: {source}",
    sending="Sending",
    not_sent="Not done: {reason}",
    over="This alert is over",
    page="{page} of {pages}",
    at="at {at}",
    states={
        "unacknowledged": "",
        "acknowledged": "acknowledged",
        "returned": "back to normal",
        "shelved": "shelved until {at}",
        "suppressed": "suppressed",
    },
    words={"ready": "ready", "wait": "wait", "look": "look", "act": "act"},
    weekdays=("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
)

LANGUAGES: dict[str, Labels] = {"en": EN}
