"""Which way, how strong: the ways of extracting a plant side by side, with everything this laboratory knows."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.making.comparing_ways import PlantCompared, ways_of_plant
from stillroom.actions.making.plant_history import plant_named
from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, Points, Prose
from stillroom.documents.numbers_shown import number
from stillroom.documents.plant_dots import plant_address, plant_href
from stillroom.documents.ways_compared import (
    figures_by_way,
    reasons_blocks,
    trials_blocks,
    ways_blocks,
    which_way,
)
from stillroom.texts.catalogue import capital, t


def show_ways(lab: Laboratory, name: str) -> Page:
    """The ways of a plant for what its newest batch or procedure counts."""
    return show_ways_by(lab, name)


def show_ways_for(lab: Laboratory, name: str, marker: str) -> Page:
    """The ways of a plant for a marker of it."""
    return show_ways_by(lab, name, marker)


def show_ways_of(lab: Laboratory, name: str, marker: str, way: str) -> Page:
    """The same, with picture and next trial of one way."""
    return show_ways_by(lab, name, marker, way)


def show_ways_by(lab: Laboratory, name: str, marker: str = "", way: str = "") -> Page:
    """The ways of a plant side by side, and picture and next trial of one of them.

    Parameters
    ----------
    name : str
        The plant, as its page is addressed.
    marker : str
        What counts in it, as written or as addressed; "" for what its newest batch or procedure counts.
    way : str
        That picture and next trial are of; "" for that of the newest batch.
    """
    with lab.look() as look:
        plant = plant_named(look, name)
        found = ways_of_plant(look, plant, marker, way)
        return Page(
            title=t("{plant}: which way, how strong", plant=capital(plant)),
            kind="ways compared",
            code=plant,
            blocks=tuple(_blocks(found)),
            **facts_of(look),
            lead=which_way(found.ways, found.marker),
            href=ways_href(plant, marker, way),
            names={
                one.key: f"{name}.{key}"
                for name, lines in figures_by_way(found.ways).items()
                for key, one in lines.items()
            },
        )


def ways_href(plant: str, marker: str = "", way: str = "") -> str:
    """The address of the ways of a plant."""
    return "/".join(part for part in (plant_href(plant), "ways", plant_address(marker), way) if part)


def _blocks(found: PlantCompared) -> list[Block]:
    blocks = list(ways_blocks(found.ways, found.currency))
    if found.trials is not None and found.looked_at is not None:
        blocks += trials_blocks(found.trials, t(found.looked_at.way.title), found.marker)
    others = tuple(
        (
            one.way.title,
            Link(t("Its picture and next trial"), ways_href(found.plant, found.marker, one.way.name)),
        )
        for one in found.ways
        if one.lines and one is not found.looked_at
    )
    if others:
        blocks += [Heading(t("The other ways"), level=3, folded=True), Facts(others)]
    blocks.append(Points((_said(found),)))
    for other in found.markers:
        if other != found.marker:
            blocks.append(Prose(t("Also counted in it: {marker}.", marker=other), quiet=True))
    return [*blocks, *reasons_blocks(found.ways)]


def _said(found: PlantCompared) -> str:
    lot = t("the lot {lot}", lot=found.lot) if found.lot else t("no lot of it at hand")
    return t(
        "A charge of {grams} g, {lot}; with the glass, the prices and the finished batches of this book. Nothing is "
        "credited for spirit that comes back.",
        grams=number(found.plant_g), lot=lot,
    )  # fmt: skip
