"""What a broker's no means for a person: which error it is, and what would be right."""

from __future__ import annotations

from sensors.driver import LinkLost, LinkRefused

VERSION_REASON = "Unsupported protocol version"
_REFUSALS = {
    VERSION_REASON: 'protocol = "auto", or a broker that speaks MQTT 5 or 3.1.1',
    "Client identifier not valid": "a broker that takes client ids of up to 80 characters",
    "Bad user name or password": "the user name and password that this broker knows",
    "Not authorized": "the user name and password that this broker knows, and a right to read these topics",
    "Banned": "a client that this broker has not banned",
    "Bad authentication method": "a broker that takes a user name and password, or none",
}
"""What a person has to change, by the name of the reason code (MQTT 5.0, OASIS 2019, section 2.4)."""


class VersionRefused(LinkRefused):
    """The broker says in so many words that it does not take this version of the protocol."""


class NoAnswer(LinkLost):
    """The broker took the connection and ended it, or said nothing, instead of answering. One that knows only another
    version of the protocol may do so, and so does one that is going down."""


def refusal(text: str, reason: str) -> LinkLost | LinkRefused:
    """The error for a reason code's name: refused where only a person can change it, else lost."""
    right = _REFUSALS.get(reason)
    if right is None:
        return LinkLost(text)
    kind = VersionRefused if reason == VERSION_REASON else LinkRefused
    return kind(f"{text}; would be right: {right}")


def topic_refusal(where: str, topic: str, reason: str) -> LinkLost | LinkRefused:
    """The error for a topic that the broker does not let us read.

    MQTT 3.1.1 (OASIS 2014, section 3.9.3) has one code for every reason, 0x80; it is what a broker says to a topic that
    its access list does not grant.
    """
    text = f"{where}: the broker says to the topic {topic}: {reason}"
    if reason == "Unspecified error":
        return LinkRefused(f"{text}; would be right: a right to read this topic, at the broker")
    return refusal(text, reason)
