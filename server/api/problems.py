"""Errors as ``application/problem+json`` (RFC 9457), with the field, what was found and what would be right."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.routing import compile_path

from server.api.wording import LONGEST_FIELD, LONGEST_SAID, refusal, shortened
from server.stores.port import OtherCommand, StoreError


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
        # What was found may hold half a character, which no answer can carry, or be a book.
        field, found, would_be_right = (
            text.encode("utf-8", "backslashreplace").decode() for text in (field, found, would_be_right)
        )
        field, found = shortened(field, LONGEST_FIELD), shortened(found, LONGEST_SAID)
        self.document = ProblemDocument(
            title=title,
            status=status,
            detail=f"{field}: found {found}; would be right: {would_be_right}",
            field=field,
            found=found,
            would_be_right=would_be_right,
        )
        super().__init__(self.document.detail)


_DOCUMENTED: dict[str, Any] = {
    "description": "What was found and what would be right (RFC 9457)",
    "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/ProblemDocument"}}},
}
RESPONSES: dict[int | str, dict[str, Any]] = {"4XX": _DOCUMENTED, "503": _DOCUMENTED}
"""Every router's: what is refused, and a record that cannot be written or is not there yet."""


def problem_response(problem: Problem) -> JSONResponse:
    """The answer for a problem."""
    body = problem.document
    return JSONResponse(body.model_dump(), body.status, media_type="application/problem+json")


def install(app: FastAPI) -> None:
    """Make every error of the application one of ours."""

    async def ours(_: Request, problem: Exception) -> JSONResponse:
        assert isinstance(problem, Problem)  # noqa: S101 - registered for nothing else
        return problem_response(problem)

    async def invalid(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, RequestValidationError)  # noqa: S101 - registered for nothing else
        body = getattr(request.scope.get("route"), "body_field", None)
        said = refusal(None if body is None else body.field_info.annotation, error.errors()[0])
        return problem_response(Problem(422, "Not understood", said.field, said.found, said.would_be_right))

    async def plain(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, HTTPException)  # noqa: S101 - registered for nothing else
        found = f"{request.method} {request.url.path}"
        allowed = _allowed(app, request.url.path) if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED else ""
        right = f"{allowed} there" if allowed else "a path of /openapi.json"
        response = problem_response(Problem(error.status_code, str(error.detail), "path", found, right))
        response.headers.update({**(error.headers or {}), **({"Allow": allowed} if allowed else {})})
        return response

    async def taken(_: Request, __: Exception) -> JSONResponse:
        found = "an id that was used for another deed"
        return problem_response(Problem(409, "Not possible now", "command_id", found, "a new one"))

    async def unwritable(_: Request, error: Exception) -> JSONResponse:
        problem = Problem(503, "The record does not answer", "store", str(error), "the same, later")
        return problem_response(problem)

    async def bug(request: Request, error: Exception) -> JSONResponse:
        found = f"{request.method} {request.url.path}: {type(error).__name__}"
        return problem_response(Problem(500, "A bug of ours", "server", found, "an answer; the server's log has more"))

    app.add_exception_handler(OtherCommand, taken)
    app.add_exception_handler(StoreError, unwritable)
    app.add_exception_handler(Exception, bug)
    app.add_exception_handler(Problem, ours)
    app.add_exception_handler(RequestValidationError, invalid)
    app.add_exception_handler(HTTPException, plain)
    _document(app)


def _allowed(app: FastAPI, path: str) -> str:
    """The methods of a path, as HTTP's Allow lists them: those of every route that it may mean."""
    paths = app.openapi()["paths"]
    methods = (one for template, ones in paths.items() if compile_path(template)[0].fullmatch(path) for one in ones)
    return ", ".join(sorted({method.upper() for method in methods}))


def _document(app: FastAPI) -> None:
    """Put the problem document itself into the OpenAPI document, where every operation points."""
    plain = app.openapi

    def whole() -> dict[str, Any]:
        document = plain()
        schemas = document.setdefault("components", {}).setdefault("schemas", {})
        schemas["ProblemDocument"] = ProblemDocument.model_json_schema()
        return document

    app.openapi = whole  # type: ignore[method-assign]
