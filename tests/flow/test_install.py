"""deploy/install: does nothing when nothing is missing, and says what is missing when it may not put it in."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.whole


def blocked(folder: Path, *names: str) -> Path:
    """A folder with programs that write down that they were called, and fail."""
    folder.mkdir()
    for name in names:
        program = folder / name
        program.write_text(f'#!/bin/sh\necho "{name} $*" >>"{folder}/called"\nexit 97\n')
        program.chmod(0o755)
    return folder


def install(path: str, *, user: list[str] | None = None, root: Path = ROOT) -> subprocess.CompletedProcess[str]:
    command = [*(user or []), str(root / "deploy" / "install"), "--tests"]
    return subprocess.run(
        command, env={"PATH": path, "HOME": "/nonexistent"}, capture_output=True, text=True, timeout=60
    )


def test_when_nothing_is_missing_neither_apt_nor_pip_is_called(tmp_path: Path):
    block = blocked(tmp_path / "bin", "apt-get", "apt", "dpkg", "sudo", "pip", "pip3", "debconf")
    done = install(f"{block}:/usr/sbin:/usr/bin:/sbin:/bin")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert not (block / "called").exists()


@pytest.mark.skipif(os.geteuid() != 0, reason="needs root to become somebody without rights")
def test_without_rights_it_lists_what_to_install_and_stops(tmp_path: Path):
    tmp_path.chmod(0o755)
    block = blocked(tmp_path / "bin", "apt-get", "sudo")
    (block / "called").touch(mode=0o666)
    (block / "called").chmod(0o666)
    lacking = block / "dpkg-query"
    lacking.write_text('#!/bin/sh\ncase "$*" in *mosquitto*|*xvfb*) exit 1 ;; esac\nprintf installed\n')
    lacking.chmod(0o755)
    copy = tmp_path / "checkout"
    shutil.copytree(ROOT / "deploy", copy / "deploy")
    shutil.copy(ROOT / "pyproject.toml", copy)
    for folder in (tmp_path, *tmp_path.parents):  # pytest keeps its folders to itself; this user must get through
        if folder.is_relative_to("/tmp") and folder != Path("/tmp"):  # noqa: S108 - pytest's own place
            folder.chmod(folder.stat().st_mode | 0o055)
    nobody = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"]
    refused = install(f"{block}:/usr/sbin:/usr/bin:/sbin:/bin", user=nobody, root=copy)
    assert refused.returncode == 1
    assert refused.stderr.splitlines()[1] == "  apt-get install --no-install-recommends mosquitto xvfb"
    assert "apt-get" not in (block / "called").read_text()
    assert not (copy / ".venv").exists()


def test_a_word_it_does_not_know_is_refused():
    done = subprocess.run([ROOT / "deploy" / "install", "--quick"], capture_output=True, text=True, timeout=20)
    assert done.returncode == 2
    assert done.stderr == "deploy/install: found '--quick'; would be right: nothing, or --tests\n"
