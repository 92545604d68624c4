"""Ids made at the wall: for what is told, so that told twice is done once, and for new lots."""

from __future__ import annotations

import re
import unicodedata
from uuid import uuid4


def new_id() -> str:
    """Of something that is told."""
    return f"wall-{uuid4()}"


def lot_id(name: str, entry: str) -> str:
    """Of a new lot, from its name and what is told of it: small letters, digits, hyphens, at most 40."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:32] or "lot"
    return f"{stem}-{re.sub(r'[^a-z0-9]', '', entry)[-6:]}"


def command_id() -> str:
    """Of a command, as the server's doors take it: told twice is done once."""
    return str(uuid4())
