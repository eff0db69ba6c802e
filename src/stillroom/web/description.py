"""What a program can read here, as an OpenAPI description: the JSON twin of every page, and nothing that writes.

Promises that it is made from the addresses that are served, so that none is missing, and that it is given to this
machine only: it stands below the laboratory's own pages, where no phone comes.
"""

import json
import warnings
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse, Response

from stillroom.pages.paging import Wanted
from stillroom.questions import VERBS, declared
from stillroom.web.duties import Addresses

router = Addresses()
AT = "/laboratory/openapi.json"
VERSION = "1"
"""Of what is described, raised when an address or a shape changes."""
_WORDS: dict[str, Any] = json.loads(Path(__file__).with_name("openapi.json").read_text(encoding="utf-8"))
"""What does not follow from the addresses: shape of a page and of a trouble, and what each status means."""


def description(app: FastAPI) -> dict[str, Any]:
    """Every address that gives JSON, what it is asked with, and what comes back.

    Parameters
    ----------
    app : FastAPI
        Whose addresses are described.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # twins share the name of the function that serves them
        found = get_openapi(title="stillroom", version=VERSION, routes=app.routes)["paths"]
    paths = {
        path: {"get": _operation(path, held["get"])}
        for path, held in sorted(found.items())
        if path.endswith(".json") and path != AT and "get" in held
    }
    return {
        "openapi": "3.1.0",
        "info": {**_WORDS["info"], "version": VERSION},
        "paths": paths,
        "components": _WORDS["components"],
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
                "description": _WORDS["page"],
                "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Page"}}},
            },
            **{
                status: {"description": words, **({} if status in ("400", "403") else {"content": says})}
                for status, words in _WORDS["troubles"].items()
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


@router.get(AT, needs="reader")
def described(request: Request) -> Response:
    """The description, for programs on this machine."""
    return JSONResponse(description(request.app))
