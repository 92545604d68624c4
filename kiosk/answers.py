"""What a server's answer says: a document, yes, or no and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kiosk.client import Answer, Ask, Refused, Snapshot, Tell
from kiosk.document import checked

if TYPE_CHECKING:
    import httpx


class Unusable(Exception):
    """The server answered, but not with something to show."""


def document(answer: httpx.Response) -> Snapshot:
    """The snapshot in it. Raises :class:`Unusable`, or what :func:`kiosk.document.checked` does."""
    if not answer.is_success:
        raise Unusable(refused_of(answer).text)
    try:
        document = answer.json()
    except ValueError:
        kind = answer.headers.get("content-type", "nothing said")
        raise Unusable(f"/api/snapshot: found {kind}; would be right: a JSON document") from None
    return checked(document)


def decided(what: Ask | Tell, answer: httpx.Response) -> Answer:
    """What a server that is well said: yes with its document, or no with its reason."""
    if not answer.is_success:
        return Answer(what, "refused", refused=refused_of(answer))
    if not answer.content:
        return Answer(what, "here")
    try:
        return Answer(what, "here", answer.json())
    except ValueError:
        kind = answer.headers.get("content-type", "nothing said")
        return Answer(what, "failed", refused=Refused(f"{what.path}: found {kind}; would be right: a JSON document"))


def refused_of(answer: httpx.Response) -> Refused:
    """An RFC 9457 problem with what this server adds to it, else the status."""
    try:
        document = answer.json()
        more = {key: str(document.get(key) or "") for key in ("field", "found", "would_be_right")}
        return Refused(str(document.get("detail") or document["title"]), **more)
    except (ValueError, KeyError, AttributeError, TypeError):
        return Refused(f"HTTP {answer.status_code}")
