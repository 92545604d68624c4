"""Sections for the tests: every cut, cover, size and side, made here and nowhere true."""

from __future__ import annotations

import math
from dataclasses import replace

from kiosk.grain import GrainView

AIM = {"dry_limit_pct": 6.0, "damp_limit_pct": 10.0}
Profile = tuple[tuple[float, float], ...]


def drying(shell: float, core: float) -> Profile:
    """Both faces at ``shell``, the middle at ``core``, % MC."""
    return tuple((i / 30, shell + (core - shell) * math.sin(math.pi * i / 30)) for i in range(31))


def from_top(top: float, bottom: float) -> Profile:
    """Straight from one face to the other."""
    return tuple((i / 30, top + (bottom - top) * i / 30) for i in range(31))


def board(thick: float, wide: float, profile: Profile, cut: str = "flat", **more: object) -> GrainView:
    return GrainView(thick, wide, cut, profile, **AIM, **more)  # type: ignore[arg-type]


PANEL = board(21, 440, from_top(7.4, 7.9), joints=(0.2, 0.4, 0.6, 0.8), alternating=True, lying="stickered")
SHEET: dict[str, GrainView] = {
    "flat, hollow top": board(20, 200, from_top(4.6, 8.2), cup_mm=0.5, lying="one-face"),
    "flat, hollow bottom": board(20, 200, from_top(9.6, 6.4), cup_mm=-0.5, lying="stickered"),
    "8/4, damp core": board(51, 180, drying(8.4, 13.2), lying="stickered"),
    "quarter, wrapped": board(13, 150, drying(7.6, 7.7), "quarter", lying="wrapped"),
    "rift, wrapped": board(32, 170, drying(9.2, 9.6), "rift", lying="wrapped"),
    "flat, even": board(25.4, 190, drying(7.5, 9.0), lying="stickered"),
    "rift, cupped": board(22, 140, from_top(5.4, 8.8), "rift", cup_mm=0.35, lying="on-edge"),
    "quarter, damp": board(38, 160, drying(11.5, 14.0), "quarter", lying="dead-stacked"),
    "bark down": board(27, 200, drying(5.0, 9.0), bark="bottom", ring_radius_mm=70, lying="stickered"),
    "far too dry": board(27, 200, drying(3.6, 4.4), lying="stickered"),
    "far too damp": board(27, 200, drying(13.0, 15.0), lying="dead-stacked"),
    "very hollow": board(16, 220, from_top(4.0, 12.0), cup_mm=2.6, lying="one-face"),
    "wrapped and hollow": board(18, 200, from_top(9.4, 5.6), cup_mm=-0.6, lying="wrapped"),
    "leg blank": board(50, 52, drying(8.0, 11.8), "rift", lying="stickered"),
    "a panel": PANEL,
    "a hollow panel": replace(PANEL, width_mm=480, cup_mm=0.9, profile=from_top(5.2, 8.4), lying="one-face"),
    "plywood": GrainView(18, 1220, "plywood", lying="dead-stacked"),
    "particleboard, veneered": GrainView(19.2, 600, "particleboard", layers=(0.06, 0.94), lying="stickered"),
    "strand board": GrainView(22, 300, "osb", lying="on-edge"),
    "not known": GrainView(25, 180, "flat", lying="stickered"),
    "no aim": GrainView(25, 180, "quarter", drying(7, 9), lying="wrapped"),
    "a veneer": board(1.2, 150, drying(7.0, 7.0), lying="wrapped"),
    "fibreboard": GrainView(18, 240, "mdf", lying="stickered"),
    "thick": board(76, 150, drying(8.0, 13.5), "flat", lying="stickered"),
}
