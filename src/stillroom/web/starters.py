"""Ways of extracting: looked at, then copied for a plant and a marker of one's own."""

from typing import Any

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.documents.blocks import Page
from stillroom.pages.procedure_templates import show_starter, show_starters
from stillroom.records.starters import starter
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Make"


def _copy(_: Laboratory, name: str, plant: str = "", marker: str = "") -> Form:
    one = starter(name)
    return Form(
        title=t("Copy {which}", which=one.title.lower() if one.title != "Soxhlet" else one.title),
        kind="way of extracting",
        lead=t(
            "It becomes a procedure of yours, with every assumed figure and its range, to be "
            "altered as you learn."
        ),
        button=t("Copy it"),
        here=HERE,
        back=f"/make/starters/{one.name}",
        rows=(
            Ask(
                "plant",
                t("Plant and part"),
                hint=t("Such as rosemary leaf, willow bark, lavender flower"),
                value=plant,
            ),
            Ask(
                "marker",
                t("Marker"),
                hint=t(
                    "What the strength is expressed in: rosmarinic acid, total phenols, volatile oil, quinine"
                ),
                value=marker,
            ),
            Ask(
                "code",
                t("Code of the procedure"),
                hint=t("Such as rosemary-extract"),
            ),
        ),
    )


def _write_copy(lab: Laboratory, typed: Typed, sign: Signed, name: str) -> Done:
    """Write the copy."""
    return copy_procedure(lab, name, typed["plant"], typed["marker"], typed["code"], **sign)


serve_form(router, "/make/starters/{name}/copy", _copy, _write_copy, then="/make/procedures/{typed[code]}")


def _doing(_: Laboratory, page: Page, name: str) -> dict[str, Any]:
    return {
        "doing": (
            (t("Copy it for a plant of yours"), f"/make/starters/{page.code or name}/copy", ""),
            (t("Other ways"), "/make/starters", "quiet"),
        )
    }


serve_page(router, "/make/starters", show_starters, here=HERE)
serve_page(router, "/make/starters/{name}", show_starter, here=HERE, extras=_doing)
