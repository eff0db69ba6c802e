"""Tests and assays: what is entered are readings, what comes out is calculated from them."""

from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.documents.blocks import Page
from stillroom.pages.lists import show_testing
from stillroom.pages.stock import show_lot
from stillroom.texts.catalogue import t
from stillroom.web.acts import link_of, serve_act
from stillroom.web.duties import Addresses
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Test"
for one in kinds_of_test():
    serve_act(router, one)


def _doing(_: Laboratory, __: Page, code: str) -> dict[str, Any]:
    return {"doing": tuple(link_of(one, t(one.called), code) for one in kinds_of_test() if one.called)}


def _of_testing(_: Laboratory, __: Page) -> dict[str, Any]:
    return {"doing": ((t("Reagents, lowest hazard first"), "/reagents", "quiet"),)}


serve_page(router, "/test", show_testing, here=HERE, extras=_of_testing)
serve_page(router, "/test/{code}", show_lot, here=HERE, extras=_doing)
