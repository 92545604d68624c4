"""Where each fault of the night must have ended: in a reading's flag, in a refusal with its reason, in a state or in a
sentence on the wall. Each is looked for in what the night left behind."""

from __future__ import annotations

from collections.abc import Callable

from sensors.mqtt.link import PACKET_LIMIT
from server.reading import Flag
from tests.faults.night.shop import Shop
from tests.faults.night.story import BURST, HOUR_BACK_S, WEEK_OLD, Night

End = Callable[[Night], str | None]
"""How it ended, in words; None where nothing of the kind is found."""


def refused(source: str, reason: str) -> End:
    """A refused payload of that source, with such a reason."""

    def found(night: Night) -> str | None:
        rows = night.shop.ask("SELECT reason FROM refused WHERE source = ?", source)
        return next((f"refused: {said[:90]}" for (said,) in rows if reason in said), None)

    return found


def flagged(series: str, raw: float, flag: Flag) -> End:
    """A reading that was kept with such a flag."""

    def found(night: Night) -> str | None:
        query = "SELECT flags FROM reading JOIN series ON id = series WHERE name = ? AND coalesce(raw, value) = ?"
        rows = night.shop.ask(query, series, raw)
        held = [Flag(bits) for (bits,) in rows if Flag(bits) & flag]
        return f"kept, and marked {flag.name}" if held and len(held) == len(rows) else None

    return found


def stranger(night: Night) -> str | None:
    rows = night.shop.ask(
        "SELECT count(*), sum(flags = ?) FROM reading JOIN series ON id = series WHERE name = 'mq:loud/temperature_c'",
        int(Flag.UNPLACED),
    )
    return f"all {BURST} kept, and marked UNPLACED" if rows == [(BURST, BURST)] else None


def said(key: str, first: int, last: int) -> End:
    """A notice, a band or an alert on the wall between two steps."""

    def found(night: Night) -> str | None:
        for wall in night.shop.wall:
            known = {wall.title, *wall.notices, *(rule for rule, _ in wall.alerts)}
            if first <= wall.step <= last and key in known:
                return f"on the wall at minute {wall.step}: {key} ({wall.word}: {wall.sentence})"
        return None

    return found


def held_by_another(night: Night) -> str | None:
    return f"refused: {night.opener[-70:]}" if "would be right: one reader a port" in night.opener else None


def told_of_a_twin(night: Night) -> str | None:
    return f"lost: {night.twin_told[-90:]}" if "another client may use the id" in night.twin_told else None


def clock_set(by_s: float) -> End:
    """A step of the clock in the journal."""

    def found(night: Night) -> str | None:
        rows = night.shop.ask("SELECT data FROM journal WHERE kind = 'clock-set'")
        steps = [night.step_of(data) for (data,) in rows]
        return f"in the journal: set by {by_s} s" if any(abs(step - by_s) < 1 for step in steps) else None

    return found


def kept_back(night: Night) -> str | None:
    """We tell a broker the longest packet that we take, and it does not send what is longer (MQTT 5.0, 3.1.2.11.4)."""
    (there,) = night.shop.ask("SELECT count(*) FROM refused WHERE length(payload) > ?", PACKET_LIMIT)
    return f"the broker keeps it: no packet above {PACKET_LIMIT} bytes is taken" if there == (0,) else None


ENDS: dict[str, End] = {
    "half a line": refused("line", "T=19.0T=23.0"),
    "boot text": refused("line", "rst:0x1"),
    "invalid UTF-8 on the line": refused("line", "UTF-8"),
    "a megabyte without a newline": refused("line", "no newline in 512 bytes"),
    "101 % RH": flagged("odd/humidity_pct", 101.0, Flag.SATURATED),
    "NaN": refused("mq", "found NaN"),
    "Infinity": refused("mq", "found Infinity"),
    "-45.0 from a dead chip": flagged("odd/temperature_c", -45.0, Flag.SENTINEL),
    "1e308": flagged("odd/temperature_c", 1e308, Flag.RANGE),
    "a wrong unit": refused("mq", "found unit %"),
    "a hundred kilobytes": refused("any", "100000 bytes"),
    "a megabyte": kept_back,
    "invalid UTF-8": refused("any", "UTF-8"),
    "deeply nested JSON": refused("any", "deeper than 32 levels; would be right: a flatter JSON value"),
    "a topic of 60 levels": refused("any", "60 levels"),
    "a retained value of last week": flagged("odd/temperature_c", WEEK_OLD, Flag.RETAINED),
    "a device renamed": flagged("numbers:renamed/temperature_c", 20.5, Flag.UNPLACED),
    f"{BURST} messages at once": stranger,
    "a broker that refuses": said("source-refused", 37, 40),
    "another program on the port": held_by_another,
    "a twin with our id": told_of_a_twin,
    "a power cut, and flipped bits": said("record-copies", 81, 89),
    "a disk that fills": said("record-failing", 91, 94),
    "+30 days": clock_set(30 * 86_400),
    "and back": clock_set(-30 * 86_400),
    "-1 h": clock_set(HOUR_BACK_S),
    "a power cut, and a file cut short": said("alert-salvage-title", 166, 175),
}


def judge(night: Night) -> None:
    """Note how each thing has ended that has by now."""
    for _, _, what in night.done:
        if what not in night.ended and (end := ENDS[what](night)):
            night.ended[what] = end


def report(night: Night) -> tuple[str, list[str]]:
    """The night in lines: when, on which wire, what, and how it ended; and what ended nowhere."""
    judge(night)
    lines, nowhere = [], []
    for minute, wire, what in dict.fromkeys(night.done):
        end = night.ended.get(what)
        lines.append(f"{minute // 60}:{minute % 60:02d}  {wire:8} {what:36} {end or 'ended nowhere'}")
        if end is None:
            nowhere.append(what)
    return "\n".join(lines) + "\n", nowhere


def kept(shop: Shop, sensor: str) -> list[float]:
    """Every temperature of a sensor in the record, as its device said it."""
    query = "SELECT coalesce(raw, value) FROM reading JOIN series ON id = series WHERE name = ?"
    return [round(value, 3) for (value,) in shop.ask(query, f"{sensor}/temperature_c")]
