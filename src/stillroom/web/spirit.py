"""The account of spirit of a month, this one or another."""

from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.blocks import Page
from stillroom.pages.spirit_month import show_spirit
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Stock"


def _this_month(lab: Laboratory) -> Page:
    return show_spirit(lab)


def _doing(*_: Any, **__: Any) -> dict[str, Any]:
    return {
        "doing": (
            (t("The shelf"), "/stock", "quiet"),
            (t("Recover spirit"), "/ask/recover", "quiet"),
        )
    }


serve_page(router, "/spirit", _this_month, here=HERE, extras=_doing)
serve_page(router, "/spirit/{month}", show_spirit, here=HERE, extras=_doing)
