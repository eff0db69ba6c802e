"""What a program can read here, as an OpenAPI description: the JSON twin of every page, and nothing that writes.

Promises that it is made from the addresses that are served, so that none is missing, and that it is given to this
machine only: it stands below the laboratory's own pages, where no phone comes.
"""

import warnings
from typing import Any

from fastapi import APIRouter, FastAPI, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse, Response

from stillroom import __version__
from stillroom.pages.paging import Wanted
from stillroom.questions import VERBS, declared

router = APIRouter()
AT = "/laboratory/openapi.json"
TROUBLES = {
    "400": "The address holds letters that no address has.",
    "403": "Asked from elsewhere than this machine.",
    "404": "There is nothing of that name.",
    "409": "A rule forbids it, or no laboratory is open.",
    "422": "What is asked cannot be taken as it stands; the sentence says what must hold.",
    "503": "The book cannot be read.",
}
PAGE = {
    "type": "object",
    "required": ["title", "kind", "blocks", "figures", "practice"],
    "properties": {
        "title": {"type": "string"},
        "kind": {"type": "string"},
        "code": {"type": "string"},
        "practice": {"type": "boolean", "description": "True where everything is invented."},
        "blocks": {
            "type": "array",
            "items": {"type": "object", "required": ["block"], "properties": {"block": {"type": "string"}}},
        },
        "figures": {
            "type": "array",
            "description": "Every figure of the page, by a name that is the same in every language.",
            "items": {
                "type": "object",
                "required": ["name", "value", "unit"],
                "properties": {
                    "name": {"type": "string"},
                    "value": {"type": ["number", "string", "null"]},
                    "u": {"type": ["number", "null"], "description": "Standard uncertainty, in the unit."},
                    "unit": {"type": "string"},
                    "basis": {"type": "string"},
                    "answer": {"type": "string", "description": "Key of its trail."},
                    "label": {"type": "string"},
                },
            },
        },
    },
}
TROUBLE = {
    "type": "object",
    "required": ["error", "says"],
    "properties": {"error": {"type": "string"}, "says": {"type": "string"}},
}


def description(app: FastAPI) -> dict[str, Any]:
    """Every address that gives JSON, what it is asked with, and what comes back.

    Parameters
    ----------
    app : FastAPI
        Whose addresses are described.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # twins share the name of the function that serves them
        found = get_openapi(title="stillroom", version=__version__, routes=app.routes)["paths"]
    paths = {
        path: {"get": _operation(path, held["get"])}
        for path, held in sorted(found.items())
        if path.endswith(".json") and path != AT and "get" in held
    }
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "stillroom",
            "version": __version__,
            "description": "The JSON twin of every page. Nothing here writes; entries are made in forms and commands.",
        },
        "paths": paths,
        "components": {"schemas": {"Page": PAGE, "Trouble": TROUBLE}},
    }


def _operation(path: str, held: dict[str, Any]) -> dict[str, Any]:
    asked = [one for one in held.get("parameters", ()) if one["in"] == "path"]
    says = {"application/json": {"schema": {"$ref": "#/components/schemas/Trouble"}}}
    return {
        "operationId": path.strip("/")
        .removesuffix(".json")
        .replace("/", "-")
        .replace("{", "")
        .replace("}", ""),
        "parameters": [*asked, *_query(path)],
        "responses": {
            "200": {
                "description": "The page.",
                "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Page"}}},
            },
            **{
                status: {"description": words, **({} if status in ("400", "403") else {"content": says})}
                for status, words in TROUBLES.items()
            },
        },
    }


def _query(path: str) -> list[dict[str, Any]]:
    """What may be asked for behind the question mark: the entries of a question, or what of a list is wanted."""
    parts = path.removesuffix(".json").split("/")
    if parts[1] == "ask" and parts[2] in VERBS:
        names = tuple(one.name for one in declared(parts[2]).entries)
    elif "{" not in path:
        names = tuple(Wanted.__dataclass_fields__)
    else:
        names = ()
    return [{"name": one, "in": "query", "required": False, "schema": {"type": "string"}} for one in names]


@router.get(AT)
def described(request: Request) -> Response:
    """The description, for programs on this machine."""
    return JSONResponse(description(request.app))
