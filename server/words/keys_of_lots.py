"""The part of the catalogue of sentences (:mod:`server.words.keys`) that is said of lots."""

from __future__ import annotations

_AFTER = ("count", "unit")
_COUNTED = ("count", "unit", "spread", "count_low", "count_high")
_HELD = ("mean_pct", "shell_pct", "core_pct")
_READ = ("kind", "read", "expected")
_SURE = ("sure_before_pct", "sure_after_pct")

LOTS: dict[str, tuple[str, ...]] = {
    "lot-nothing-held-title": (),
    "lot-nothing-held": ("why",),
    "lot-moves-asked": (),
    "lot-moves-shrinks": ("left_mm", "most_mm", "width_mm"),
    "lot-moves-swells": ("left_mm", "most_mm", "width_mm"),
    "lot-moves-settled": (),
    "lot-moves-days": _COUNTED,
    "lot-moves-not-this-season": (),
    "lot-moves-target": ("mean_pct", "target_pct"),
    "lot-moves-limit": (),
    "lot-mill-asked": (),
    "lot-mill-now-title": (),
    "lot-mill-now": (),
    "lot-mill-wait-title": _AFTER,
    "lot-mill-wait": _COUNTED,
    "lot-mill-season-title": (),
    "lot-mill-season": (),
    "lot-mill-not-here-title": (),
    "lot-mill-not-here": ("target_pct", "low_pct", "high_pct"),
    "lot-mill-unsure-title": (),
    "lot-mill-unsure": _AFTER,
    "lot-mill-until": _COUNTED,
    "lot-mill-again": _COUNTED,
    "lot-mill-held": ("name", *_HELD),
    "lot-mill-limit": ("low_pct", "high_pct"),
    "lot-caution-mill": (),
    "lot-reading-used": (*_READ, "before_pct", "after_pct", *_SURE),
    "lot-reading-second-alike": (*_READ, "before_pct", "after_pct", *_SURE),
    "lot-reading-absurd": _READ,
    "lot-reading-shape-anew": _READ,
    "lot-reading-bound": ("reason", *_SURE),
    "lot-reading-first": ("kind",),
    "lot-reading-not-steady": (),
}
