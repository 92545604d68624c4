"""The one door: HTTP on loopback. Documents are the contract in ``tests/contract``; errors follow RFC 9457."""
