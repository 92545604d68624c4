"""The alerts' state machine, one turn at a time.

States and transitions are those of ISA-18.2 / IEC 62682 (alarm state diagram; from memory, no copy was read):
normal -> unacknowledged on raise; unacknowledged -> acknowledged by a person, -> returned when the condition clears;
acknowledged -> normal when it clears; returned -> normal when acknowledged, -> unacknowledged when it is raised again;
any that stands -> shelved by a person, and back when the shelf ends; any that stands -> suppressed by design while its
rule gives a reason, raised meanwhile without a word, and -> unacknowledged when the reason goes, or -> normal when the
condition does. Where the reason is that nobody is there, it waits to be told: -> returned once somebody is. A shelf
lasts its time, whatever is suppressed meanwhile. Ours on top: a condition that got markedly worse, or asks for a look
now and did not, is said again (acknowledged -> unacknowledged), and an alert whose subject is no longer watched goes to
normal, as does news that asks for nothing once it is old: nobody is asked to put it away.

Durations are measured on the monotonic clock; wall times are labels only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from uuid import uuid4

from server.alerts.book import BRIDGED_S, RAISES_KEPT_S, AlertBook, Key, Watch, to_state, told_after
from server.reading import OVER_MS, Alert, Asks, Finding

WORSE_BY_PCT = 0.5
"""How much further past its limit, in % EMC, is worth saying again."""
LONGEST_SHELF_H = 72.0
UNWATCHED = "unwatched"
"""Among the values of an alert that went to normal because nobody looks any more: its zone or sensor is gone."""
RANK = {"ready": 0, "wait": 1, "look": 2, "act": 3}
_SLACK_PCT = 1e-9
_QUIET = Watch()
"""Of a subject of which nothing is the matter, as of most lots at most times: no step makes anything else of it."""


def _uuid() -> str:
    return str(uuid4())


@dataclass(frozen=True, slots=True)
class _Turn:
    now_ms: int
    mono_s: float
    new_id: Callable[[], str]
    worse_by_pct: float


def apply(
    book: AlertBook,
    findings: Iterable[Finding],
    now_ms: int,
    mono_s: float,
    *,
    new_id: Callable[[], str] = _uuid,
    worse_by_pct: float = WORSE_BY_PCT,
    unjudged: Collection[str] = (),
) -> tuple[AlertBook, list[Alert]]:
    """The book after this turn, and the alerts that changed: a new state, or ``worse_by_pct`` further past a limit.

    ``findings`` holds one for every subject that is watched, also where nothing is wrong: a subject that is missing
    counts as no longer watched. Of rules in ``unjudged`` nothing is known this turn: their alerts stand as they are.
    ``now_ms`` is the wall clock, for labels, ``mono_s`` the monotonic one, for durations. Figures of an alert
    that stands follow the findings without being a change. Raises ValueError when a turn says two things about one
    (rule, subject).
    """
    turn = _Turn(now_ms, mono_s, new_id, worse_by_pct)
    watches: dict[Key, Watch] = {}
    changes: list[Alert] = []
    for finding in findings:
        key = (finding.rule, finding.subject)
        if key in watches:
            raise ValueError(f"findings: found two for {key}; would be right: one a rule and subject")
        before = book.watches.get(key, _QUIET)
        if before is _QUIET and not finding.raise_holds:
            watches[key] = before
            continue
        watches[key] = _step(before, finding, turn)
        _note(changes, before, watches[key], turn)
    for key, gone in book.watches.items():
        if key in watches:
            continue
        if key[0] in unjudged:
            watches[key] = gone
        elif gone.alert is not None:
            left = replace(gone, alert=replace(gone.alert, values={**gone.alert.values, UNWATCHED: 1}))
            changes.append(to_state(how_long(left, now_ms, mono_s), "normal", now_ms))
    return AlertBook(watches), changes


def catch_up(book: AlertBook, findings: Iterable[Finding], mono_s: float) -> AlertBook:
    """A restored book after a moment of the past is looked at again: waits run and figures follow, no state changes.

    To be given the moments before a restart, oldest first, so that half an hour past a limit does not begin anew with
    it. ``mono_s`` is the moment on the monotonic clock, below 0 where it lies before that clock's start. What has come
    due by this is for the next :func:`apply` to say. Findings may be of some subjects only.
    """
    watches = dict(book.watches)
    for finding in findings:
        key = (finding.rule, finding.subject)
        watch = watches.get(key, Watch())
        # Only an alert that stood could be shelved; whether it still does is found out here.
        stood = replace(watch, active=True) if watch.active is None else watch
        active, since_s = _condition(stood, finding, mono_s)
        if active != stood.active and (watch.alert is None or watch.alert.state != "shelved"):
            active, since_s = stood.active is True, stood.since_s if stood.since_s is not None else mono_s
        alert = _follow(watch.alert, finding) if watch.alert and active else watch.alert
        unknown_s = watch.unknown_since_s(finding, mono_s)
        watches[key] = replace(watch, alert=alert, active=active, since_s=since_s, unknown_s=unknown_s)
    return AlertBook(watches)


def how_long(watch: Watch, now_ms: int, mono_s: float) -> Alert:
    """The watch's alert, telling how long its condition stood (``stood_s``) and when that went (``returned_ms``, a
    label). One that is over already has told so. Raises ValueError where there is none."""
    alert = watch.alert
    if alert is None:
        raise ValueError("watch: found no alert; would be right: one with an alert")
    return alert if _is_over(alert) else _telling_how_long(watch, alert, now_ms, mono_s)


def _telling_how_long(watch: Watch, alert: Alert, now_ms: int, mono_s: float) -> Alert:
    raised_s = _raised_s(watch, alert, now_ms, mono_s)
    over_s = mono_s if watch.over_s is None else watch.over_s
    went = {"stood_s": round(max(0.0, over_s - raised_s)), OVER_MS: now_ms - round(1000.0 * (mono_s - over_s))}
    return replace(alert, values={**alert.values, **went})


def _raised_s(watch: Watch, alert: Alert, now_ms: int, mono_s: float) -> float:
    """Restored from the record, only the label is left."""
    return mono_s - max(0.0, (now_ms - alert.raised_ms) / 1000.0) if watch.raised_s is None else watch.raised_s


def _note(changes: list[Alert], before: Watch, after: Watch, turn: _Turn) -> None:
    if after.alert is None:
        if before.alert is not None:
            over = replace(before, over_s=after.over_s)
            changes.append(to_state(how_long(over, turn.now_ms, turn.mono_s), "normal", turn.now_ms))
    elif before.alert is None or _said(before.alert) != _said(after.alert):
        changes.append(after.alert)


def _said(alert: Alert) -> tuple[object, ...]:
    why = alert.suppressed_by
    said = alert.values.get("said_past_pct"), alert.over_unseen
    return alert.state, alert.raised_ms, alert.word, alert.asks, *said, why and why.key


def _step(watch: Watch, finding: Finding, turn: _Turn) -> Watch:
    active, since_s = _condition(watch, finding, turn.mono_s)
    over_s = None if active else turn.mono_s if watch.over_s is None and watch.active is not False else watch.over_s
    shelf_ends_s, unknown_s = _shelf_end(watch, turn), watch.unknown_since_s(finding, turn.mono_s)
    before = alert = watch.alert
    if before and active:
        alert = _raised(finding, before.id, turn.now_ms) if before.over_unseen else _follow(before, finding)
    alert = _next_alert(alert, finding, active, shelf_ends_s, turn)
    if alert is None:
        return Watch(None, active, since_s, None, None, over_s, watch.raises, unknown_s)
    ends_s, raises = shelf_ends_s if alert.state == "shelved" else None, watch.raises
    if before is None or (_is_over(before) and not _is_over(alert)):
        raises = (*(at_s for at_s in raises if at_s > turn.mono_s - RAISES_KEPT_S), turn.mono_s)
        return Watch(alert, active, since_s, ends_s, turn.mono_s, over_s, raises, unknown_s)
    raised_s = _raised_s(watch, alert, turn.now_ms, turn.mono_s)
    after = Watch(alert, active, since_s, ends_s, raised_s, over_s, raises, unknown_s)
    if _is_over(alert) and not _is_over(before):
        return replace(after, alert=_telling_how_long(after, alert, turn.now_ms, turn.mono_s))
    return after


def _condition(watch: Watch, finding: Finding, mono_s: float) -> tuple[bool, float | None]:
    """Whether the condition counts as present, and since when the opposite has held without a break. Nothing changes
    while nothing is known; a wait that has begun goes on."""
    active = not finding.clear_holds if watch.active is None else watch.active
    if finding.unknown:
        silent_s = 0.0 if watch.unknown_s is None else mono_s - watch.unknown_s
        return active, watch.since_s if silent_s <= BRIDGED_S else None
    if not (finding.clear_holds if active else finding.raise_holds):
        return active, None
    since_s = mono_s if watch.since_s is None else watch.since_s
    if mono_s - since_s >= (finding.clear_after_s if active else finding.raise_after_s):
        return not active, None
    return active, since_s


def _shelf_end(watch: Watch, turn: _Turn) -> float:
    if watch.shelf_ends_s is not None:
        return watch.shelf_ends_s
    if watch.alert is None or watch.alert.state != "shelved" or watch.alert.shelved_until_ms is None:
        return -math.inf
    # Restored from the record: only its wall time is left. A clock not set yet must not shelve it for ever.
    left_s = (watch.alert.shelved_until_ms - turn.now_ms) / 1000.0
    return turn.mono_s + min(left_s, LONGEST_SHELF_H * 3600.0)


def _follow(alert: Alert, finding: Finding) -> Alert:
    """The alert with this turn's figures, and the side they are of; what was last said stays. Findings round, so this
    seldom differs."""
    if finding.raise_holds and finding.urgent != alert.urgent:
        alert = replace(alert, urgent=finding.urgent)
    if not finding.values:
        return alert
    said = {k: v for k, v in alert.values.items() if k == "said_past_pct"}
    values, lean = {**finding.values, **said}, alert.lean if finding.lean == "none" else finding.lean
    return alert if (values, lean) == (alert.values, alert.lean) else replace(alert, values=values, lean=lean)


def _next_alert(alert: Alert | None, finding: Finding, active: bool, shelf_ends_s: float, turn: _Turn) -> Alert | None:
    if alert is None:
        return _raised(finding, turn.new_id(), turn.now_ms) if active else None
    if alert.state == "shelved" and turn.mono_s < shelf_ends_s:
        return alert
    if not active:
        return _once_over(alert, finding, turn)
    return _while_active(alert, finding, turn) if finding.suppressed_by is None else _kept_back(alert, finding, turn)


def _kept_back(alert: Alert, finding: Finding, turn: _Turn) -> Alert:
    """Suppressed. The reason's figures follow; another reason is a change."""
    why, before = finding.suppressed_by, alert.suppressed_by
    if alert.state == "returned":
        return _raised(finding, alert.id, turn.now_ms)
    alert = replace(alert, word=finding.word)
    if why is not None and before is not None and why.key == before.key:
        return replace(alert, suppressed_by=why)
    return to_state(alert, "suppressed", turn.now_ms, why=why)


def _while_active(alert: Alert, finding: Finding, turn: _Turn) -> Alert:
    if alert.state in ("shelved", "suppressed"):
        return to_state(replace(alert, word=finding.word, asks=_asks(alert, finding)), "unacknowledged", turn.now_ms)
    if alert.state == "returned":
        return _raised(finding, alert.id, turn.now_ms)
    return _said_again(alert, finding, turn)


def _once_over(alert: Alert, finding: Finding, turn: _Turn) -> Alert | None:
    if alert.asks == "nothing":
        return None
    if alert.over_unseen:
        return alert if finding.told_after else told_after(alert, turn.now_ms)
    if alert.state == "suppressed" and finding.told_after:
        return replace(alert, values={**alert.values, OVER_MS: turn.now_ms})
    if alert.state == "unacknowledged":
        return to_state(alert, "returned", turn.now_ms)
    return alert if alert.state == "returned" else None


def _is_over(alert: Alert) -> bool:
    return alert.state == "returned" or alert.over_unseen


def _raised(finding: Finding, alert_id: str, now_ms: int) -> Alert:
    alert = Alert(
        id=alert_id,
        rule=finding.rule,
        subject=finding.subject,
        state="unacknowledged",
        word=finding.word,
        lean=finding.lean,
        raised_ms=now_ms,
        changed_ms=now_ms,
        shelved_until_ms=None,
        values=dict(finding.values),
        asks=finding.asks,
        urgent=finding.urgent,
    )
    why = finding.suppressed_by
    return to_state(alert, "unacknowledged" if why is None else "suppressed", now_ms, why=why)


def _asks(alert: Alert, finding: Finding) -> Asks:
    """What raises it says what it asks; what only keeps it standing does not."""
    return finding.asks if finding.raise_holds else alert.asks


def _said_again(alert: Alert, finding: Finding, turn: _Turn) -> Alert:
    """Unacknowledged again when it got worse by a word or by a step past its limit, or asks for a look now and did not;
    else as it is."""
    asks = _asks(alert, finding)
    graver = RANK[finding.word] > RANK[alert.word] or (asks == "now" != alert.asks)
    if asks != alert.asks:
        alert = replace(alert, asks=asks, changed_ms=turn.now_ms)
    past, said = alert.values.get("past_limit_pct"), alert.values.get("said_past_pct")
    further = (
        isinstance(past, float | int)
        and isinstance(said, float | int)
        and past - said >= turn.worse_by_pct - _SLACK_PCT
    )
    if graver or further:
        return to_state(replace(alert, word=finding.word), "unacknowledged", turn.now_ms)
    if alert.word in {finding.word, finding.stays}:
        return alert
    return replace(alert, word=finding.word, changed_ms=turn.now_ms)
