"""Sources, and the laboratory with its people, its apparatus and its book."""

from fastapi import APIRouter

from stillroom.actions.showing_house import show_sources, show_verified
from stillroom.actions.showing_laboratory import show_laboratory
from stillroom.texts.catalogue import t
from stillroom.web.pages import serve_page

router = APIRouter()

serve_page(router, "/sources", show_sources, here="Sources")
serve_page(
    router,
    "/laboratory/verified",
    show_verified,
    here="Laboratory",
    extras=lambda *_: {"doing": ((t("house_form.the_laboratory"), "/laboratory", "quiet"),)},
)
serve_page(
    router,
    "/laboratory",
    show_laboratory,
    here="Laboratory",
    extras=lambda *_: {
        "doing": (
            (t("house_form.add_a_scale"), "/laboratory/scales/new", ""),
            (t("house_form.another_instrument"), "/laboratory/instruments", "quiet"),
            (t("house_described.change"), "/laboratory/address/new", "quiet"),
            (t("house_form.add_a_person"), "/laboratory/people/new", "quiet"),
            (t("house_form.note_how_house"), "/laboratory/conditions/new", "quiet"),
            (t("house_form.note_a_price"), "/laboratory/prices/new", "quiet"),
            (t("own.title"), "/laboratory/own", "quiet"),
            (t("house_form.phones_and_pins"), "/laboratory/phones", "quiet"),
            (t("house_form.verify_the_book"), "/laboratory/verified", "quiet"),
            (t("house_form.laboratories_here"), "/laboratory/others", "quiet"),
        )
    },
)
