"""What schemathesis is told beside the OpenAPI document."""

from __future__ import annotations

from typing import Any

import schemathesis


@schemathesis.hook
def before_load_schema(context: Any, raw_schema: dict[str, Any]) -> None:
    """A response's row of unlike cells (``prefixItems``) is more than its checks of responses take (4.32): to them it
    is a list of any of those cells."""
    _loosened(raw_schema["components"]["schemas"])


def _loosened(node: Any) -> None:
    if isinstance(node, dict):
        if "prefixItems" in node:
            node["items"] = {"anyOf": node.pop("prefixItems")}
        for inner in node.values():
            _loosened(inner)
    elif isinstance(node, list):
        for inner in node:
            _loosened(inner)
