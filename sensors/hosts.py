"""Names and addresses of other machines, as a person writes them down."""

from __future__ import annotations

import ipaddress
import re

_LABEL = r"[A-Za-z0-9_](?:[A-Za-z0-9_-]{0,61}[A-Za-z0-9_])?"
_NAME = re.compile(rf"(?:{_LABEL}\.)*{_LABEL}\.?", re.ASCII)
"""RFC 1123 section 2.1, and the underline that home networks write."""
NAME_LIMIT = 253
RIGHT = "a host's name or address alone, such as broker.lan or 192.168.1.5: no scheme, no user, no port"


def is_host(text: str) -> bool:
    """Whether ``text`` is an address (IPv4 or IPv6) or a host's name, with labels of at most 63 characters (RFC 1035
    section 2.3.4), those of other scripts counted as they go over the wire."""
    try:
        ipaddress.ip_address(text)
    except ValueError:
        pass
    else:
        return True
    try:
        name = text.encode("idna").decode("ascii")
    except UnicodeError:  # a label too long or empty, or half a character
        return False
    # Digits alone would be an address, and it is none.
    return len(name) <= NAME_LIMIT and _NAME.fullmatch(name) is not None and not name.replace(".", "").isdigit()
