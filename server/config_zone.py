"""A zone's table of the configuration, and what all tables share."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from server.season import Season
from server.working_hours import Hours, Weekday

Id = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="small letters, digits, hyphens")]


class Table(BaseModel):
    """A table of the file. Keys nobody knows are mistakes, not decoration."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Zone(Table):
    """A part of the premises with its own air. What follows ``destination`` is for advice on the room; one zone may be
    the air outdoors, whose air is held against no aim."""

    id: Id
    name: str = Field(min_length=1, max_length=24)
    destination: Id
    off_season: Season | None = Field(None, description='days on which nobody is told of it: ["05-15", "09-15"]')
    outdoors: bool = Field(False, description="its sensors hang outdoors, in shade, under a roof: no room at all")
    shelf: bool = Field(False, description="glue and finishes stand there")
    iron: bool = Field(False, description="machines or tools of bare iron stand there")
    volume_m3: float | None = Field(None, gt=0, le=100_000, description="the room's volume, above 0 to 100,000 m³")
    glazing: Literal["single", "double", "none"] | None = Field(None, description="single, double, or none: no window")
    air_changes_per_h: float | None = Field(
        None, ge=0, le=20, description="outdoor air an hour, 0 to 20; where the room's own nights do not tell"
    )
    extractor_m3_per_h: float = Field(0.0, ge=0, le=100_000, description="air it blows outdoors, 0 to 100,000 m³/h")
    extractor_hours: dict[Weekday, Hours] = Field(
        default_factory=dict, description='when it runs, such as {mon = "09:00-11:00"}'
    )
    propane_kg_per_day: float = Field(0.0, ge=0, le=100, description="gas burnt without a flue, 0 to 100 kg a day")
