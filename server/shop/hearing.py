"""What a reading in the journal says to the model: corrected for species and temperature, with its spread."""

from __future__ import annotations

from contextlib import suppress

from server.shop.acts import Hear
from server.shop.entries import InWrap, Metered, Weighed
from server.wood import meter, species
from server.wood.emc import emc_half_width_pct, emc_pct

AS_READ_SPREAD_PCT = 2.0
"""Half the central 80 % of a reading that is not corrected: a dielectric meter's, or pins in a species without a table.
Common practice, no source."""
WRAP_ACCURACY_C, WRAP_ACCURACY_RH = 0.3, 0.03
"""Of the small sensors people put into a wrap. Common practice, no source."""


def heard(deed: Metered | InWrap | Weighed, species_key: str | None, thickness_mm: float) -> Hear:
    """A witness's word as an act; its values are those of its class in :mod:`server.wood.witness`, in order."""
    match deed:
        case Metered():
            return _pins(deed, species_key, thickness_mm)
        case InWrap():
            return _wrap(deed)
        case Weighed():
            return Hear("scale", (deed.kg, deed.resolution_kg))


def _pins(deed: Metered, species_key: str | None, thickness_mm: float) -> Hear:
    """Moisture, its spread, bound, depth as a part of the thickness, insulated."""
    depth = meter.MEAN_DEPTH if deed.depth_mm is None else min(deed.depth_mm / thickness_mm, 1.0)
    found = meter.Corrected(deed.reading_pct, AS_READ_SPREAD_PCT, None)
    if deed.method == "pins":
        with suppress(meter.NoCurve):
            keys = [species_key or ""]
            with suppress(species.UnknownSpecies):
                keys.append(species.find(keys[0]).coefficient_from)
            already = deed.scale == "corrected"
            found = meter.corrected(deed.reading_pct, deed.wood_temperature_c, meter.find(*keys), already=already)
    return Hear("pins", (found.mc_pct, found.spread_pct, found.bound, depth, deed.insulated))


def _wrap(deed: InWrap) -> Hear:
    """EMC of the air in the wrap, its spread, and how far its temperature swung."""
    rh = deed.humidity_pct / 100
    spread = emc_half_width_pct(deed.temperature_c, rh, accuracy_c=WRAP_ACCURACY_C, accuracy_rh=WRAP_ACCURACY_RH)
    return Hear("wrap", (float(emc_pct(deed.temperature_c, rh)), float(spread), deed.swing_k))
