"""How one gets to a broker and in."""

from __future__ import annotations

from dataclasses import dataclass, field

from sensors.mqtt.tls import Tls


@dataclass(frozen=True, slots=True)
class Access:
    """A broker's address, and who we say we are. The password shows in no text made of this."""

    host: str
    port: int
    client_id: str
    username: str | None = None
    password: str | None = field(default=None, repr=False)
    keepalive_s: int = 25
    tls: Tls | None = None

    @property
    def where(self) -> str:
        """The address, for people."""
        return f"{self.host}:{self.port}"
