"""How well the alerts serve: the measures of ISA-18.2 / IEC 62682, from the changes that were kept. Pure.

The measures, their names and the bounds beside them are from memory: no copy of either standard was read, and each
bound says so in its ``provenance``. They were set for one person at the desk of a plant; a shop should stay far below.
``holds`` is None where there is no bound, or where too few alerts came for a share of them to mean anything.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from statistics import median

from server.alerts.book import Key
from server.alerts.marks import CHATTER_RAISES, CHATTER_S, SHOWN, STALE_S
from server.alerts.report_parts import Acknowledging, Chattering, Frequent, Measure, Report, Span, WordShare
from server.alerts.story import Stay, Step, stays_of, steps_of
from server.reading import Alert, Word

MINUTE_MS, HOUR_MS, DAY_MS = 60_000, 3_600_000, 86_400_000
TEN_MINUTES_MS = 10 * MINUTE_MS
FLOOD_ABOVE, FLOOD_ENDS_BELOW = 10, 5
"""Alarms in ten minutes: a flood begins with more than the first and ends with fewer than the second (memory)."""
HOUR_ABOVE = 30
"""Alarms in an hour that are too many (memory)."""
CHATTER_MINUTE_S = 60.0
"""Three raises of one alert in so long are chatter (the standards' rule of thumb; memory)."""
NEWS_A_WEEK = 2
"""So many that ask for nothing are read. Ours."""
TOP = 10
ENOUGH = 100
"""Fewer alarms say nothing of shares: ours, common practice, no source."""
SHARES_PCT: dict[Word, float] = {"act": 5.0, "look": 15.0, "wait": 80.0}
"""The standards' three priorities, high, medium, low (memory), as our words stand for them."""


def report(changes: Iterable[Alert], from_ms: int, to_ms: int) -> Report:
    """The measures of ``from_ms`` to before ``to_ms``. ``changes`` are all of that span in the order they were made,
    and before them all of the alerts that stood at its beginning. Raises ValueError for a span that is none."""
    if to_ms <= from_ms:
        raise ValueError(f"to_ms: found {to_ms}; would be right: later than from_ms ({from_ms})")
    steps = steps_of(change for change in changes if change.changed_ms < to_ms)
    within = [step for step in steps if step.at_ms >= from_ms]
    told = [step for step in within if step.annunciated]
    said = [step for step in told if step.alert.asks != "nothing"]  # news is no alarm
    raises: dict[Key, list[int]] = defaultdict(list)
    for step in within:
        if step.raised:
            raises[step.key].append(step.at_ms)
    chattering = _chattering(raises, CHATTER_MINUTE_S)
    stale = _stale(steps, from_ms, to_ms)
    most_frequent = _most_frequent(Counter(step.key for step in said))
    by_rule = _most_frequent(Counter((step.key[0], "") for step in said))
    rates = _rates(sorted(step.at_ms for step in said), from_ms, to_ms)
    return Report(
        from_ms=from_ms,
        to_ms=to_ms,
        annunciated=len(said),
        measures=[
            *rates,
            _top_share(most_frequent, len(said)),
            *_counts(chattering, stale, from_ms, to_ms),
            _news(len(told) - len(said), to_ms - from_ms),
        ],
        most_frequent=most_frequent,
        most_frequent_rules=by_rule,
        by_word=_by_word(said),
        chattering=chattering,
        coming_and_going=_chattering(raises, CHATTER_S),
        stale=stale,
        shelved=_spans(stays_of(steps, ["shelved"], to_ms), from_ms, to_ms),
        suppressed=_spans(stays_of(steps, ["suppressed"], to_ms), from_ms, to_ms),
        acknowledging=_acknowledging(steps, from_ms),
    )


def _rates(times: Sequence[int], from_ms: int, to_ms: int) -> list[Measure]:
    span_ms = to_ms - from_ms
    tens = _per_slot(times, from_ms, to_ms, TEN_MINUTES_MS)
    hours = _per_slot(times, from_ms, to_ms, HOUR_MS)
    most = max((n + 1 - bisect_left(times, t - TEN_MINUTES_MS + 1) for n, t in enumerate(times)), default=0)

    def rate(key: str, per_ms: int, acceptable: float) -> Measure:
        value = len(times) * per_ms / span_ms
        return _bound(key, value, "1", acceptable, 2 * acceptable)

    over_10 = 100.0 * sum(n > FLOOD_ABOVE for n in tens) / len(tens)
    over_30 = 100.0 * sum(n > HOUR_ABOVE for n in hours) / len(hours)
    flood = 100.0 * _flooded(tens) / len(tens)
    return [
        rate("alarms_per_day", DAY_MS, 150),
        rate("alarms_per_hour", HOUR_MS, 6),
        rate("alarms_per_10_min", TEN_MINUTES_MS, 1),
        _bound("most_in_10_min", most, "1", 10),
        _bound("ten_minutes_over_10_pct", over_10, "%", 1),
        _bound("hours_over_30_pct", over_30, "%", 1),
        _bound("flood_pct", flood, "%", 1),
    ]


def _per_slot(times: Iterable[int], from_ms: int, to_ms: int, slot_ms: int) -> list[int]:
    """How many in each slot of the span, the last one as short as it comes."""
    slots = [0] * (-(-(to_ms - from_ms) // slot_ms))
    for t_ms in times:
        slots[(t_ms - from_ms) // slot_ms] += 1
    return slots


def _flooded(tens: Iterable[int]) -> int:
    """How many ten-minute periods lie in a flood; the one that ends it does not."""
    count, flood = 0, False
    for alarms in tens:
        flood = alarms >= FLOOD_ENDS_BELOW if flood else alarms > FLOOD_ABOVE
        count += flood
    return count


def _bound(key: str, value: float, unit: str, acceptable: float, most: float | None = None) -> Measure:
    return Measure(
        key=key, value=round(value, 3), unit=unit, acceptable=acceptable, most=most,
        holds=value <= acceptable,
    )  # fmt: skip


def _most_frequent(counts: Counter[Key]) -> list[Frequent]:
    ordered = sorted(counts.items(), key=lambda one: (-one[1], one[0]))[:TOP]
    return [
        Frequent(rule=rule, subject=subject, count=n, share_pct=round(100.0 * n / counts.total(), 2))
        for (rule, subject), n in ordered
    ]


def _top_share(most_frequent: Sequence[Frequent], annunciated: int) -> Measure:
    value = 100.0 * sum(one.count for one in most_frequent) / annunciated if annunciated else 0.0
    found = _bound("top_ten_share_pct", value, "%", 1, 5)
    return found if annunciated >= ENOUGH else found.model_copy(update={"holds": None})


def _counts(chattering: Sequence[object], stale: Sequence[Span], from_ms: int, to_ms: int) -> list[Measure]:
    days = range(from_ms, to_ms, DAY_MS)
    worst = max(sum(_is_stale_on(one, day, to_ms) for one in stale) for day in days)
    return [
        _bound("chattering", len(chattering), "1", 0),
        _bound("stale_on_worst_day", worst, "1", 4),
        Measure(key="stale", value=len(stale), unit="1", provenance="none"),
    ]


def _news(count: int, span_ms: int) -> Measure:
    """Good news that comes too often is not read either."""
    value = round(count * 7 * DAY_MS / span_ms, 3)
    return Measure(
        key="asking_nothing_per_week", value=value, unit="1", acceptable=NEWS_A_WEEK, holds=value <= NEWS_A_WEEK,
        provenance="ours",
    )  # fmt: skip


def _is_stale_on(one: Span, day_ms: int, to_ms: int) -> bool:
    until_ms = one.from_ms + round(one.hours * HOUR_MS)
    return one.from_ms < min(day_ms + DAY_MS, to_ms) and until_ms > day_ms


def _by_word(said: Sequence[Step]) -> list[WordShare]:
    counts = Counter(step.alert.word for step in said)
    words: tuple[Word, ...] = ("act", "look", "wait", "ready")
    return [
        WordShare(
            word=word,
            count=counts[word],
            share_pct=round(100.0 * counts[word] / len(said), 2) if said else 0.0,
            bound_pct=SHARES_PCT.get(word),
        )
        for word in words
    ]


def _chattering(raises: dict[Key, list[int]], within_s: float) -> list[Chattering]:
    found = []
    for (rule, subject), times in sorted(raises.items()):
        most = max(n + 1 - bisect_left(times, t - round(1000 * within_s) + 1) for n, t in enumerate(times))
        if most >= CHATTER_RAISES:
            found.append(Chattering(rule=rule, subject=subject, raises=most, within_s=within_s))
    return sorted(found, key=lambda one: -one.raises)


def _stale(steps: Sequence[Step], from_ms: int, to_ms: int) -> list[Span]:
    """What was shown for longer than a day, from then on."""
    day_ms = round(1000 * STALE_S)
    late = (
        Stay(stay.first, stay.from_ms + day_ms, stay.to_ms, stay.ended)
        for stay in stays_of(steps, SHOWN, to_ms)
        if stay.to_ms - stay.from_ms > day_ms
    )
    return _spans(late, from_ms, to_ms)


def _spans(stays: Iterable[Stay], from_ms: int, to_ms: int) -> list[Span]:
    """Those that reach into the span, clipped to it, in order of time."""
    found = [
        Span(
            alert=stay.first.id,
            rule=stay.first.rule,
            subject=stay.first.subject,
            from_ms=max(stay.from_ms, from_ms),
            hours=round(stay.within_ms(from_ms, to_ms) / HOUR_MS, 3),
            goes_on=not stay.ended,
            reason=None if stay.first.suppressed_by is None else stay.first.suppressed_by.key,
        )
        for stay in stays
        if stay.to_ms > from_ms
    ]
    return sorted(found, key=lambda one: (one.from_ms, one.rule, one.subject))


def _acknowledging(steps: Sequence[Step], from_ms: int) -> Acknowledging:
    """Of what was annunciated in the span. A return waits on for its acknowledgement."""
    asked: dict[str, int] = {}
    took_s: list[float] = []
    by_itself = 0
    for step in steps:
        name = step.alert.id
        if step.annunciated:
            asked.setdefault(name, step.at_ms)
        elif name in asked and step.alert.state not in ("returned", "unacknowledged"):
            asked_ms = asked.pop(name)
            if asked_ms < from_ms:
                continue
            if step.acknowledged:
                took_s.append((step.at_ms - asked_ms) / 1000.0)
            else:
                by_itself += 1
    took_s.sort()
    return Acknowledging(
        count=len(took_s),
        median_s=median(took_s) if took_s else None,
        ninetieth_s=took_s[-(-9 * len(took_s) // 10) - 1] if took_s else None,
        longest_s=took_s[-1] if took_s else None,
        by_itself=by_itself,
        waiting=sum(asked_ms >= from_ms for asked_ms in asked.values()),
    )
