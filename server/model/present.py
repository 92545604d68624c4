"""Lots as they stand now: at the last closed half hour, and after all that was told since.

What a person tells counts at once, though no half hour has closed on it: a meter that was read, a lot that came in, one
that was milled. This is thrown away again; the model takes the same acts when their half hour closes.
"""

from __future__ import annotations

from server.model.course import Course
from server.model.run import Programs
from server.model.woods import Acting, Woods
from server.shop.acts import Begin, From


class Present:
    """The same, kept until the course or what was told is another one."""

    def __init__(self) -> None:
        self._of: tuple[Course, Programs, Woods] | None = None

    def woods(self, course: Course, programs: Programs) -> Woods:
        """As :func:`present`."""
        if self._of is None or self._of[0] is not course or self._of[1] != programs:
            self._of = (course, programs, present(course, programs))
        return self._of[2]


def present(course: Course, programs: Programs) -> Woods:
    """The woods of ``course`` after those acts of ``programs`` that it has not run, without the air meanwhile."""
    open_ = [
        (done, lot)
        for lot, program in programs.items()
        if program and program[-1].edge_ms >= course.at_ms
        for done in program
        if done.edge_ms >= course.at_ms
    ]
    acting = Acting(course.woods)
    for done, lot in sorted(open_, key=lambda pair: pair[0].order):
        makers = done.act.lots if isinstance(done.act, From) else () if isinstance(done.act, Begin) else (lot,)
        if all(name in acting for name in makers):  # else it came about in a past that is still to be run again
            acting.after(lot, done.act)
    return acting.ended() if open_ else course.woods
