"""What the rules about rooms share: a finding that asks for a look, and how long a half hour's figures speak."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from server.reading import Finding, Lean
from server.rules.base import RoomView, ShelfView

Values = dict[str, float | int | str]
SPEAKS_MS = 90 * 60_000
"""What was made of a half hour that ended longer ago says nothing of now: neither raises nor clears."""


class RoomParameters(BaseModel):
    """Parameters of a rule about a room. Defaults: common practice, no source, where the rule names none."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


def speaks(one: RoomView | ShelfView, now_ms: int) -> bool:
    """Whether it says something of now."""
    return now_ms - one.at_ms <= SPEAKS_MS


def room_finding(
    rule: str,
    subject: str,
    *,
    raises: bool,
    clears: bool,
    values: Values,
    raise_after_s: float = 0.0,
    clear_after_s: float = 0.0,
    lean: Lean = "none",
    urgent: bool = False,
) -> Finding:
    """It never says act: that is for a named piece."""
    return Finding(
        rule, subject, raises, clears, word="look", lean=lean, values=values,
        raise_after_s=raise_after_s, clear_after_s=clear_after_s, urgent=urgent,
    )  # fmt: skip
