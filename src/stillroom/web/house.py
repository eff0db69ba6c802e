"""Sources, and the laboratory with its people, its apparatus and its book."""

from fastapi import APIRouter

from stillroom.actions.showing_house import show_sources, show_verified
from stillroom.actions.showing_laboratory import show_laboratory
from stillroom.web.pages import serve_page

router = APIRouter()

serve_page(router, "/sources", show_sources, here="Sources")
serve_page(
    router,
    "/laboratory/verified",
    show_verified,
    here="Laboratory",
    extras=lambda *_: {"doing": (("The laboratory", "/laboratory", "quiet"),)},
)
serve_page(
    router,
    "/laboratory",
    show_laboratory,
    here="Laboratory",
    extras=lambda *_: {
        "doing": (
            ("Add a scale", "/laboratory/scales/new", ""),
            ("Another instrument", "/laboratory/instruments", "quiet"),
            ("Add a person", "/laboratory/people/new", "quiet"),
            ("Note how the house is", "/laboratory/conditions/new", "quiet"),
            ("Note a price", "/laboratory/prices/new", "quiet"),
            ("Phones and PINs", "/laboratory/phones", "quiet"),
            ("Verify the book", "/laboratory/verified", "quiet"),
            ("Laboratories here", "/laboratory/others", "quiet"),
        )
    },
)
