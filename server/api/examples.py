"""Entries as the OpenAPI document shows them: a lot from its coming to its end, a kind each, in an order that works."""

from __future__ import annotations

from typing import Any

_RAILS: dict[str, Any] = {
    "kind": "received", "lot": "rails", "name": "Hall table rails", "species": "ash_white", "quarters": 4, "pieces": 8,
    "width_mm": 120, "length_mm": 2200, "zone": "bench", "start": {"kind": "kiln-dried-yard"},
    "aim": {"destination": "heated"},
}  # fmt: skip
_PANELS: dict[str, Any] = {
    "kind": "received", "lot": "panels", "name": "Chest lid panels", "sheet": "mdf", "thickness_mm": 18.6, "pieces": 2,
    "width_mm": 450, "length_mm": 900, "zone": "bench", "start": {"kind": "heated-store"},
    "aim": {"destination": "heated"},
    "construction": {
        "top": [{"laid": "veneer", "species": "maple_sugar", "thickness_mm": 0.6, "grain": "along"}], "bottom": [],
        "edges": "lipped",
    },
}  # fmt: skip
_DEEDS: list[dict[str, Any]] = [
    _RAILS,
    {**_RAILS, "lot": "rails-2", "name": "More rails"},
    {**_RAILS, "lot": "sold", "name": "Sold rails"},
    {"kind": "joined", "lot": "rails", "others": ["rails-2"]},
    {"kind": "split", "lot": "rails", "pieces": 2, "into": "spares", "name": "Spare rails"},
    {"kind": "metered", "lot": "rails", "reading_pct": 9.5, "wood_temperature_c": 18},
    {"kind": "weighed", "lot": "rails", "kg": 1.284, "resolution_kg": 0.001},
    {"kind": "moved", "lot": "rails", "zone": "loft", "lying": "stickered", "rack": "B2"},
    {"kind": "wrapped", "lot": "rails"},
    {"kind": "wrap-read", "lot": "rails", "temperature_c": 17.5, "humidity_pct": 48},
    {"kind": "fork-tested", "lot": "rails", "prongs": "straight"},
    {"kind": "ends-sealed", "lot": "rails"},
    {"kind": "milled", "lot": "rails", "take_top_mm": 2, "take_bottom_mm": 2},
    {"kind": "ripped", "lot": "rails", "width_mm": 55, "pieces": 20, "crook_mm": 1, "test_length_mm": 1000},
    {"kind": "resawn", "lot": "spares", "kerf_mm": 3},
    {"kind": "finished", "lot": "rails", "cover": "shellac-3"},
    {"kind": "confirmed", "lot": "rails"},
    {"kind": "used-up", "lot": "spares"},
    {"kind": "away", "from_ms": 1_799_755_200_000, "to_ms": 1_799_928_000_000},
    {"kind": "undone", "entry": "example-16-confirmed"},
    {
        "kind": "corrected", "entry": "example-05-metered", "at_ms": 1_799_755_200_000,
        "becomes": {"kind": "metered", "lot": "rails", "reading_pct": 10.5},
    },
    {"kind": "delivered", "lot": "sold", "to": "the house by the mill"},
    _PANELS,
    {"kind": "veneered", "lot": "panels", "faces": "bottom", "species": "maple_sugar", "thickness_mm": 0.6},
    {
        "kind": "glued", "lot": "top", "name": "Hall table top", "boards": [{"lot": "rails", "pieces": 7}],
        "width_mm": 380, "length_mm": 1100, "rings": "alternating", "adhesive": "pva", "clamp_h": 2, "zone": "bench",
        "sheet": {"lowest_c": 10, "clamp_h": [[10, 4], [20, 1]]}, "aim": {"destination": "heated"},
        "against": [{"question": "boards-alike", "said": "glue-up-boards-alike", "values": {"apart_pct": 2.1}}],
    },
    {"kind": "fitted", "lot": "top", "held": "free", "fit": "slot", "clearance_mm": 4, "slot_mm": 10, "screw_mm": 5,
     "slot_outside_mm": 2, "fixed": "middle"},
    {"kind": "crated", "lot": "top"},
    {"kind": "delivered", "lot": "top", "to": "the mill house", "house": {"heated": True, "new_plaster": False}},
    {
        "kind": "customer-read", "lot": "top", "reading_pct": 8.5, "wood_temperature_c": 20, "temperature_c": 20,
        "humidity_pct": 35,
    },
]  # fmt: skip
_CAME_MS: dict[str, Any] = {"t_ms": 1_799_750_000_000}
ENTRIES: list[Any] = [
    {"id": f"example-{n:02}-{deed['kind']}", "who": "Ada", "note": "", "deed": deed}
    | (_CAME_MS if deed["kind"] == "received" else {})
    for n, deed in enumerate(_DEEDS)
]
