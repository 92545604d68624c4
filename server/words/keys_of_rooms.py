"""The part of the catalogue of sentences (:mod:`server.words.keys`) that is said of a room tonight."""

from __future__ import annotations

_NIGHT = ("volume_m3", "hours_h", "until", "hold_pct")
_KG = ("kg", "kg_low", "kg_high")
_CEILING = ("outdoor_c", "limit_pct", "glazing", "most_kg", "emc_pct")

ROOMS: dict[str, tuple[str, ...]] = {
    "room-tonight": ("way", "until", "low_pct", "high_pct", "dry_limit_pct", "damp_limit_pct"),
    "room-tonight-unknown": (),
    "room-heat": ("hold_pct", "temperature_c", "way", "indoor_c", "lasts"),
    "room-heat-spread": ("low_c", "high_c"),
    "room-heat-morning": ("temperature_c",),
    "room-heat-too-dry": ("hold_pct", "temperature_c"),
    "room-heat-too-damp": ("hold_pct", "temperature_c"),
    "room-heat-any-dry": ("hold_pct", "temperature_c"),
    "room-heat-any-damp": ("hold_pct", "temperature_c"),
    "room-caution-heat": (),
    "room-water-no-volume": (),
    "room-water-no-outdoors": (),
    "room-water-no-leakiness": (),
    "room-water-none": (*_NIGHT, "spread", "kg_high"),
    "room-water-add": (*_NIGHT, *_KG),
    "room-water-remove": (*_NIGHT, *_KG),
    "room-water-fill": ("kg",),
    "room-water-buffer": ("kg",),
    "room-water-already": ("outdoor_c", "limit_pct", "glazing"),
    "room-water-refused": (*_CEILING, "hold_pct", "cooler"),
    "room-water-ceiling": _CEILING,
    "room-water-glazing": (),
    "room-extractor": ("way", *_KG),
    "room-extractor-off": ("kg", "hours_h"),
    "room-extractor-no-outdoors": (),
    "room-extractor-no-flow": (),
    "room-stock": ("way", "lots", "hours_h", *_KG),
    "room-stock-none": (),
    "room-stock-not-modelled": ("lots",),
    "room-leak": ("per_h", "low", "high", "nights"),
    "room-leak-skins": ("times",),
    "room-leak-no-outdoors": (),
    "room-leak-few-nights": ("nights", "needed"),
    "room-leak-nights-do-not-tell": ("nights",),
    "room-leak-not-yet": (),
    "room-leak-told": ("per_h",),
    "room-gas": ("kg", "gas_kg"),
    "room-caution-gas": (),
}
