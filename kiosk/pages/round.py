"""The closing round: each open lot with its answers, one touch a lot, told in one call. Lots that were not touched were
not seen, unless the others are said to lie as they did."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from kiosk.blocks import AnswerRow, AnswerRows, Button, Choices, Column, Heading, Line, PageView
from kiosk.client import Ask, Tell
from kiosk.ids import new_id
from kiosk.pages.base import Back, Say, Seen, Stay, Step

ROUND = Ask("round", "/api/round")
ID_SIGNS = 40
OPEN_ALREADY = ("stickered", "on-edge")
"""What lies so cannot be found opened."""


@dataclass(frozen=True, slots=True)
class RoundPage:
    """``said`` is what was answered: a lot, the answer, and for moved ones the zone. ``moving`` is the lot whose zone
    is asked for. ``round_id`` is made once, so that told twice is done once."""

    said: tuple[tuple[str, str, str], ...] = ()
    moving: str = ""
    round_id: str = field(default_factory=lambda: new_id()[:ID_SIGNS])

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (ROUND,)

    def shown(self, seen: Seen) -> PageView:
        words, lots = seen.words, self._lots(seen)
        if lots is None:
            answer = seen.answers.get(ROUND.key)
            refused = None if answer is None else answer.refused
            text = words("being-fetched") if refused is None else words("not-known", reason=refused.text)
            return PageView((Column((Line(text),)),))
        if not lots:
            return PageView((Column((Line(words("round-nothing")),)),))
        if self.moving:
            return self._where(seen, lots)
        rows = tuple(self._row(seen, lot) for lot in lots)
        told, rest = len(self._answers(lots)), len(lots) - len(self._answers(lots))
        heading = words("round-not-touched") if told and rest else words("round-heading", count=len(lots))
        every = words("round-all") if not told else words("round-rest", count=rest)
        deeds = [Button("all", every)] if rest else []
        deeds.append(Button("tell", words("round-tell", count=told), enabled=bool(told)))
        return PageView((Column((Heading(heading), AnswerRows("round", rows))),), tuple(deeds))

    def touched(self, seen: Seen, name: str) -> Step | None:
        lots = self._lots(seen) or ()
        kind, _, what = name.partition(":")
        if kind == "all":
            answered = {one["lot"] for one in self._answers(lots)}
            rest = [{"lot": lot["lot"], "said": "as-it-was"} for lot in lots if lot["lot"] not in answered]
            return self._tell([*self._answers(lots), *rest])
        if kind == "tell" and self._answers(lots):
            return self._tell(self._answers(lots))
        after = self._after(kind, what)
        return None if after is None else Stay(after)

    def _after(self, kind: str, what: str) -> RoundPage | None:
        """With that answered."""
        if kind in {"move", "stays"}:
            return replace(self, moving=what)
        if kind == "zone" and self.moving:
            return self._with(self.moving, "moved", what)
        return self._with(what, kind) if kind in {"as-it-was", "opened"} else None

    def _lots(self, seen: Seen) -> tuple[dict[str, Any], ...] | None:
        found = seen.document(ROUND.key)
        return None if found is None else tuple(found["lots"])

    def _with(self, lot: str, said: str, zone: str = "") -> RoundPage:
        """Answered so; touched again, answered no more."""
        others = tuple(one for one in self.said if one[0] != lot)
        now = (lot, said, zone)
        return replace(self, said=others if now in self.said and not zone else (*others, now), moving="")

    def _answers(self, lots: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
        there = {str(lot["lot"]) for lot in lots}
        return [
            {"lot": lot, "said": said, **({"zone": zone} if zone else {})}
            for lot, said, zone in self.said
            if lot in there
        ]

    def _tell(self, answers: list[dict[str, Any]]) -> Say:
        tell = Tell("told", "/api/round", {"id": self.round_id, "answers": answers})
        return Say(tell, Back())

    def _row(self, seen: Seen, lot: Mapping[str, Any]) -> AnswerRow:
        words, name, lying = seen.words, str(lot["lot"]), str(lot["lying"])
        said, zone = next(((how, where) for one, how, where in self.said if one == name), ("", ""))
        place = self._zones(seen).get(zone or str(lot["zone"]), str(lot["zone"]))
        buttons = [Button(f"as-it-was:{name}", words("round-as-it-was"), chosen=said == "as-it-was")]
        if lying not in OPEN_ALREADY:
            buttons.append(Button(f"opened:{name}", words("round-opened"), chosen=said == "opened"))
        buttons.append(Button(f"move:{name}", words("round-moved"), chosen=said == "moved"))
        return AnswerRow(str(lot["name"]), f"{words(f'lying-{lying}')} · {place}", tuple(buttons))

    def _where(self, seen: Seen, lots: Iterable[Mapping[str, Any]]) -> PageView:
        lot = next((one for one in lots if one["lot"] == self.moving), None)
        here = "" if lot is None else str(lot["zone"])
        buttons = tuple(Button(f"zone:{key}", text) for key, text in self._zones(seen).items() if key != here)
        heading = seen.words("round-where", lot="" if lot is None else str(lot["name"]))
        deeds = (Button("stays", seen.words("round-not-moved")),)
        return PageView((Column((Heading(heading), Choices("round-zones", buttons))),), deeds)

    @staticmethod
    def _zones(seen: Seen) -> dict[str, str]:
        every = seen.snapshot["zones"] if seen.snapshot else ()
        return {str(zone["id"]): str(zone["name"]) for zone in every}
