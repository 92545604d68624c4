"""The offers that stand, as the journal makes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from server.shop.journal import Fact, FindSpecies, NotPossible, named_species
from server.shop.offering import Offered, OfferWithdrawn


@dataclass(frozen=True, slots=True)
class HeldOffer:
    """An offer as it stands, since when, and by which entry."""

    deed: Offered
    since_ms: int
    who: str
    entry: str


def standing_offers(
    facts: Iterable[Fact], find: FindSpecies, before: Mapping[str, HeldOffer]
) -> Mapping[str, HeldOffer]:  # fmt: skip
    """After all ``facts``, in the order they happened, and what stood ``before``; the last price of an id stands.
    Raises NotPossible."""
    standing = dict(before)
    for fact in facts:
        match fact.deed:
            case Offered() as deed:
                if deed.species is not None:
                    named_species(find, fact.id, deed.species)
                standing[deed.offer] = HeldOffer(deed, fact.t_ms, fact.who, fact.id)
            case OfferWithdrawn() as deed:
                if standing.pop(deed.offer, None) is None:
                    right = f"one of {', '.join(sorted(standing)[:5])}" if standing else "an offer that stands"
                    raise NotPossible(fact.id, "offer", f"{deed.offer!r}, which does not stand then", right)
    return standing
