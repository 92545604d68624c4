"""The part of the catalogue of sentences (:mod:`server.words.keys`) that rules about lots raise."""

from __future__ import annotations

_NAME = ("name",)

LOT_ALERTS: dict[str, tuple[str, ...]] = {
    "alert-lot-checks-title": ("deed", "name", "to_zone"),
    "alert-lot-checks-why": ("ahead_pct", "index", "look_index", "ends"),
    "band-lot-checks-far": _NAME,
    "band-lot-checks-far-short": (),
    "alert-lot-cup-title": ("deed", "name"),
    "alert-lot-cup-why": ("hollow", "cup_mm", "width_mm", "at", "tolerance_mm"),
    "band-lot-cup-far": _NAME,
    "band-lot-cup-far-short": (),
    "alert-milled-open-title": ("deed", "name"),
    "alert-milled-open-why": ("at", "cup_mm", "width_mm", "most_mm", "tolerance_mm"),
    "band-milled-open-far": _NAME,
    "band-milled-open-far-short": (),
    "alert-lots-unconfirmed-title": ("count", "name"),
    "alert-lots-unconfirmed-why": (),
    "band-lots-unconfirmed-far": (),
    "alert-wrap-sweating-title": _NAME,
    "alert-wrap-sweating-why": ("film_c", "at", "measured", "dew_point_c"),
    "band-wrap-sweating-far": _NAME,
    "band-wrap-sweating-far-short": (),
    "alert-lot-good-title": _NAME,
    "alert-lot-good-why": ("mean_pct",),
    "band-lot-good-far": _NAME,
    "band-lot-good-far-short": (),
    "alert-away-title": ("count", "name"),
    "alert-away-why": ("from", "to", "names", "more"),
    "band-away-far": (),
    "not-watched-no-lot": (),
    "not-watched-no-hours": (),
    "not-watched-no-wrap": (),
    "not-watched-nobody-away": (),
}
