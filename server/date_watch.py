"""Whether a date may be acted upon by what cannot be undone: a slip of the hand puts a clock years ahead at once."""

from __future__ import annotations

from server.clock import Instant

JUMP_MS = 86_400_000
"""A wall clock that gets so far ahead of the monotonic one between two looks has jumped; a night's suspend is less."""
BELIEVED_AFTER_S = 2 * 86_400.0


class DateWatch:
    """Doubts, for two days, a date that jumped ahead, and one at the start that no time service vouches for."""

    def __init__(self) -> None:
        self._offset_ms: int | None = None
        self._believed_from_s = 0.0

    def believed(self, now: Instant) -> bool:
        """Look at a clock that is set, at every turn; whether its date may be acted upon."""
        offset_ms = now.wall_ms - round(now.mono_s * 1000)
        doubtful = not now.vouched if self._offset_ms is None else offset_ms - self._offset_ms >= JUMP_MS
        if doubtful:
            self._believed_from_s = now.mono_s + BELIEVED_AFTER_S
        self._offset_ms = offset_ms
        return now.mono_s >= self._believed_from_s
