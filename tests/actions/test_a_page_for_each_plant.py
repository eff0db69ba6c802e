"""One page a plant: its lots and batches, what the next is expected to give, and a lot like none before."""

from xml.etree import ElementTree

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.plant_history import plant_history, plant_named
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Facts, Link, Page, River
from stillroom.documents.plant_dots import Dot, plant_dots
from stillroom.errors import UnknownName
from stillroom.pages.batches import show_batch
from stillroom.pages.plans import show_plan
from stillroom.pages.plants import show_plant, show_plants
from stillroom.pages.stock import show_lot
from tests.practice import row_of


def links_of(page: Page) -> set[str]:
    return {
        cell.href
        for block in page.blocks
        if isinstance(block, Facts)
        for _, cell in block.items
        if isinstance(cell, Link)
    }


def test_the_page_of_a_plant_shows_each_batch_with_where_it_came_from(told: Laboratory) -> None:
    page = show_plant(told, "cinchona-bark")
    row = row_of(page, "Batch", "E1")

    assert row["Ended"] == "2026-11-11"
    assert (row["Lot"], row["From"], row["Harvested or came"]) == ("CIN-01", "Invented Botanicals", "2026-11")
    assert (row["Way"], row["Liquid"]) == ("percolate", "70 % v/v")
    assert row["g of 100 g dry"].startswith("17.5")
    assert {one["name"] for one in page_json(page)["figures"]} >= {"drug-extract-ratio", "grams-of-100-g"}
    assert "E1 on 2026-11-11 by percolate: 17.55 g" in page_text(page)


def test_lot_batch_and_plan_lead_to_it(told: Laboratory) -> None:
    for page in (show_lot(told, "CIN-01"), show_batch(told, "E1"), show_plan(told, "ORD-1")):
        assert "/plants/cinchona-bark" in links_of(page)
    assert "cinchona bark" in page_text(show_plants(told))


def test_a_plant_is_found_by_its_name_as_it_is_said_and_a_slip_is_told(told: Laboratory) -> None:
    with told.look() as look:
        assert plant_named(look, "Cinchona bark") == "cinchona bark"
        assert plant_history(look, "cinchona bark").batches[0].gave.batch == "E1"
        with pytest.raises(UnknownName, match="cinchona bark"):
            plant_named(look, "cinchona-brak")


def test_the_drawing_is_well_formed_and_says_itself_in_words() -> None:
    dots = [
        Dot(f"E{at}", f"2026-{at:02d}-11T10:00", grams, way, like_none=grams < 10)
        for at, (grams, way) in enumerate(
            [(17.5, "percolate"), (16.9, "percolate"), (9.0, "percolate"), (12.0, "macerate & <press>")],
            start=1,
        )
    ]

    drawn = plant_dots(dots, (15.0, 17.0, 19.0))

    assert isinstance(drawn, River)
    for svg in (drawn.wide_svg, drawn.tall_svg):
        root = ElementTree.fromstring(svg)
        assert len(root.findall(".//{http://www.w3.org/2000/svg}circle")) == 4
        assert root.find("{http://www.w3.org/2000/svg}desc") is not None
    assert "E3 on 2026-03-11 by percolate: 9.000 g" in drawn.words
    assert "like none before" in drawn.words
    assert "in 80 of 100 cases 15.00 to 19.00 g" in drawn.words


def test_one_batch_makes_a_drawing_too() -> None:
    drawn = plant_dots([Dot("E1", "2026-01-11", 17.5, "percolate", like_none=False)], None)

    ElementTree.fromstring(drawn.wide_svg)
    assert "nan" not in drawn.wide_svg
