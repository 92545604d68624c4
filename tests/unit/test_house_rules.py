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
OWN_TASKS = {
    "server/app.py": "the one task that a signal ends; it is awaited",
    "sensors/listening.py": "two that race; both are awaited or cancelled",
}
"""Who may make a task outside a group, and why its end is noticed all the same."""
PITFALLS = {*range(1, 17), *range(25, 34)}
"""Rows of the table of what breaks in such systems for which a test here shows our defence: wires, clock, record,
remote, alerts, tasks. The rows on screens come with the wall."""


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


def test_no_task_is_left_to_itself():
    """Field pitfall 32: the loop holds tasks weakly and nobody awaits a bare one, so its end is never seen."""
    makers = set()
    for module in MODULES:
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "create_task":
                owner = ast.unparse(node.func.value)
                if owner.rpartition(".")[2].strip("_") != "group":
                    makers.add(str(module.relative_to(ROOT)))
    assert makers == OWN_TASKS.keys()


def test_every_row_of_what_breaks_has_a_test_that_names_it():
    named = set()
    for module in (ROOT / "tests").rglob("*.py"):
        for row in re.findall(r"Field pitfalls? ([^\n:.]*)", module.read_text(encoding="utf-8")):
            named |= {int(number) for number in re.findall(r"\b\d{1,2}\b", row.partition("with")[0])}
    assert named >= PITFALLS, sorted(PITFALLS - named)


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
