"""Errors as ``application/problem+json`` (RFC 9457), with the field, what was found and what would be right."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from server.stores.port import StoreError


class ProblemDocument(BaseModel):
    """The body of every error."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    field: str
    found: str
    would_be_right: str


class Problem(Exception):
    """Raised anywhere in the API; becomes the answer."""

    def __init__(self, status: int, title: str, field: str, found: str, would_be_right: str) -> None:
        # What was found may hold half a character, which no answer can carry.
        field, found = (text.encode("utf-8", "backslashreplace").decode() for text in (field, found))
        self.document = ProblemDocument(
            title=title,
            status=status,
            detail=f"{field}: found {found}; would be right: {would_be_right}",
            field=field,
            found=found,
            would_be_right=would_be_right,
        )
        super().__init__(self.document.detail)


RESPONSES: dict[int | str, dict[str, Any]] = {
    "default": {"model": ProblemDocument, "description": "What was found and what would be right (RFC 9457)"}
}


def problem_response(problem: Problem) -> JSONResponse:
    """The answer for a problem."""
    body = problem.document
    return JSONResponse(body.model_dump(), body.status, media_type="application/problem+json")


def install(app: FastAPI) -> None:
    """Make every error of the application one of ours."""

    async def ours(_: Request, problem: Exception) -> JSONResponse:
        assert isinstance(problem, Problem)  # noqa: S101 - registered for nothing else
        return problem_response(problem)

    async def invalid(_: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, RequestValidationError)  # noqa: S101 - registered for nothing else
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"][1:]) or str(first["loc"][0])
        right = str(first["msg"]).removeprefix("Input should be ").removeprefix("Value error, ")
        # What is missing is missing from the whole body, which is not sent back: there may be a secret in it.
        found = "nothing" if first["type"] == "missing" else repr(first.get("input"))
        return problem_response(Problem(422, "Not understood", place, found, right))

    async def plain(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, HTTPException)  # noqa: S101 - registered for nothing else
        found = f"{request.method} {request.url.path}"
        return problem_response(Problem(error.status_code, str(error.detail), "path", found, "a path of /openapi.json"))

    async def unwritable(_: Request, error: Exception) -> JSONResponse:
        problem = Problem(503, "The record does not answer", "store", str(error), "the same, later")
        return problem_response(problem)

    async def bug(request: Request, error: Exception) -> JSONResponse:
        found = f"{request.method} {request.url.path}: {type(error).__name__}"
        return problem_response(Problem(500, "A bug of ours", "server", found, "an answer; the server's log has more"))

    app.add_exception_handler(StoreError, unwritable)
    app.add_exception_handler(Exception, bug)
    app.add_exception_handler(Problem, ours)
    app.add_exception_handler(RequestValidationError, invalid)
    app.add_exception_handler(HTTPException, plain)
