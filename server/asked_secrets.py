"""What a source that was asked for over the API may name on this machine's disk and in its environment.

Whoever may speak to the door must not make us send elsewhere, or wait for, what else our user may read. What was found
is not repeated: somebody may have put the secret itself there.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from server.config import Mistake
from server.config_words import HIDDEN

SECRETS = "secrets"
VARIABLES = "STILLSTACK_"
_FILES = {
    "password_file": "a file of mode 600",
    "ca_file": "a PEM file of certificates",
    "cert_file": "a PEM file with our certificate",
    "key_file": "a PEM file of mode 600",
}


def wrong_secrets(source: Mapping[str, Any], folder: Path, key: str, where: str) -> list[Mistake]:
    """The mistakes in ``source``, whose table is called ``key``: a file that lies elsewhere than in ``folder`` or is
    none, a variable that is not for us. Looks at the disk, so not for the event loop's thread."""
    mistakes = []
    for name, right in _FILES.items():
        if (named := source.get(name)) is not None and not _is_file_in(folder, named):
            mistakes.append(Mistake(where, None, f"{key}.{name}", HIDDEN, f"{right} in {folder}"))
    variable = source.get("password_env")
    if variable is not None and (not isinstance(variable, str) or not variable.startswith(VARIABLES)):
        right = f"an environment variable of the server's that begins with {VARIABLES}"
        mistakes.append(Mistake(where, None, f"{key}.password_env", HIDDEN, right))
    return mistakes


def _is_file_in(folder: Path, named: object) -> bool:
    """Nothing is opened: a pipe would wait for its other end."""
    if not isinstance(named, str) or not named.isprintable():
        return False
    path = Path(os.path.realpath(named))
    if path.parent != folder.resolve():
        return False
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except FileNotFoundError:
        return True  # the schema says what is missing, as for a file
    except OSError:
        return False
