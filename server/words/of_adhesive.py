"""What is said beside any figure about an adhesive."""

from __future__ import annotations

from server.words.sentence import Sentence

CAUTION = Sentence("caution-adhesive")
