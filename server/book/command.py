"""``stillstack book …``: one subcommand a question, its flags made from the request model."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any, get_origin

from pydantic.fields import FieldInfo

from server.book.base import BadRequest, Question, ask
from server.book.catalog import QUESTIONS

OK, BAD_INPUT = 0, 2
_PREFIX = "given_"
"""Keeps a request's fields apart from whatever else the command line holds."""


def add_book_commands(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add ``book`` with a subcommand for every question of the catalog; its ``run`` default is :func:`run`."""
    book = subparsers.add_parser("book", help="answer one question from published figures")
    book.set_defaults(run=run)
    names = book.add_subparsers(dest="question", required=True, metavar="QUESTION")
    for question in QUESTIONS.values():
        parser = names.add_parser(question.name, help=question.summary, description=f"Answers {question.summary}.")
        parser.add_argument("--json", action="store_true", help="print one JSON document, numbers unrounded")
        for name, info in question.request.model_fields.items():
            _add_flag(parser, name, info)


def run(args: argparse.Namespace) -> int:
    """Answer on standard output: 0. Or name each mistake on standard error: 2."""
    question = QUESTIONS[args.question]
    try:
        answer = ask(question, _given(args, question))
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
        lines = (answer.text(), f"Source: {answer.source}", caution and f"Caution: {caution}")
        text = "\n".join(line for line in lines if line)
    sys.stdout.write(text + "\n")
    return OK


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
