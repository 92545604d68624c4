"""The kiosk's own words: as many in each language, each used, and nothing said past them."""

from __future__ import annotations

import ast
import logging
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fluent.syntax import FluentParser
from fluent.syntax import ast as ftl
from fluent.syntax.visitor import Visitor

import kiosk
from kiosk import words as module
from kiosk.words import FOLDER, Words, WordsError, languages

ROOT = Path(kiosk.__file__).parent
SOURCES = sorted(ROOT.rglob("*.py"))


class _Arguments(Visitor):  # type: ignore[misc]
    def __init__(self) -> None:
        self.names: set[str] = set()

    def visit_VariableReference(self, node: ftl.VariableReference) -> None:  # noqa: N802 - the library's name
        self.names.add(node.id.name)


def messages(language: str) -> dict[str, set[str]]:
    """Every key of a language with the values it takes."""
    found: dict[str, set[str]] = {}
    for path in sorted(FOLDER.glob(f"{language}.*ftl")):
        for entry in FluentParser().parse(path.read_text(encoding="utf-8")).body:
            assert not isinstance(entry, ftl.Junk), f"{path.name}: {entry.content}"
            if isinstance(entry, ftl.Message):
                assert entry.id.name not in found, f"{path.name}: '{entry.id.name}' stands there twice"
                seen = _Arguments()
                seen.visit(entry)
                found[entry.id.name] = seen.names
    return found


def trees() -> Iterator[tuple[Path, ast.Module]]:
    for path in SOURCES:
        yield path.relative_to(ROOT), ast.parse(path.read_text(encoding="utf-8"))


def is_words(call: ast.AST) -> bool:
    """``words(…)``, ``self.words(…)``, ``self._words(…)``."""
    if not isinstance(call, ast.Call) or not call.args:
        return False
    name = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
    return name in {"words", "_words"}


def pattern(key: ast.expr) -> str | None:
    """What a key in the source may become: itself, or a pattern for an f-string."""
    if isinstance(key, ast.Constant):
        return re.escape(str(key.value))
    if isinstance(key, ast.JoinedStr):
        return "".join(re.escape(str(p.value)) if isinstance(p, ast.Constant) else ".+" for p in key.values)
    return None


def test_every_language_has_the_same_keys_with_the_same_values() -> None:
    assert set(languages()) >= {"en", "de"}
    english = messages("en")
    for language in languages():
        assert messages(language) == english, language


def test_every_key_asked_for_exists_and_gets_its_values() -> None:
    english = messages("en")
    for path, tree in trees():
        for call in ast.walk(tree):
            if not is_words(call):
                continue
            assert isinstance(call, ast.Call)
            ways = call.args[0]
            for key in (ways.body, ways.orelse) if isinstance(ways, ast.IfExp) else (ways,):
                asked = pattern(key)
                if asked is None:
                    continue
                found = [k for k in english if re.fullmatch(asked, k)]
                assert found, f"{path}:{call.lineno}: no words for '{asked}'"
                given = {k.arg for k in call.keywords}
                if None not in given:
                    for k in found:
                        assert english[k] <= given, f"{path}:{call.lineno}: '{k}' needs {english[k] - given}"


def test_every_key_is_used() -> None:
    literal: set[str] = set()
    patterns: set[str] = set()
    for path, tree in trees():
        if path.parts[0] == "words":
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                literal.add(node.value)
            elif isinstance(node, ast.JoinedStr) and isinstance(begins := node.values[0], ast.Constant):
                patterns |= {pattern(node) or ""} if re.fullmatch(r"[a-z][a-z0-9-]*-", str(begins.value)) else set()
    unused = [k for k in messages("en") if k not in literal and not any(re.fullmatch(p, k) for p in patterns)]
    assert unused == []


@pytest.mark.parametrize("language", languages())
def test_each_can_be_said(language: str) -> None:
    words = Words(language, strict=True)
    for key, names in messages(language).items():
        for value in (1, 2, 7, "7:42"):
            if value == "7:42" and names & {"day"}:
                continue
            said = words(key, **dict.fromkeys(names, value))
            assert said.strip(), key
            assert "{" not in said, key


def test_what_cannot_be_said_raises_in_tests_and_falls_back_on_the_wall(
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "en.ftl").write_text("both = both\nonly-english = Only { $n }\n", encoding="utf-8")
    (tmp_path / "de.ftl").write_text("both = beide\n", encoding="utf-8")
    monkeypatch.setattr(module, "FOLDER", tmp_path)
    module._bundle.cache_clear()
    try:
        strict, wall = Words("de", strict=True), Words("de", strict=False)
        with pytest.raises(WordsError, match="de: cannot say 'only-english': no such words"):
            strict("only-english", n=1)
        with pytest.raises(WordsError, match="cannot say 'nowhere'"):
            strict("nowhere")
        with caplog.at_level(logging.WARNING, "kiosk.words"):
            assert wall("both") == "beide"
            assert wall("only-english", n=1) == wall("only-english", n=1) == "Only 1"
            assert wall("nowhere") == wall("nowhere") == "nowhere"
            assert wall("only-english") == "only-english", "a value that is missing"
        assert len(caplog.records) == 2, "each key once"
    finally:
        module._bundle.cache_clear()


def test_a_language_without_a_file_is_refused() -> None:
    with pytest.raises(WordsError, match="language: found 'xx'; would be right: one of de, en"):
        Words("xx")


def test_plurals_follow_the_language_and_a_figure_is_text() -> None:
    assert Words("en")("page-of", page=1, pages=3) == "1 of 3"
    assert Words("de")("shelved-until", at="7:42") == "zurückgestellt bis 7:42"
    assert Words("de")("yesterday", emc="6,9 %") == "gestern 6,9 %"


# ---- nothing is said past the words ----------------------------------------------------------------------------------

SAID_ELSEWHERE = {
    "__main__.py": "the command line's help",
    "http_client.py": "why the server is not reached, with its address: beside the words that say so",
    "answers.py": "what is wrong with an answer: for whoever mends the server",
    "document.py": "what is wrong with an answer, field by field: for whoever mends the server",
    "pictures.py": "what a command prints",
    "words/__init__.py": "why a text cannot be said: the log's",
}
"""Files whose English a person reads in a terminal or a log, or as the technical reason beside a text in words."""
LETTERS_NAMES = {"Barlow Semi Condensed", "Stillstack figures"}
"""What the letters are called: no person reads it."""
LETTERS = re.compile(r"[^\W\d_]{2,}")
SENTENCE = re.compile(r"[^\W\d_]{2,}[,:]? [^\W\d_]{2,}")
SAYING = {"text", "title", "why", "far", "heading", "label", "caution", "source", "note", "name_text", "line", "reason"}


def spoken(tree: ast.Module) -> Iterator[ast.Constant]:
    """Texts that are not documentation, an error's, a log's, a key's or an import's."""
    silent: set[int] = set()
    for node in ast.walk(tree):
        whole: list[ast.AST] = []
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            whole.append(node)  # a docstring, or one below an attribute
        elif isinstance(node, ast.Raise | ast.Assert):
            whole.append(node)
        elif isinstance(node, ast.Call):
            of = ast.unparse(node.func)
            if of.startswith(("log.", "logging.")) or of.endswith(("Error", "field", "check", "_check")):
                whole.append(node)
        for inner in (n for w in whole for n in ast.walk(w)):
            silent.add(id(inner))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node


def test_no_sentence_stands_in_the_code() -> None:
    found = [
        f"{path}:{one.lineno}: {one.value!r}"
        for path, tree in trees()
        if str(path) not in SAID_ELSEWHERE
        for one in spoken(tree)
        if SENTENCE.search(str(one.value)) and one.value not in LETTERS_NAMES
    ]
    assert found == []


def test_no_word_is_put_straight_into_a_widget() -> None:
    """``text="Close"``, ``title.text = "Close"``; units, signs and empty texts pass."""
    found = []
    for path, tree in trees():
        for node in ast.walk(tree):
            given: list[tuple[str, ast.expr]] = []
            if isinstance(node, ast.keyword) and node.arg:
                given.append((node.arg, node.value))
            elif isinstance(node, ast.Assign):
                given += [(t.attr, node.value) for t in node.targets if isinstance(t, ast.Attribute)]
            for name, value in given:
                if name in SAYING:
                    parts = [value, *(value.values if isinstance(value, ast.JoinedStr) else ())]
                    texts = [p.value for p in parts if isinstance(p, ast.Constant) and isinstance(p.value, str)]
                    found += [f"{path}:{value.lineno}: {t!r}" for t in texts if LETTERS.search(t)]
    assert found == []


def test_no_word_stands_in_a_layout() -> None:
    for path in sorted(ROOT.rglob("*.kv")):
        for n, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            name, _, value = line.strip().partition(":")
            assert not (name in SAYING and LETTERS.search("".join(re.findall(r"""["'](.*?)["']""", value)))), (
                f"{path.name}:{n}: {line.strip()}"
            )


def test_a_text_past_the_words_is_found() -> None:
    source = 'x.text = "Close"\ny = f"{n} lots to look at"\n"""Only said to a reader."""\nraise E("no such lot")'
    assert [str(one.value) for one in spoken(ast.parse(source))] == ["Close", " lots to look at"]
