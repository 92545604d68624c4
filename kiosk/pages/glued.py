"""Boards are in the clamps: the panel's name, length, rings and how it lies, each with its usual answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kiosk.ids import lot_id
from kiosk.pages.base import Home, Seen, Step
from kiosk.pages.form import Field, Form, FormPage, Values, begun
from kiosk.pages.forms import LYING, constant, said
from kiosk.pages.lot import LotPage
from kiosk.pages.rack import LOTS

LENGTH_MM = 1000.0
"""Where no board says how long it is."""
RINGS = ("not-told", "alternating", "alike")


def _rings(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    return tuple((key, seen.words(f"rings-{key}")) for key in RINGS)


def _name(seen: Seen, values: Values) -> str | None:
    lots = {str(lot["id"]): lot for lot in seen.document("lots") or ()}
    lot = lots.get(values["asked"]["boards"][0]["lot"])
    return None if lot is None else seen.words("name-of-panel", lot=str(lot["name"]))[:40]


def _length_mm(seen: Seen, values: Values) -> float:
    lots = {str(lot["id"]): lot for lot in seen.document("lots") or ()}
    some = [lots[b["lot"]]["length_mm"] for b in values["asked"]["boards"] if b["lot"] in lots]
    return float(min((mm for mm in some if mm), default=LENGTH_MM))


def _glued(seen: Seen, values: Values) -> dict[str, Any]:
    asked = values["asked"]
    return {
        "kind": "glued", "lot": lot_id(values["name"], values["stamp"]), "name": values["name"],
        "boards": asked["boards"], "width_mm": values["width_mm"], "length_mm": values["length_mm"],
        "rings": values["rings"], "adhesive": asked["adhesive"], "clamp_h": asked["clamp_h"], "zone": asked["zone"],
        "lying": values["lying"], "aim": asked["aim"], "against": values["against"],
    }  # fmt: skip


def _home(values: Values, step: Step) -> Step:
    """To the panel, whose clamps are counted from now on."""
    return Home(LotPage(lot_id(values["name"], values["stamp"])))


GLUED = Form(
    "glued",
    (
        Field("name", usual=_name),
        Field("length_mm", quantity="mm", usual=_length_mm),
        Field("rings", options=_rings, usual=constant("not-told")),
        Field("lying", options=said("lying", *LYING), usual=constant("stickered")),
    ),
    _glued,
    lambda _: (LOTS,),
    _home,
)


def glued_form(seen: Seen, asked: Mapping[str, Any], found: dict[str, Any]) -> FormPage:
    """Everything is answered by what is usual; what it goes against is told along."""
    stamp = seen.words.language + str(seen.now_ms)
    return begun(GLUED, seen, asked=asked, width_mm=found["width_mm"], against=found["against"], stamp=stamp)
