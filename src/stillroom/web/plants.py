"""The plants of this laboratory, and a page for each."""

from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.blocks import Page
from stillroom.pages.plants import show_plant, show_plants
from stillroom.pages.ways import show_ways, show_ways_for, show_ways_of
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Stock"


def _ways_of(_: Laboratory, page: Page, **__: str) -> dict[str, Any]:
    return {"doing": ((t("Which way, how strong"), f"{page.href}/ways", ""),)}


serve_page(router, "/plants", show_plants, here=HERE)
serve_page(router, "/plants/{name}", show_plant, here=HERE, extras=_ways_of)
serve_page(router, "/plants/{name}/ways", show_ways, here=HERE)
serve_page(router, "/plants/{name}/ways/{marker}", show_ways_for, here=HERE)
serve_page(router, "/plants/{name}/ways/{marker}/{way}", show_ways_of, here=HERE)
