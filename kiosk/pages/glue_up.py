"""May these boards be glued? Which boards, with which adhesive, for how long, meant for where: whatever has a usual
answer is answered already, so that two boards and one touch more ask it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from kiosk.blocks import Block, Button, Caution, Choices, Column, Heading, Line, PageView, Table, TableRow
from kiosk.client import Ask
from kiosk.pages.base import Open, Seen, Stay, Step
from kiosk.pages.form import number_text
from kiosk.pages.forms import DESTINATIONS
from kiosk.pages.glue_answer import GlueAnswerPage
from kiosk.pages.lot import size_text
from kiosk.pages.rack import LOTS, zone_name

CLAMP_H: Mapping[str, float] = {
    "pva": 2.0,
    "cross-linking-pva": 4.0,
    "urea-formaldehyde": 24.0,
    "polyurethane": 4.0,
    "epoxy": 24.0,
    "hide": 12.0,
}
"""Each family with its usual hours in the clamps: the longest that the server's table gives for warm wood, twice that
of the two PVAs, whose time doubles for every 8 K colder; nothing was found for epoxy. Common practice, no source: the
maker's sheet comes first, and the server says where they are too short."""
HOURS = (0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 36.0, 48.0)
SAME_THICKNESS_MM = 0.5
"""Boards further apart are not glued as one panel; the server refuses them."""
USUAL_WIDTH_MM = 500.0
"""So many pieces of a lot as come nearest to it are taken with the first touch. Common practice, no source."""
OWN = "own"
"""The boards' own two numbers, where no destination of the shop is written down for them."""
ROWS = ("adhesive", "clamp_h", "destination", "zone")

Lot = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Taken:
    """So many ``pieces`` of a lot that had ``of`` when it was touched: once it has others, it is chosen no more."""

    lot: str
    pieces: int
    of: int


@dataclass(frozen=True, slots=True)
class GlueUpPage:
    """``given`` is what somebody answered; ``at`` the question that is open: boards, of :data:`ROWS`, or a lot's id
    behind ``pieces:``."""

    taken: tuple[Taken, ...] = ()
    given: tuple[tuple[str, Any], ...] = ()
    at: str = "boards"

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return LOTS, DESTINATIONS

    def shown(self, seen: Seen) -> PageView:
        words, lots = seen.words, board_lots(seen)
        if lots is None:
            return PageView((Column((Line(waiting(seen, "lots")),)),))
        if not lots:
            return PageView((Column((Line(words("glue-no-boards")),)),))
        chosen = self.chosen(lots)
        count = sum(one.pieces for one in chosen)
        enough = count > 1
        note = "" if enough else words("glue-two-pieces") if count else words("glue-touch-boards")
        deeds = (Button("ask", words("glue-ask"), enabled=enough),)
        left = Column((Table("glue-up", self._rows(seen, lots, chosen)),), share=0.7)
        return PageView((left, Column(self._question(seen, lots, chosen))), deeds, note=note)

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        lots = board_lots(seen) or {}
        chosen = self.chosen(lots)
        if kind == "ask" and sum(one.pieces for one in chosen) > 1:
            return Open(GlueAnswerPage(self.asked(seen, lots, chosen)))
        if kind == "lot" and what in lots:
            return Stay(replace(self, taken=touched_lot(lots, chosen, what)))
        if kind == "row":
            return Stay(replace(self, at=what))
        if kind == "pieces" and self.at.startswith("pieces:"):
            lot = self.at.partition(":")[2]
            taken = tuple(replace(one, pieces=int(what)) if one.lot == lot else one for one in chosen)
            return Stay(replace(self, taken=taken, at="boards"))
        if kind == "choose" and self.at in ROWS:
            value = float(what) if self.at == "clamp_h" else what
            others = tuple(one for one in self.given if one[0] not in dropped_by(self.at))
            return Stay(replace(self, given=(*others, (self.at, value)), at="boards"))
        return None

    def chosen(self, lots: Mapping[str, Lot]) -> tuple[Taken, ...]:
        """Of what was taken, what is there as it was."""
        return tuple(one for one in self.taken if one.lot in lots and lots[one.lot]["pieces"] == one.of)

    def answers(self, seen: Seen, lots: Mapping[str, Lot], chosen: tuple[Taken, ...]) -> dict[str, Any]:
        """What was answered, and the usual answers to the rest."""
        found = dict(self.given)
        found.setdefault("adhesive", "pva")
        found.setdefault("clamp_h", CLAMP_H[found["adhesive"]])
        first = lots[chosen[0].lot] if chosen else None
        places = [str(one["id"]) for one in seen.document("destinations") or ()]
        if found.get("destination") not in places or first is None:
            usual = places[0] if places else ""
            if first is not None:
                usual = first["destination"] or (OWN if first["aim_low_pct"] is not None else usual)
            found["destination"] = found.get("destination") if found.get("destination") in places else usual
        if "zone" not in found and first is not None:
            found["zone"] = str(first["zone"])
        return found

    def asked(self, seen: Seen, lots: Mapping[str, Lot], chosen: tuple[Taken, ...]) -> dict[str, Any]:
        """As it is asked of the server."""
        answers, first = self.answers(seen, lots, chosen), lots[chosen[0].lot]
        aim: dict[str, Any] = {"destination": answers["destination"]}
        if answers["destination"] == OWN:
            aim = {"dry_limit_pct": first["aim_low_pct"], "damp_limit_pct": first["aim_high_pct"]}
        return {
            "boards": [{"lot": one.lot, "pieces": one.pieces} for one in chosen], "adhesive": answers["adhesive"],
            "clamp_h": answers["clamp_h"], "aim": aim, "zone": answers["zone"],
        }  # fmt: skip

    def _rows(self, seen: Seen, lots: Mapping[str, Lot], chosen: tuple[Taken, ...]) -> tuple[TableRow, ...]:
        words, answers = seen.words, self.answers(seen, lots, chosen)
        rows = [
            TableRow(
                str(lots[one.lot]["name"]), words("glue-pieces-of", taken=str(one.pieces), pieces=str(one.of)),
                f"row:pieces:{one.lot}", self.at == f"pieces:{one.lot}",
            )
            for one in chosen
        ]  # fmt: skip
        if self.at != "boards" or not chosen:
            text = words("glue-more-boards") if chosen else words("not-answered")
            rows.append(TableRow(words("field-boards"), text, "row:boards", self.at == "boards"))
        labels = {
            "adhesive": words("field-adhesive"), "clamp_h": words("field-clamp_h"),
            "destination": words("field-destination"), "zone": words("field-glued-in"),
        }  # fmt: skip
        rows += [
            TableRow(labels[name], dict(self._options(seen, lots, chosen, name)).get(answers.get(name), "–"),
                     f"row:{name}", self.at == name)
            for name in ROWS
        ]  # fmt: skip
        return tuple(rows)

    def _question(self, seen: Seen, lots: Mapping[str, Lot], chosen: tuple[Taken, ...]) -> tuple[Block, ...]:
        words = seen.words
        if self.at in ROWS:
            value = self.answers(seen, lots, chosen).get(self.at)
            buttons = tuple(
                Button(f"choose:{key}", text, chosen=key == value)
                for key, text in self._options(seen, lots, chosen, self.at)
            )
            heading = {
                "adhesive": words("ask-adhesive"), "clamp_h": words("ask-clamp_h"),
                "destination": words("ask-destination"), "zone": words("ask-glued-in"),
            }[self.at]  # fmt: skip
            beside: tuple[Block, ...] = ()
            if self.at in {"adhesive", "clamp_h"}:
                beside = (Caution(words("caution"), words("glue-adhesive-caution")),)
            return Heading(heading), Choices(f"glue-{self.at}", buttons), *beside
        one = next((one for one in chosen if self.at == f"pieces:{one.lot}"), None)
        if one is not None:
            buttons = tuple(Button(f"pieces:{n}", str(n), chosen=n == one.pieces) for n in range(1, one.of + 1))
            return Heading(words("glue-ask-pieces", lot=str(lots[one.lot]["name"]))), Choices(self.at, buttons)
        return Heading(words("ask-boards")), Choices("glue-boards", lot_buttons(seen, lots, chosen))

    def _options(
        self, seen: Seen, lots: Mapping[str, Lot], chosen: tuple[Taken, ...], name: str
    ) -> tuple[tuple[Any, str], ...]:
        words = seen.words
        if name == "adhesive":
            return tuple((key, words(f"glue-family-{key}")) for key in CLAMP_H)
        if name == "clamp_h":
            return tuple((hours, number_text(seen, hours, "h", "")) for hours in HOURS)
        if name == "zone":
            every = seen.snapshot["zones"] if seen.snapshot else ()
            return tuple((str(zone["id"]), str(zone["name"])) for zone in every)
        places = [(str(one["id"]), str(one.get("name") or one["id"])) for one in seen.document("destinations") or ()]
        first = lots[chosen[0].lot] if chosen else None
        if first is not None and not first["destination"] and first["aim_low_pct"] is not None:
            low, high = (seen.figures.given(first[end]) for end in ("aim_low_pct", "aim_high_pct"))
            places.append((OWN, words("glue-own-aim", low=low, high=high)))
        return tuple(places)


def dropped_by(name: str) -> tuple[str, ...]:
    """Which answers another one to this takes with it: each adhesive has a clamp time of its own."""
    return ("adhesive", "clamp_h") if name == "adhesive" else (name,)


def board_lots(seen: Seen) -> dict[str, Lot] | None:
    """Lots that a panel can be made of, by id, those milled last first; None while they are not known."""
    every = seen.document("lots")
    if every is None:
        return None
    boards = [
        lot for lot in every
        if not (lot["sheet"] or lot["panel"] or lot["ended"] or lot["not_modelled"]) and lot.get("moisture")
    ]  # fmt: skip
    boards.sort(key=lambda lot: (-(lot["milled_ms"] or 0), str(lot["name"])))
    return {str(lot["id"]): lot for lot in boards}


def touched_lot(lots: Mapping[str, Lot], chosen: tuple[Taken, ...], name: str) -> tuple[Taken, ...]:
    """Taken, or put back if it was; boards of another wood or thickness begin anew, as one panel is of one."""
    if any(one.lot == name for one in chosen):
        return tuple(one for one in chosen if one.lot != name)
    lot = lots[name]
    of = int(lot["pieces"])
    usual = max(2, round(USUAL_WIDTH_MM / max(1.0, lot["width_mm"])))
    one = Taken(name, min(of, usual), of)
    return (*chosen, one) if all(goes_with(lots[other.lot], lot) for other in chosen) else (one,)


def goes_with(one: Lot, other: Lot) -> bool:
    """Whether two lots can be boards of one panel."""
    return bool(
        one["species"] == other["species"] and abs(one["thickness_mm"] - other["thickness_mm"]) <= SAME_THICKNESS_MM
    )


def lot_buttons(seen: Seen, lots: Mapping[str, Lot], chosen: tuple[Taken, ...]) -> tuple[Button, ...]:
    """Each lot with its verdict's vial; how thick it is and where it lies under its name."""
    taken = {one.lot for one in chosen}
    found = []
    for name, lot in lots.items():
        verdict = lot.get("verdict") or {}
        found.append(
            Button(
                f"lot:{name}", str(lot["name"]), note=f"{size_text(seen, lot)} · {zone_name(seen, str(lot['zone']))}",
                chosen=name in taken, word=str(verdict.get("word") or ""), lean=str(verdict.get("lean") or "none"),
            )
        )  # fmt: skip
    return tuple(found)


def waiting(seen: Seen, key: str) -> str:
    """What stands there while an answer is not: that it is fetched, or why it does not come."""
    answer = seen.answers.get(key)
    if answer is not None and answer.refused is not None:
        return seen.words("not-known", reason=answer.refused.text)
    return seen.words("being-fetched")
