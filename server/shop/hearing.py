"""What a reading in the journal says to the model: corrected for species and temperature, with its spread."""

from __future__ import annotations

from math import cos, hypot, radians
from typing import NamedTuple

from server.shop.acts import Hear
from server.shop.deed import Cut
from server.shop.entries import InWrap, MeterSaid, Straightedged, Weighed
from server.wood import meter
from server.wood.emc import emc_half_width_pct, emc_pct
from server.wood.ensemble import END_OF_80, GRAVITY_CV
from server.wood.movement import RING_ANGLE_DEG, across_width
from server.wood.species import Species, coefficients

AS_READ_SPREAD_PCT = 2.0
"""Half the central 80 % of a reading that is not corrected: a dielectric meter's, or pins in a species without a table.
Common practice, no source."""
SET_SPREAD_PCT = 1.0
"""Of a dielectric meter that is set to the species' density, before that of the piece. Common practice, no source."""
WRAP_ACCURACY_C, WRAP_ACCURACY_RH = 0.3, 0.03
"""Of the small sensors people put into a wrap. Common practice, no source."""


class Wooden(NamedTuple):
    """Of what a reading is: the species, how its pieces are cut, their thickness and width, mm."""

    species: Species
    cut: Cut
    thickness_mm: float
    width_mm: float


def heard(deed: MeterSaid | InWrap | Weighed | Straightedged, wood: Wooden) -> Hear:
    """A witness's word as an act; its values are those of its class in :mod:`server.wood.witness`, in order.

    Raises NotPublished for a straightedge on a species of which no movement is known.
    """
    match deed:
        case MeterSaid(method="dielectric"):
            return _dielectric(deed)
        case MeterSaid():
            return _pins(deed, wood)
        case InWrap():
            return _wrap(deed)
        case Weighed():
            return Hear("scale", (deed.kg, deed.resolution_kg))
        case Straightedged():
            return _straightedge(deed, wood)


def _pins(deed: MeterSaid, wood: Wooden) -> Hear:
    """Moisture, its spread, bound, depth as a part of the thickness, insulated."""
    depth = meter.MEAN_DEPTH if deed.depth_mm is None else min(deed.depth_mm / wood.thickness_mm, 1.0)
    try:
        curve, spread = meter.find(wood.species.key, wood.species.coefficient_from), 0.0
    except meter.NoCurve:  # as read, and a bound where pins tell nothing in any wood
        curve, spread = None, AS_READ_SPREAD_PCT
    already = deed.scale == "corrected"
    found = meter.corrected(deed.reading_pct, deed.wood_temperature_c, curve, already=already)
    return Hear("pins", (found.mc_pct, max(found.spread_pct, spread), found.bound, depth, deed.insulated))


def _dielectric(deed: MeterSaid) -> Hear:
    """As read, and its spread: the field goes by the water in a volume, so a piece denser than the meter is set for
    reads damper in that measure. Only the meter's own sheet can put that right."""
    own = SET_SPREAD_PCT if deed.scale == "corrected" else AS_READ_SPREAD_PCT
    return Hear("dielectric", (deed.reading_pct, hypot(own, END_OF_80 * GRAVITY_CV * deed.reading_pct)))


def _wrap(deed: InWrap) -> Hear:
    """EMC of the air in the wrap, its spread, and how far its temperature swung."""
    rh = deed.humidity_pct / 100
    spread = emc_half_width_pct(deed.temperature_c, rh, accuracy_c=WRAP_ACCURACY_C, accuracy_rh=WRAP_ACCURACY_RH)
    return Hear("wrap", (float(emc_pct(deed.temperature_c, rh)), float(spread), deed.swing_k))


def _straightedge(deed: Straightedged, wood: Wooden) -> Hear:
    """The hollow, positive on the top; its width, m; what the width moves by per 1 % MC; what its rings cup by, the
    rings' curvature where the end grain was looked at; the resolution."""
    angle = RING_ANGLE_DEG[wood.cut]
    across, rings = across_width(wood.species, angle), coefficients(wood.species)
    hollow = deed.hollow_mm if deed.hollow_face == "top" else -deed.hollow_mm
    per_m = None if deed.ring_radius_mm is None else 1000.0 / deed.ring_radius_mm
    if per_m is not None and deed.bark_face == "top":
        per_m = -per_m
    width_m = (deed.width_mm or wood.width_mm) / 1000.0
    by_rings = (rings.ct - rings.cr) * cos(radians(angle)) ** 3
    return Hear("straightedge", (hollow, width_m, across.coefficient, by_rings, per_m, deed.resolution_mm))
