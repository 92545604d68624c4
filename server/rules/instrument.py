"""What the rules about the instrument itself share: their parameters' manners, and a finding about it."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from server.reading import Finding, Word
from server.rules.base import RuleView

Values = dict[str, float | int | str]


class InstrumentParameters(BaseModel):
    """Parameters of a rule about wires, record, clock or remotes. Defaults: common practice, no source."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class AlwaysWatched:
    """A rule that never lacks its input."""

    def unwatched(self, view: RuleView) -> str | None:  # noqa: ARG002 - the protocol's, for those that look at it
        """None: it always watches."""
        return None


def instrument_finding(
    rule: str,
    subject: str,
    *,
    raises: bool,
    clears: bool,
    values: Values | None = None,
    raise_after_s: float = 0.0,
    clear_after_s: float = 0.0,
    word: Word = "look",
    unknown: bool = False,
) -> Finding:
    """One finding about the instrument: it leans to neither side, and an alert that is over keeps no figures."""
    return Finding(
        rule,
        subject,
        raise_holds=raises,
        clear_holds=clears,
        word=word,
        lean="none",
        values={} if values is None else values,
        raise_after_s=raise_after_s,
        clear_after_s=clear_after_s,
        unknown=unknown,
    )


def to_minute(t_ms: int) -> int:
    """A moment without its seconds: one that is measured anew each turn must not look like news."""
    return t_ms // 60_000 * 60_000


REASON_LETTERS = 200
"""Of a reason that another program gave, this much is said."""


def reason(text: str) -> str:
    """What another program said, as a part of a sentence of ours."""
    return text.strip().rstrip(".")[:REASON_LETTERS]
