"""The JSON documents bind both sides: what stands in the files is what the server's models take and give back whole."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pydantic import RootModel

from server.api.commands import Command, Shelve
from server.api.listening import Listen, MakeSource, MakeZone
from server.api.lots import LotInShop
from server.api.problems import Problem, ProblemDocument
from server.api.salt_checks import Begin, SaltCheckDocument
from server.deeds import CommandDone
from server.documents import SnapshotDocument
from server.heard import HeardDocument
from server.history import HistoryDocument
from server.making import SourceRow
from server.making_done import MakingDone

HERE = Path(__file__).parent


class Sources(RootModel[list[SourceRow]]):
    """The answer is a list."""


class Lots(RootModel[list[LotInShop]]):
    """Likewise."""


MODELS = {
    "snapshot": SnapshotDocument,
    "snapshot-empty": SnapshotDocument,
    "history": HistoryDocument,
    "lots": Lots,
    "acknowledge-request": Command,
    "shelve-request": Shelve,
    "command-done": CommandDone,
    "problem": ProblemDocument,
    "listen": HeardDocument,
    "listen-request": Listen,
    "sources": Sources,
    "make-source-request": MakeSource,
    "make-zone-request": MakeZone,
    "making-done": MakingDone,
    "salt-check": SaltCheckDocument,
    "salt-check-request": Begin,
}


@pytest.mark.parametrize("name", MODELS)
def test_a_document_is_taken_and_given_back_whole(name):
    text = (HERE / f"{name}.json").read_text(encoding="utf-8")
    again = MODELS[name].model_validate_json(text).model_dump(mode="json")
    assert again == json.loads(text)


def test_every_document_here_is_bound_to_a_model():
    assert {f.stem for f in HERE.glob("*.json")} == MODELS.keys()


def test_a_problem_says_the_same_thing_in_its_parts_and_in_its_text():
    problem = Problem(404, "No such alert", "alert", "'zz'", "the id of an alert in the snapshot").document
    assert problem.model_dump() == json.loads((HERE / "problem.json").read_text()) | {
        "detail": "alert: found 'zz'; would be right: the id of an alert in the snapshot",
        "found": "'zz'",
    }
