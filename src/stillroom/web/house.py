"""Sources, and the laboratory with its people, its apparatus and its book."""

from stillroom.pages.laboratory import show_laboratory
from stillroom.pages.lists import show_sources, show_verified
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.pages import serve_page

router = Addresses()

serve_page(router, "/sources", show_sources, here="Sources")
serve_page(
    router,
    "/laboratory/verified",
    show_verified,
    here="Laboratory",
    extras=lambda *_: {"doing": ((t("The laboratory"), "/laboratory", "quiet"),)},
)
serve_page(
    router,
    "/laboratory",
    show_laboratory,
    here="Laboratory",
    extras=lambda *_: {
        "doing": (
            (t("Add a scale"), "/laboratory/scales/new", ""),
            (t("Another instrument"), "/laboratory/instruments", "quiet"),
            (t("Write address and responsible person"), "/laboratory/address/new", "quiet"),
            (t("Add a person"), "/laboratory/people/new", "quiet"),
            (t("Room and site"), "/laboratory/conditions/new", "quiet"),
            (t("Note a price"), "/laboratory/prices/new", "quiet"),
            (t("Markers, plants and ingredients of your own"), "/laboratory/own", "quiet"),
            (t("Phones and PINs"), "/laboratory/phones", "quiet"),
            (t("Verify the book"), "/laboratory/verified", "quiet"),
            (t("Laboratories here"), "/laboratory/others", "quiet"),
        )
    },
)
