"""Hours of work as spans of time, by the shop's clock, also where that jumps."""

from __future__ import annotations

from datetime import UTC, datetime

from server.working_hours import spans_of

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def at(text: str) -> int:
    return round(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp() * 1000)


def test_spans_run_from_yesterday_to_eight_days_ahead_by_the_shops_clock() -> None:
    found = spans_of({"mon": "07:30-17:00", "sat": "09:00-12:00"}, "Europe/Oslo", at("2027-01-11T12:00"))  # a monday
    assert found == (
        (at("2027-01-11T06:30"), at("2027-01-11T16:00")),
        (at("2027-01-16T08:00"), at("2027-01-16T11:00")),
        (at("2027-01-18T06:30"), at("2027-01-18T16:00")),
    )
    assert spans_of({}, "Europe/Oslo", at("2027-01-11T12:00")) == ()


def test_hours_are_kept_by_the_wall_over_a_change_of_the_clocks() -> None:
    """Oslo goes an hour ahead on 28 March 2027 at 02:00 (EU directive 2000/84/EC: the last Sunday of March)."""
    hours = dict.fromkeys(DAYS, "08:00-16:00") | {"sun": "01:00-24:00"}
    found = spans_of(hours, "Europe/Oslo", at("2027-03-27T12:00"))
    assert found[1] == (at("2027-03-27T07:00"), at("2027-03-27T15:00"))
    assert found[2] == (at("2027-03-28T00:00"), at("2027-03-28T22:00"))
    assert found[3] == (at("2027-03-29T06:00"), at("2027-03-29T14:00"))
