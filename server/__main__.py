"""``python -m server`` is the command ``stillstack``."""

from __future__ import annotations

import sys

from server.cli import main

if __name__ == "__main__":
    sys.exit(main())
