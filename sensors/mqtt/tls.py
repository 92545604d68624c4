"""Speaking to a broker through TLS, always with its certificate verified: there is no switch to leave that out."""

from __future__ import annotations

import ssl
from dataclasses import dataclass
from pathlib import Path

from sensors.driver import LinkLost, LinkRefused

_EXPIRED, _NOT_YET, _OTHER_NAMES = 10, 9, {62, 64}
"""OpenSSL's numbers for what is wrong with a certificate (X509_V_ERR_*, its manual page X509_STORE_CTX_get_error)."""


class _ClosedWhenItFails(ssl.SSLSocket):
    """paho leaves a socket open whose handshake failed."""

    def do_handshake(self, block: bool = False) -> None:
        try:
            super().do_handshake(block)
        except BaseException:
            self.close()
            raise


@dataclass(frozen=True, slots=True)
class Tls:
    """Whom to believe, and who we are. Without ``ca_file`` the machine's own authorities are believed; ``cert_file``
    and ``key_file`` (PEM, without a passphrase) are for a broker that wants to know its clients by certificate."""

    ca_file: Path | None = None
    cert_file: Path | None = None
    key_file: Path | None = None

    def context(self) -> ssl.SSLContext:
        """Reads the files: at every connection, so that a renewed certificate is taken without a restart. Raises
        LinkRefused naming the file."""
        try:
            context = ssl.create_default_context(cafile=self.ca_file)
        except (OSError, ValueError) as err:
            raise LinkRefused(_of_file("ca_file", self.ca_file, err, "a PEM file of certificates")) from None
        if self.cert_file is not None:
            try:
                # Without a word of ours OpenSSL would ask for a passphrase on the terminal.
                context.load_cert_chain(self.cert_file, self.key_file, password=lambda: "")
            except (OSError, ValueError) as err:
                named, right = self.key_file or self.cert_file, "a PEM certificate and its key without a passphrase"
                raise LinkRefused(_of_file("cert_file and key_file", named, err, right)) from None
        context.sslsocket_class = _ClosedWhenItFails
        return context

    def failure(self, where: str, host: str, err: ssl.SSLError | ConnectionResetError) -> LinkLost | LinkRefused:
        """A handshake that failed, as what was found and what would be right."""
        if isinstance(err, ssl.SSLCertVerificationError):
            return self._unverified(where, host, err)
        if isinstance(err, ConnectionResetError | ssl.SSLEOFError | ssl.SSLZeroReturnError):
            return LinkLost(f"{where}: the broker ended the TLS handshake; {_PORT}")
        if err.reason == "WRONG_VERSION_NUMBER":
            return LinkRefused(f"{where}: found no TLS there; {_PORT}")
        return LinkRefused(f"{where}: TLS failed: {err.reason or err}; would be right: TLS 1.2 or later, and {_OURS}")

    def _unverified(self, where: str, host: str, err: ssl.SSLCertVerificationError) -> LinkLost | LinkRefused:
        found = f"{where}: the broker's certificate is not believed: {err.verify_message.rstrip('.')}"
        if err.verify_code == _NOT_YET:  # a machine without a clock of its own has not been told the time yet
            return LinkLost(f"{found}; would be right: this machine's clock set")
        if err.verify_code == _EXPIRED:
            return LinkRefused(f"{found}; would be right: a renewed certificate at the broker, or this clock set right")
        if err.verify_code in _OTHER_NAMES:
            return LinkRefused(f"{found}; would be right: as host, not {host}, but a name its certificate holds")
        believed = f"{self.ca_file}" if self.ca_file else "the authorities this machine believes"
        return LinkRefused(f"{found} (by {believed}); would be right: ca_file with the authority that signed it")


_PORT = "would be right: the broker's TLS port (8883 by custom), or tls = false"
_OURS = "cert_file and key_file that this broker knows, if it wants a certificate"


def of_alert(where: str, said: str) -> LinkRefused | None:
    """What a broker said through TLS when it ended the connection; None if it said nothing of TLS. With TLS 1.3 a
    client learns only after the handshake that its certificate was not taken."""
    if "ALERT" not in said:
        return None
    alert = said.partition("[SSL: ")[2].partition("]")[0] or said
    return LinkRefused(f"{where}: the broker ended TLS: {alert}; would be right: {_OURS}")


def _of_file(key: str, path: Path | None, err: Exception, right: str) -> str:
    why = err.strerror if isinstance(err, OSError) and err.strerror else str(err)
    return f"{key}: found {path} ({why}); would be right: {right}"
