"""What went wrong with which probe: always counted, said once, so that a probe off for a night is one row, no flood."""

from __future__ import annotations

import logging
from collections import Counter

logger = logging.getLogger(__name__)

AGAIN_AFTER_S = 3600.0
"""A probe that fails and answers by turns has the same failing said once an hour, with how often it came meanwhile."""


class Faults:
    """Counts by (probe, kind). ``source_id`` is for the log."""

    def __init__(self, source_id: str) -> None:
        self.answered: Counter[str] = Counter()
        """Polls that brought a sample, by probe."""
        self.counts: Counter[tuple[str, str]] = Counter()
        """Polls that did not, by probe and kind: timeout, torn, crc, foreign, exception N, nonsense."""
        self._source_id = source_id
        self._standing: dict[str, str] = {}
        self._failed_in_a_row: Counter[str] = Counter()
        self._said: dict[tuple[str, str], tuple[float, int]] = {}

    def failed(self, probe: str, kind: str, mono_s: float) -> str | None:
        """Count one failure at ``mono_s`` on the monotonic clock. What to add to its reason when it is to be said
        ("" or how many came unsaid), else None."""
        self.counts[probe, kind] += 1
        self._failed_in_a_row[probe] += 1
        if probe not in self._standing:
            logger.warning("Source %s: probe %s does not answer well (%s)", self._source_id, probe, kind)
        stands, self._standing[probe] = self._standing.get(probe) == kind, kind
        said_s, said_count = self._said.get((probe, kind), (None, 0))
        if stands or (said_s is not None and mono_s - said_s < AGAIN_AFTER_S):
            return None
        unsaid = self.counts[probe, kind] - said_count - 1
        self._said[probe, kind] = mono_s, self.counts[probe, kind]
        return f"; {unsaid} more such since it was last said" if unsaid else ""

    def answered_well(self, probe: str) -> None:
        """Count a sample; what stood against the probe is over."""
        self.answered[probe] += 1
        kind, polls = self._standing.pop(probe, None), self._failed_in_a_row.pop(probe, 0)
        if kind is not None:
            text = "Source %s: probe %s is back after %d polls without (%s)"
            logger.warning(text, self._source_id, probe, polls, kind)
