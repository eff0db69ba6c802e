"""The plants of this laboratory, and a page for each."""

from fastapi import APIRouter

from stillroom.pages.plants import show_plant, show_plants
from stillroom.web.pages import serve_page

router = APIRouter()
HERE = "Stock"
serve_page(router, "/plants", show_plants, here=HERE)
serve_page(router, "/plants/{name}", show_plant, here=HERE)
