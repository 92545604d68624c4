"""What people tell the shop's record, kind by kind: the journal's words as schemas.

An entry is written once and never changed: what was wrong is put right by another one. Its figures keep the unit they
have in their name; a thickness may be given in quarters of an inch instead, as rough lumber is sold.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from server.reading import JournalEntry
from server.shop.construction import Grain
from server.shop.deed import (
    Deed,
    EntryId,
    Id,
    Length,
    Line,
    Lying,
    Moment,
    Note,
    Number,
    OfLot,
    Pieces,
    Taken,
    Truth,
    Who,
    Width,
)
from server.shop.gluing import Crated, Fitted, Glued, House
from server.shop.offering import Offered, OfferWithdrawn
from server.shop.receiving import Aimed, Received


class Split(OfLot):
    """Some pieces become a lot of their own."""

    kind: Literal["split"] = "split"
    pieces: Pieces
    into: Id
    name: Line = Field(min_length=1, max_length=40, description="what the shop calls the new lot, 1 to 40 signs")


class Joined(OfLot):
    """Other lots of the same species, cut and thickness become part of this one."""

    kind: Literal["joined"] = "joined"
    others: tuple[Id, ...] = Field(min_length=1, max_length=20)


class MeterSaid(OfLot):
    """A moisture meter's reading, as the meter showed it."""

    reading_pct: Number = Field(ge=0, le=60, description="what the meter shows, 0 to 60 % MC")
    method: Literal["pins", "dielectric"] = "pins"
    scale: Literal["reference", "corrected"] = Field("reference", description="reference, or corrected by the meter")
    wood_temperature_c: Number = Field(
        20.0, ge=-20, le=60, description="the wood's temperature, −20 to 60 °C; is it in °F?"
    )
    depth_mm: Number | None = Field(None, ge=0.5, le=150, description="how deep the pins stood, 0.5 to 150 mm")
    insulated: Truth = False


class Metered(MeterSaid):
    """In the shop."""

    kind: Literal["metered"] = "metered"


class CustomerRead(MeterSaid):
    """Of a delivered panel, at the customer's place, with the air there if it was measured."""

    kind: Literal["customer-read"] = "customer-read"
    temperature_c: Number | None = Field(None, ge=-20, le=60, description="the room's temperature, −20 to 60 °C")
    humidity_pct: Number | None = Field(None, ge=0, le=100, description="the room's humidity, 0 to 100 %")

    @model_validator(mode="after")
    def _both_of_the_air(self) -> CustomerRead:
        if (self.temperature_c is None) != (self.humidity_pct is None):
            raise ValueError("both temperature_c and humidity_pct, or neither")
        return self


class Weighed(OfLot):
    """The lot's sample board on a scale."""

    kind: Literal["weighed"] = "weighed"
    kg: Number = Field(gt=0, le=500, description="its mass, above 0 to 500 kg; is it in grams?")
    resolution_kg: Number = Field(0.001, gt=0, le=1, description="the scale's smallest step, above 0 to 1 kg")


class InWrap(OfLot):
    """What a sensor inside the wrap says."""

    kind: Literal["wrap-read"] = "wrap-read"
    temperature_c: Number = Field(ge=-20, le=60, description="the temperature in the wrap, −20 to 60 °C")
    humidity_pct: Number = Field(ge=0, le=100, description="the humidity in the wrap, 0 to 100 %")
    swing_k: Number = Field(0.0, ge=0, le=60, description="how far its temperature moved in six hours, 0 to 60 K")


class Straightedged(OfLot):
    """How hollow a face is across its width under a straightedge; 0 is flat."""

    kind: Literal["straightedged"] = "straightedged"
    hollow_mm: Number = Field(ge=0, le=100, description="how deep the hollow is, 0 to 100 mm")
    hollow_face: Literal["top", "bottom"] = Field(description="which face is hollow, top or bottom as it lies")
    width_mm: Width | None = Field(None, description="over which width, 1 to 3,000 mm; else the lot's")
    resolution_mm: Number = Field(0.1, gt=0, le=10, description="the smallest step it was read in, above 0 to 10 mm")
    bark_face: Literal["top", "bottom"] | None = Field(None, description="the face towards the bark, at the end grain")
    ring_radius_mm: Number | None = Field(None, ge=20, le=2000, description="the rings' radius there, 20 to 2,000 mm")

    @model_validator(mode="after")
    def _both_of_the_end_grain(self) -> Straightedged:
        if (self.bark_face is None) != (self.ring_radius_mm is None):
            raise ValueError("both bark_face and ring_radius_mm, or neither")
        return self


class Moved(OfLot):
    """To another zone."""

    kind: Literal["moved"] = "moved"
    zone: Id
    lying: Lying | None = Field(None, description="how it lies there, if otherwise than before")
    rack: Line | None = Field(None, max_length=20, description="its place in the rack, up to 20 signs")


class Laid(OfLot):
    """How it lies from now on."""

    kind: Literal["stickered", "dead-stacked", "wrapped", "unwrapped", "one-face", "on-edge"]


class Milled(OfLot):
    """Both faces planed, by what came off each."""

    kind: Literal["milled"] = "milled"
    take_top_mm: Taken
    take_bottom_mm: Taken


class Resawn(OfLot):
    """Each piece sawn through its thickness into two alike."""

    kind: Literal["resawn"] = "resawn"
    kerf_mm: Number = Field(3.0, ge=0, le=20, description="the kerf, 0 to 20 mm")


class Ripped(OfLot):
    """Ripped to a width; ``crook_mm`` over ``length_mm`` is what a test strip did."""

    kind: Literal["ripped"] = "ripped"
    width_mm: Width
    pieces: Pieces
    crook_mm: Number | None = Field(None, ge=0, le=500, description="how far the strip crooked, 0 to 500 mm")
    test_length_mm: Length | None = None
    knot: Truth = Field(False, description="whether a knot lay in the rip line")


class ForkTested(OfLot):
    """What the prongs of a fork test did."""

    kind: Literal["fork-tested"] = "fork-tested"
    prongs: Literal["pinch", "straight", "open"]


class Confirmed(OfLot):
    """A person saw that it lies as the record has it."""

    kind: Literal["confirmed"] = "confirmed"


class EndsSealed(OfLot):
    """Its ends were trimmed of checks or sealed, and are sealed now."""

    kind: Literal["ends-sealed"] = "ends-sealed"


class Finished(OfLot):
    """A finish on one face or both."""

    kind: Literal["finished"] = "finished"
    cover: str = Field(max_length=60, description="a key of the covers table, such as shellac-3")
    faces: Literal["both", "one"] = "both"


class Veneered(OfLot):
    """Veneer laid on a sheet, on one face or both."""

    kind: Literal["veneered"] = "veneered"
    faces: Literal["top", "bottom", "both"] = Field("top", description="top, bottom or both, as it lies")
    species: str = Field(max_length=60, description="a key of the species table")
    thickness_mm: Number = Field(ge=0.1, le=10, description="the veneer's, in millimetres, 0.1 to 10 mm")
    grain: Grain = Field("along", description="along the sheet's length, or across it")


class Delivered(OfLot):
    """It left the shop."""

    kind: Literal["delivered"] = "delivered"
    to: Line = Field("", max_length=40, description="to whom or where, up to 40 signs")
    aim: Aimed | None = Field(None, description="of a panel: where its moisture belongs there, if not as it was aimed")
    house: House | None = Field(None, description="of a panel: what was asked of the house it goes to")


class UsedUp(OfLot):
    """Nothing is left of it."""

    kind: Literal["used-up"] = "used-up"


class Away(Deed):
    """Nobody is in the shop from one time to another."""

    kind: Literal["away"] = "away"
    from_ms: Moment
    to_ms: Moment

    @model_validator(mode="after")
    def _rises(self) -> Away:
        if self.to_ms <= self.from_ms:
            raise ValueError("an end after its beginning")
        return self


class Undone(Deed):
    """An earlier entry is taken back."""

    kind: Literal["undone"] = "undone"
    entry: EntryId


class Corrected(Deed):
    """An earlier entry should have been this one: the same kind, all its fields again, if need be at another time."""

    kind: Literal["corrected"] = "corrected"
    entry: EntryId
    at_ms: Moment = Field(description="when it happened, ms since 1970 UTC, up to the year 2100")
    becomes: LotDeed


LotDeed = Annotated[
    Received | Split | Joined | Metered | Weighed | InWrap | Straightedged | Moved | Laid | Milled | Resawn | Ripped
    | ForkTested | Confirmed | EndsSealed | Finished | Veneered | Glued | Fitted | Crated | CustomerRead | Delivered
    | UsedUp | Away | Offered | OfferWithdrawn,
    Field(discriminator="kind"),
]  # fmt: skip
AnyDeed = Annotated[
    Received | Split | Joined | Metered | Weighed | InWrap | Straightedged | Moved | Laid | Milled | Resawn | Ripped
    | ForkTested | Confirmed | EndsSealed | Finished | Veneered | Glued | Fitted | Crated | CustomerRead | Delivered
    | UsedUp | Away | Offered | OfferWithdrawn | Undone | Corrected,
    Field(discriminator="kind"),
]  # fmt: skip
Corrected.model_rebuild()
KINDS = frozenset({
    "received", "split", "joined", "metered", "weighed", "wrap-read", "straightedged", "moved", "stickered",
    "dead-stacked", "wrapped", "unwrapped", "one-face", "on-edge", "milled", "resawn", "ripped", "fork-tested",
    "confirmed", "ends-sealed", "finished", "veneered", "glued", "fitted", "crated", "customer-read", "delivered",
    "used-up", "away", "offered", "offer-withdrawn", "undone", "corrected",
})  # fmt: skip
"""What this file knows; the journal holds other kinds too, of sensors and alerts, and a `confirmed` of a device, which
has no deed."""


def as_given(deed: AnyDeed) -> dict[str, Any]:
    """A deed with the fields that were given, and its kind; so also what a correction says should have stood there."""
    given = {**deed.model_dump(mode="json", exclude_defaults=True), "kind": deed.kind}
    return {**given, "becomes": as_given(deed.becomes)} if isinstance(deed, Corrected) else given


class Entry(BaseModel):
    """One entry: what happened, when, who says so, and when it was written down."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    id: EntryId
    t_ms: int = Field(ge=0, description="when it happened, ms since 1970 UTC")
    recorded_ms: int = Field(ge=0)
    who: Who = ""
    note: Note = ""
    deed: AnyDeed

    def kept(self) -> JournalEntry:
        """As the store keeps it."""
        data = {"recorded_ms": self.recorded_ms, "who": self.who, "note": self.note, "deed": as_given(self.deed)}
        subject = next((v for k in ("lot", "entry", "offer") if (v := getattr(self.deed, k, None)) is not None), "")
        return JournalEntry(self.id, self.t_ms, self.deed.kind, subject, data)

    @classmethod
    def of(cls, kept: JournalEntry) -> Entry:
        """What :meth:`kept` made. Raises pydantic's ValidationError where it is something else."""
        return cls(id=kept.id, t_ms=kept.t_ms, **kept.data)
