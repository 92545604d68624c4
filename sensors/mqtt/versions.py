"""Which version of the protocol a broker takes: found out by trying, and remembered for the life of the source."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, Protocol, TypeVar

from sensors.driver import LinkLost, LinkRefused
from sensors.mqtt.reasons import NoAnswer, VersionRefused

Wanted = Literal["auto", "5", "3.1.1"]
Version = Literal["5", "3.1.1"]
SURE_AFTER = 2
"""A broker that is going down ends a connection without an answer, too: so it takes that often to be believed."""
DOUBTED_AFTER = 3
"""A version that was taken once is doubted again after so many connections in a row without an answer."""
_OTHER: dict[Version, Version] = {"5": "3.1.1", "3.1.1": "5"}


class Versions:
    """What is known of one broker. ``auto`` begins with 5 and tries the other one once where that gets no answer."""

    def __init__(self, wanted: Wanted = "auto") -> None:
        self._fixed: Version | None = None if wanted == "auto" else wanted
        self._known: Version | None = self._fixed
        self._silences = self._doubtful = 0

    @property
    def first(self) -> Version:
        """What to begin with."""
        return self._known or "5"

    @property
    def has_second(self) -> bool:
        """Whether a connection without an answer would be followed by another one right away."""
        return self._fixed is None and (self._known is None or self._silences + 1 >= DOUBTED_AFTER)

    def second(self, failure: NoAnswer | VersionRefused) -> Version | None:
        """What to try after ``first`` failed like that; None where the failure stands."""
        takes_turn = self.has_second
        self._silences += 1
        if self._fixed is not None or not (takes_turn or isinstance(failure, VersionRefused)):
            return None
        return _OTHER[self.first]

    def took(self, version: Version, after: NoAnswer | VersionRefused | None = None) -> None:
        """The broker answered ``version``, ``after`` the first one had failed like that."""
        self._silences = 0
        self._doubtful = self._doubtful + 1 if isinstance(after, NoAnswer) else 0
        if not isinstance(after, NoAnswer) or self._doubtful >= SURE_AFTER:
            self._known = version


class _Opens(Protocol):
    where: str

    async def open(self, *, patient: bool = True) -> None: ...
    def close(self) -> None: ...


_L = TypeVar("_L", bound=_Opens)


async def opened(make: Callable[[Version], _L], versions: Versions) -> _L:
    """A link that the broker has answered, in a version it takes; each has its own client object.

    Raises LinkLost and LinkRefused: at most one try a version, so that a broker that is down is not asked for ever.
    """
    first = versions.first
    try:
        link = await _tried(make(first), patient=not versions.has_second)
    except (NoAnswer, VersionRefused) as err:
        failure, other = err, versions.second(err)
        if other is None:
            raise
    else:
        versions.took(first)
        return link
    try:
        link = await _tried(make(other))
    except VersionRefused as err:
        raise LinkRefused(f"{err} (MQTT {first} and {other} were both tried)") from None
    except NoAnswer as err:
        raise LinkLost(f"{err}; MQTT {first} and {other} were both tried") from None
    versions.took(other, failure)
    return link


async def _tried(link: _L, *, patient: bool = True) -> _L:
    try:
        await link.open(patient=patient)
    except BaseException:
        link.close()
        raise
    return link
