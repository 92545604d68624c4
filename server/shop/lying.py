"""What stands between a lot's faces and the air, by how it lies and what is on them."""

from __future__ import annotations

from server.shop.deed import Lying
from server.wood import covers

BENCH = float("inf")


def behind(lying: Lying, top_finish: str = "bare", bottom_finish: str = "bare") -> tuple[float, float]:
    """The resistances before top and bottom face, m² s Pa/kg; inf passes nothing, as a bench does, or a neighbour in a
    dead stack. Finishes are keys of covers. Raises UnknownCover."""
    top, bottom = (covers.find(key).resistance_m2_s_pa_kg for key in (top_finish, bottom_finish))
    match lying:
        case "wrapped":
            film = covers.find("wrapped").resistance_m2_s_pa_kg
            return top + film, bottom + film
        case "dead-stacked":
            return BENCH, BENCH
        case "one-face":
            return top, BENCH
        case "stickered" | "on-edge":
            return top, bottom
