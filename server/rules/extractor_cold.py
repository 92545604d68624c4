"""An extractor that blows the room's air outdoors on a cold day: what comes in for it is dry, and dries the room.

By its hours where they are configured; where they are not, by the room's own air: a humidity ratio that goes towards
that of outdoors many times faster than on its still nights has an extractor, or a door, behind it.

It is said once a cold spell: that the extractor rests at night and at the end of the week ends nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RoomView, RuleView, ZoneView
from server.rules.room_finding import RoomParameters, Values, room_finding, speaks
from server.rules.suppressing import Suppressor, nobody_there, off_season, over_salt

MILDER_K, SPARE_PCT = 2.0, 0.3
"""So much milder outdoors, or more to spare, is another day. Common practice, no source."""


class ExtractorColdParameters(RoomParameters):
    """``[rules.extractor-cold]``: how cold, how near to the dry limit, how fast."""

    colder_than_c: float = Field(5.0, ge=-40, le=20, description="outdoors colder than this is a cold day, °C")
    near_pct: float = Field(0.5, ge=0, le=5, description="air so near to its dry limit has nothing to spare, in % EMC")
    times_usual: float = Field(4.0, ge=1.5, le=100, description="so many times as fast as on still nights is blown out")
    least_per_h: float = Field(0.1, gt=0, le=5, description="and by this share of the way to outdoors an hour")
    raise_after_min: float = Field(15.0, ge=0, le=1440, description="minutes it must blow")
    spell_h: float = Field(72.0, ge=0, le=720, description="hours without it that end a cold spell: a long week's end")
    mild_h: float = Field(12.0, ge=0, le=720, description="and where it is mild outdoors")


class ExtractorCold:
    """One subject a room; it needs outdoors, and either the extractor's hours or the room's still nights."""

    name: str = "extractor-cold"
    schema: type[BaseModel] = ExtractorColdParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, nobody_there)

    def __init__(self, parameters: ExtractorColdParameters | None = None) -> None:
        self._own = parameters or ExtractorColdParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a room. Also where nothing tells of an extractor, as before its nights were looked at after a
        start: what stands then must not count as no longer watched."""
        zones = {zone.zone: zone for zone in view.zones} if view.rooms else {}
        return [self._of_room(room, zones[room.zone], view.now_ms) for room in view.rooms if room.zone in zones]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        if not any(room.outdoor_c is not None for room in view.rooms):
            return "not-watched-no-outdoors"
        blown = any(room.blows or room.usual_per_h is not None for room in view.rooms)
        return None if blown else "not-watched-no-extractor"

    def _of_room(self, room: RoomView, zone: ZoneView, now_ms: int) -> Finding:
        p = self._own
        raises = clears = mild = False
        values: Values = {}
        air = zone.air if speaks(room, now_ms) else None
        if air is not None and room.outdoor_c is not None and room.incoming_pct is not None:
            limit = zone.aim.dry_limit_pct
            until_ms = next((to_ms for from_ms, to_ms in room.blows if from_ms <= now_ms < to_ms), None)
            blows, stopped = self._blows(room, until_ms)
            spare = air.emc_pct - limit
            raises = blows and room.outdoor_c < p.colder_than_c and room.incoming_pct < limit and spare < p.near_pct
            mild = room.outdoor_c > p.colder_than_c + MILDER_K
            clears = stopped or mild or room.incoming_pct >= limit or spare > p.near_pct + SPARE_PCT
            values = {
                "outdoor_c": round(room.outdoor_c, 1),
                "incoming_pct": round(room.incoming_pct, 1),
                "emc_pct": round(air.emc_pct, 1),
                "limit_pct": limit,
            }
            values |= {"until_ms": until_ms} if until_ms is not None else {"rests": 1} if stopped else {}
        return room_finding(
            self.name, room.zone, raises=raises, clears=clears, values=values, lean="dry",
            raise_after_s=60.0 * p.raise_after_min, clear_after_s=3600.0 * (p.mild_h if mild else p.spell_h),
        )  # fmt: skip

    def _blows(self, room: RoomView, until_ms: int | None) -> tuple[bool, bool]:
        """Whether it blows, and whether it has stopped: between the two, as it was."""
        if room.blows:
            return until_ms is not None, until_ms is None
        if room.follows_per_h is None or room.usual_per_h is None:
            return False, False
        fast = max(self._own.least_per_h, self._own.times_usual * room.usual_per_h)
        return room.follows_per_h >= fast, room.follows_per_h < 0.5 * fast
