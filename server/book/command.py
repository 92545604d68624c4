"""``stillstack book …``: one subcommand a question, its flags made from the request model."""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn, get_origin

from pydantic.fields import FieldInfo

from server.book.base import BadRequest, Question, ask
from server.book.catalog import QUESTIONS
from server.config import ConfigError
from server.config_file import config_path, load_species
from server.shop.own_species import species_table
from server.wood.covers import all_covers
from server.wood.species import Table, all_species

OK, BAD_INPUT = 0, 2
_WIDE = 78
_PREFIX = "given_"
"""Keeps a request's fields apart from whatever else the command line holds."""


class OneLine(argparse.ArgumentParser):
    """A parser whose errors are one line, at the command that was meant, and whose flags are never cut short: a
    ``--width`` that stood for ``--width-mm`` would take inches for millimetres."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"allow_abbrev": False, **kwargs})

    def parse_known_args(  # type: ignore[override]  # one signature of the two in argparse
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> tuple[argparse.Namespace, list[str]]:
        """As argparse does, but nothing is left over for the command above to complain of."""
        found, rest = super().parse_known_args(args, namespace)
        if rest:
            self.error(f"found {' '.join(rest)}, which it does not take")
        return found, rest

    def error(self, message: str) -> NoReturn:
        """One line on standard error, and 2."""
        told = f"{' '.join(message.split())}; would be right: what {self.prog} --help says"
        self.exit(BAD_INPUT, f"{self.prog}: {told}\n")


def add_book_commands(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add ``book`` with a subcommand for every question of the catalog; its ``run`` default is :func:`run`."""
    book = subparsers.add_parser("book", help="answer one question from published figures")
    book.set_defaults(run=run)
    names = book.add_subparsers(dest="question", required=True, metavar="QUESTION")
    for question in QUESTIONS.values():
        parser = names.add_parser(
            question.name, help=question.summary, description=_filled(f"Answers {question.summary}."),
            epilog=_keys(question), formatter_class=argparse.RawDescriptionHelpFormatter,
        )  # fmt: skip
        parser.add_argument("--json", action="store_true", help="print one JSON document, numbers unrounded")
        if _asks_for_species(question):
            parser.add_argument(
                "--config", type=Path, metavar="FILE",
                help="where species of your own stand (default: $STILLSTACK_CONFIG, else stillstack.toml here, if any)",
            )  # fmt: skip
        for name, info in question.request.model_fields.items():
            _add_flag(parser, name, info)


def run(args: argparse.Namespace) -> int:
    """Answer on standard output: 0. Or name each mistake on standard error: 2."""
    question = QUESTIONS[args.question]
    try:
        answer = ask(question, _given(args, question), _known(args, question))
    except ConfigError as refused:
        sys.stderr.write(f"{refused}\n")
        return BAD_INPUT
    except BadRequest as bad:
        for mistake in bad.mistakes:
            sys.stderr.write(
                f"{_flag(mistake.field)}: found {mistake.found}; would be right: {mistake.would_be_right}\n"
            )
        return BAD_INPUT
    if args.json:
        text = json.dumps(answer.document(), ensure_ascii=False, allow_nan=False)
    else:
        caution = answer.caution_text()
        one = len(answer.sources) == 1
        source = f" {answer.source}" if one else "".join(f"\n  {part}" for part in answer.sources)
        lines = (answer.table_text(), *answer.lines(), f"Source:{source}", caution and f"Caution: {caution}")
        text = "\n".join(line for line in lines if line)
    sys.stdout.write(text + "\n")
    return OK


def _keys(question: Question[Any]) -> str:
    """The names that its table knows: where else would a person find them?"""
    fields, parts = question.request.model_fields, []
    if question.name == "species":
        parts.append(f"Keys of the species: {', '.join(all_species())}.")
    elif "species" in fields:
        parts.append("stillstack book species --help lists the keys of the species.")
    if "cover" in fields:
        parts.append(f"Covers: {', '.join(all_covers())}.")
    return "\n\n".join(_filled(part) for part in parts)


def _filled(text: str) -> str:
    return textwrap.fill(text, _WIDE, break_on_hyphens=False)


def _asks_for_species(question: Question[Any]) -> bool:
    return "species" in question.request.model_fields


def _known(args: argparse.Namespace, question: Question[Any]) -> Table:
    """The species of this shop. A file that is named must be there; where none is, the published ones."""
    if not _asks_for_species(question):
        return all_species()
    path: Path = args.config or config_path()
    if args.config is None and not path.exists():
        return all_species()
    return species_table(load_species(path))


def _add_flag(parser: argparse.ArgumentParser, name: str, info: FieldInfo) -> None:
    # The text goes to the model as it was typed, and a missing flag is the model's to report: all mistakes in one go.
    help_text = (info.description or "").replace("%", "%%") + ("" if info.is_required() else " (may be left out)")
    if info.annotation is bool:
        parser.add_argument(_flag(name), dest=_PREFIX + name, action="store_true", default=None, help=help_text)
        return
    several = get_origin(info.annotation) in {list, tuple}
    action = "append" if several else "store"
    metavar = name.rsplit("_", 1)[-1].upper()
    parser.add_argument(_flag(name), dest=_PREFIX + name, action=action, default=None, metavar=metavar, help=help_text)


def _flag(name: str) -> str:
    return "--" + name.replace("_", "-")


def _given(args: argparse.Namespace, question: Question[Any]) -> dict[str, Any]:
    typed = {name: getattr(args, _PREFIX + name) for name in question.request.model_fields}
    return {name: value for name, value in typed.items() if value is not None}
