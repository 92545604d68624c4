"""What schemathesis is told beside the OpenAPI document."""

from __future__ import annotations

import hashlib
import re
from typing import Any

import schemathesis
from pydantic import ValidationError

from server.api.examples import ENTRIES
from server.api.lots import Telling
from tests.flow.small_shop import DAY_MS, START_MS

ID = r"[a-z0-9][a-z0-9-]{0,39}"
THERE = {"lot": ["ash-1", "oak-1"], "zone": ["bench", "loft"], "entry": ["told-before-3", "told-before-4"]}


@schemathesis.hook
def before_load_schema(context: Any, raw_schema: dict[str, Any]) -> None:
    """A response's row of unlike cells (``prefixItems``) is more than its checks of responses take (4.32): to them it
    is a list of any of those cells."""
    _loosened(raw_schema["components"]["schemas"])


@schemathesis.hook
def filter_case(context: Any, case: Any) -> bool:
    """An entry that breaks one kind's schema may be right by another kind's (4.32 negates one branch of the union by
    itself, ``one-face`` for ``moved``, say): such a one is no wrong entry, and is not called as one."""
    generation = getattr(case.meta, "generation", None)
    if case.operation.path != "/api/journal" or generation is None or not generation.mode.is_negative:
        return True
    try:
        Telling.model_validate(case.body)
    except (ValidationError, TypeError):
        return True
    return False


@schemathesis.hook
def before_call(context: Any, case: Any, kwargs: dict[str, Any]) -> None:
    """What is drawn for the journal speaks of the small shop, each time with an id of its own: names and times that are
    as the schema wants them are replaced by such as are there, so that entries are written. What breaks the schema
    stays as it is, and so do the document's examples."""
    body = case.body
    if case.operation.path != "/api/journal" or not isinstance(body, dict) or body in ENTRIES:
        return
    deed = body.get("deed")
    if isinstance(deed, dict):
        body["deed"] = _there(deed)
        if isinstance(deed.get("becomes"), dict):
            body["deed"]["becomes"] = _there(deed["becomes"])
    if type(body.get("t_ms")) is int and 0 <= body["t_ms"] <= 4_102_444_800_000:
        body["t_ms"] = START_MS - body["t_ms"] % DAY_MS
    if isinstance(body.get("id"), str) and re.fullmatch(r"[!-~]{8,64}", body["id"]):
        body["id"] = hashlib.sha256(repr(body).encode("utf-8", "replace")).hexdigest()[:32]


def _there(deed: dict[str, Any]) -> dict[str, Any]:
    replaced = {
        key: names[len(repr(deed)) % len(names)]
        for key, names in THERE.items()
        if isinstance(deed.get(key), str) and re.fullmatch(ID, deed[key])
    }
    if deed.get("kind") == "received":
        replaced.pop("lot", None)
    return {**deed, **replaced}


def _loosened(node: Any) -> None:
    if isinstance(node, dict):
        if "prefixItems" in node:
            node["items"] = {"anyOf": node.pop("prefixItems")}
        for inner in node.values():
            _loosened(inner)
    elif isinstance(node, list):
        for inner in node:
            _loosened(inner)
