"""What is believed of what was heard; :mod:`server.screening.stage` is the way in."""

from server.screening.labels import FUTURE_LIMIT_MS
from server.screening.stage import Screened, Screening

__all__ = ["FUTURE_LIMIT_MS", "Screened", "Screening"]
