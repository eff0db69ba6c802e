"""The practice laboratory told from the order to the bottles, through actions alone. All of it is invented."""

from collections.abc import Callable
from pathlib import Path

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.orders.ordering import keep_plan
from stillroom.demo.bottling import bottle
from stillroom.demo.clock import StoryClock
from stillroom.demo.extracting import extract
from stillroom.demo.files import practice_file
from stillroom.demo.gel_and_mist import make_both
from stillroom.demo.shelves import fill_shelves, receive_bark
from stillroom.demo.under_way import leave_work
from stillroom.records.from_yaml import laboratory_from_yaml

BEGINS = "2026-11-02 08:00"
BOOK_ID = "practice-laboratory"


def begin_practice(folder: Path, clock: StoryClock) -> Laboratory:
    """Begin the practice laboratory with its people, scales, procedures and orders, and nothing on the shelf."""
    found = laboratory_from_yaml(practice_file("laboratory.yaml"), "laboratory.yaml")
    lab = begin_laboratory(
        folder,
        found.name,
        found.people[0],
        practice=True,
        altitude_m=found.altitude_m,
        clock=clock,
        book_id=BOOK_ID,
    )
    for name in (
        "laboratory.yaml",
        "bark-extract.yaml",
        "hair-tonic.yaml",
        "ORD-1.yaml",
        "ORD-2.yaml",
    ):
        enter_text(lab, practice_file(name), name, by="MA", at=clock.at(BEGINS))
    return lab


def tell(
    folder: Path, chapter: Callable[[str], None] = lambda _: None, *, under_way: bool = False
) -> Laboratory:
    """Tell the whole story into an empty folder.

    Parameters
    ----------
    folder : Path
        Must not hold a book yet.
    chapter : callable
        Told the name of each chapter as it begins.
    under_way : bool
        Whether two more products are made, and work is left on the bench afterwards.

    Returns
    -------
    Laboratory
        Open, standing at the end of the story.
    """
    clock = StoryClock(BEGINS)
    chapter("an order of 50 bottles comes in")
    lab = begin_practice(folder, clock)
    chapter("it is planned, with nothing measured yet")
    keep_plan(lab, "ORD-1", by="MA", at=clock.at("2026-11-02 08:30"))
    chapter("the shelves are filled")
    fill_shelves(lab, clock)
    chapter("the bark comes, is looked at, dried, tested and assayed")
    receive_bark(lab, clock)
    chapter("the plan is calculated again with what is known now")
    for order in ("ORD-1", "ORD-2"):
        keep_plan(lab, order, by="MA", at=clock.at("2026-11-04 14:00"))
    chapter("250 g of bark are extracted, cleaned up, assayed and released")
    extract(lab, clock)
    chapter("two tonics are dosed, made, filled, released and delivered")
    bottle(lab, clock)
    if under_way:
        chapter("a gel is made from infused tea, a mist from distilled lavender")
        make_both(lab, clock)
        chapter("a maceration stands, a Soxhlet runs, a reagent nears its end")
        leave_work(lab, clock)
    return lab
