"""How humid is the air over a saturated salt?"""

from __future__ import annotations

import difflib

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.wood.salts import OutsideTable, UnknownSalt, salt
from server.words import Sentence
from server.words.figures import figure_text
from server.words.of_salt import CAUTION


class SaltRequest(Request):
    """A salt and a temperature."""

    salt: str = Field(description="a salt's formula, such as NaCl, MgCl2 or LiCl", min_length=1, max_length=20)
    temperature_c: float = Field(
        ge=-50, le=100, description="the salt's temperature, −50 to 100 °C; most are published from 0 to 40 °C"
    )


class SaltQuestion:
    """The published humidity over a saturated salt."""

    name = "salt"
    summary = "the humidity over a saturated salt, for checking a sensor"
    request: type[Request] = SaltRequest

    def answer(self, request: SaltRequest, /) -> Answer:
        """``humidity_pct``, ``uncertainty_pct`` (±). Raises BadRequest for a salt or a temperature not published."""
        try:
            known = salt(request.salt)
            air = known.air(request.temperature_c)
        except UnknownSalt as e:
            formulas = {formula.lower(): formula for formula in e.known}
            near = [formulas[key] for key in difflib.get_close_matches(e.found.lower(), formulas, n=2, cutoff=0.5)]
            right = " or ".join(near) or "one of " + ", ".join(e.known)
            raise BadRequest((Mistake("salt", repr(e.found), right),)) from e
        except OutsideTable as e:
            right = f"{figure_text(e.low_c)} to {figure_text(e.high_c)} °C, where the table has it"
            raise BadRequest((Mistake("temperature_c", repr(request.temperature_c), right),)) from e
        figures = {"humidity_pct": air.humidity_pct, "uncertainty_pct": air.uncertainty_pct}
        said = Sentence("book-salt", {"salt": known.name, "temperature_c": request.temperature_c, **figures})
        return Answer(figures, (said,), (f"{air.source} [{air.provenance}]",), CAUTION)
