"""Rules of this house that no linter knows: sizes, one clock, and a README whose commands exist."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted(p for folder in ("sensors", "server", "kiosk") for p in (ROOT / folder).rglob("*.py"))
LONGEST_MODULE, LONGEST_FUNCTION = 300, 60
CLOCKS = {"server/clock.py"}


@pytest.mark.parametrize("module", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_modules_and_functions_stay_small(module: Path):
    text = module.read_text(encoding="utf-8")
    assert text.count("\n") <= LONGEST_MODULE
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            docstring = ast.get_docstring(node) or ""
            length = (node.end_lineno or 0) - node.lineno + 1 - docstring.count("\n")
            assert length <= LONGEST_FUNCTION, f"{node.name}: {length} lines"


def test_only_the_clock_reads_the_machines_time():
    readers = set()
    for module in MODULES:
        name = str(module.relative_to(ROOT))
        if name.startswith("kiosk/"):  # it shows the snapshot's time, and waits with the window's own clock
            continue
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            imported = isinstance(node, ast.Import) and any(a.name == "time" for a in node.names)
            called = isinstance(node, ast.Attribute) and node.attr in ("utcnow", "today")
            now = isinstance(node, ast.Attribute) and node.attr == "now" and ast.unparse(node.value) == "datetime"
            if imported or called or now or (isinstance(node, ast.ImportFrom) and node.module == "time"):
                readers.add(name)
    assert readers == CLOCKS


def test_every_path_and_command_of_the_papers_exists():
    readme, developers = (ROOT / "README.md").read_text(), (ROOT / "DEVELOPERS.md").read_text()
    for name in re.findall(r"`((?:server|sensors|kiosk|tests|deploy)/[\w./-]+\.\w+|\w+\.toml)`", readme + developers):
        assert (ROOT / name).exists() or name == "stillstack.toml", name
    for picture in re.findall(r"!\[[^]]*\]\(([^)]+)\)", readme):
        assert (ROOT / picture).exists()
    helped = subprocess.run([sys.executable, "-m", "server", "--help"], cwd=ROOT, capture_output=True, text=True)
    for command in re.findall(r"`stillstack (\w+)", readme):
        assert command in helped.stdout


def test_the_lists_name_no_host():
    for name in ("run.txt", "test.txt"):
        text = (ROOT / "deploy" / "lock" / name).read_text()
        assert "://" not in text
        assert "file:/" not in text
        assert text.count("--hash=sha256:") > 30
