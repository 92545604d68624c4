"""An offer of lumber as it is typed: one line, parts between commas."""

from __future__ import annotations

import difflib
import math

from server.wood.offers import BadOffer, Offer, grades

FORM = (
    "label,quarters,width-in,length-in,price-per-bf[,resaw][,grade=1C][,yield=70][,hours=1.5]: 4 to 16 quarters "
    "(8 or 8/4), 1 to 118 in wide, 1 to 480 in long"
)
_PARTS = ("label", "quarters", "width-in", "length-in", "price-per-bf")
_MORE = ("grade", "yield", "hours")
_YES, _NO = {"resaw", "yes", "true", "1"}, {"", "no", "false", "0"}
"""What the sixth place may say of resawing."""


def read_offer(text: str) -> Offer:
    """The offer in a line such as ``Maple 8/4,8,6,96,9.50,resaw,grade=1C``.

    After the five parts that must be there come, in any order, ``resaw``, a ``grade`` (its least clear face is the
    yield), a ``yield`` in % of the face (which takes the grade's place) and ``hours``. Raises BadOffer.
    """
    parts = [part.strip() for part in text.split(",")]
    if len(parts) < len(_PARTS):
        raise BadOffer(_PARTS[len(parts)], "nothing", FORM)
    rest = parts[len(_PARTS) :]
    resaw, more = bool(rest) and rest[0].lower() in _YES, {}
    if rest and rest[0].lower() in _YES | _NO:
        rest = rest[1:]
    for part in rest:
        key, equals, value = (bit.strip() for bit in part.partition("="))
        if key.lower() == "resaw" and not equals:
            resaw = True
        elif key.lower() in _MORE and equals and key.lower() not in more:
            more[key.lower()] = value
        elif part:
            raise BadOffer("an extra part", repr(part), "resaw, grade=, yield= or hours=, each once")
    width_in, length_in, price = (_number(name, part) for name, part in zip(_PARTS[2:], parts[2:5], strict=True))
    usable_pct = _number("yield", more["yield"]) if "yield" in more else 100.0
    if "grade" in more:
        least = clear_pct(more["grade"])
        usable_pct = usable_pct if "yield" in more else least
    hours = _number("hours", more.get("hours", "0"))
    return Offer(parts[0], _quarters(parts[1]), width_in, length_in, price, resaw, usable_pct, hours)


def _number(name: str, text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise BadOffer(name, repr(text), "a number, with a point for decimals")
    return number


def _quarters(text: str) -> int:
    number = _number("quarters", text.removesuffix("/4"))
    if number != int(number):
        raise BadOffer("quarters", repr(text), "a whole number of quarter inches, such as 5 for 5/4")
    return int(number)


def clear_pct(typed: str) -> float:
    """The least share of clear face of a grade by its letters, %. Raises BadOffer."""
    known = {key.lower(): grade for key, grade in grades().items()}
    found = known.get(typed.lower())
    if found is None:
        near = difflib.get_close_matches(typed.lower(), known, n=2, cutoff=0.5)
        raise BadOffer("grade", repr(typed), " or ".join(known[key].grade for key in near) or ", ".join(grades()))
    return found.clear_pct
