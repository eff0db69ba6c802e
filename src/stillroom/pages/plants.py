"""The plants of this laboratory, and one page for each: its lots, what each batch of it gave, and what comes next."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.making.plant_history import (
    BatchOfPlant,
    Coming,
    LotOfPlant,
    PlantHistory,
    plant_history,
    plant_named,
    plants_here,
    plants_in_short,
)
from stillroom.answers.batch_given import BatchGiven
from stillroom.documents.batch_gave import label_of
from stillroom.documents.blocks import (
    Block,
    Cell,
    Empty,
    Facts,
    Heading,
    Link,
    Mark,
    Page,
    Points,
    Prose,
    Shown,
    Table,
)
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.plant_dots import Dot, plant_dots, plant_href
from stillroom.documents.plant_words import GRIND, grind_words, moisture_words
from stillroom.documents.put_right import when
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.store.lists import PAGE
from stillroom.texts.catalogue import between, capital, later, t


def show_plants(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Every plant with how often it was made here and what it gave, in the order of the alphabet, a page at a time."""
    with lab.look() as look:
        every = plants_here(look, wanted.words)
        shown = every[wanted.first : wanted.first + PAGE]
        rows: list[tuple[Cell, ...]] = []
        for plant, (lots, batches, last) in zip(shown, plants_in_short(look, shown), strict=True):
            gave = f"{number(last[1])} g ({last[0]})" if last else ""
            rows.append((Link(plant, plant_href(plant)), str(lots), str(batches), gave))
        head = (t("Plant"), t("Lots"), t("Finished batches"), t("Last gave, of 100 g dry"))
        blocks: list[Block] = [*finder(wanted, "/plants", len(rows), len(every))]
        if rows:
            blocks.append(Table(head, tuple(rows), (1, 2)))
        elif not wanted.asks:
            blocks.append(
                Empty(t("No plant is here yet."), t("Receive a lot of one, or copy a way of extracting."))
            )
        href = wanted.address("/plants")
        return Page(t("Plants"), "plants", "", tuple(blocks), **facts_of(look), href=href)


def show_plant(lab: Laboratory, name: str) -> Page:
    """One plant with everything that was made of it here."""
    with lab.look() as look:
        found = plant_history(look, plant_named(look, name))
        return Page(
            title=capital(found.plant),
            kind="plant",
            code=found.plant,
            blocks=tuple(_blocks(found)),
            **facts_of(look),
            lead=t(
                "Of it in this book: lots {lots}, finished batches {batches}.",
                lots=found.lots_ever,
                batches=found.ended_ever,
            ),
            href=plant_href(found.plant),
        )


def _blocks(found: PlantHistory) -> list[Block]:
    if not found.batches:
        blocks: list[Block] = [
            Empty(
                t("No batch of it has ended here yet."),
                t("Once one has, this page shows what it gave, and the next plan takes it."),
                Link(t("Ways of extracting"), "/make/starters"),
            )
        ]
    else:
        blocks = [Heading(t("What to expect next")), *_expected(found)]
    odd = [one.gave.batch for one in found.batches if one.like_none]
    if odd:
        said = t(
            "{codes}: this lot behaves like none before. Look at the plant, the grind and the weighings.",
            codes=", ".join(odd),
        )
        blocks.append(Points((said,), "missing"))
    dots = [_dot(one, one.yield_g) for one in found.batches if one.yield_g is not None]
    if dots:
        blocks.append(plant_dots(dots, _band(found)))
    if found.batches:
        blocks += [Heading(t("Batch by batch")), _batches(found.batches)]
        blocks += _newest(len(found.batches), found.ended_ever)
    if found.lots:
        blocks += [Heading(t("Lots")), _lots(found.lots), *_newest(len(found.lots), found.lots_ever)]
    return blocks


def _newest(shown: int, ever: int) -> list[Block]:
    says = t("The newest {shown} of {ever}.", shown=shown, ever=ever)
    return [Prose(says, quiet=True)] if shown < ever else []


def _expected(found: PlantHistory) -> list[Block]:
    facts = tuple((t("By {way}", way=t(one.way)), _coming(one)) for one in found.coming)
    return [
        Facts(facts),
        Prose(
            t(
                "Grams of extract from 100 g of dry plant, by batches of the same way. A plan takes more than this: "
                "assay, place, strength, and what other plants told of the same glass."
            ),
            quiet=True,
        ),
    ]


def _coming(one: Coming) -> str:
    if one.band_g is None:
        return t(
            "{median} g, from {batches} batches; the band needs three",
            median=number(one.median_g),
            batches=one.batches,
        )
    return t(
        "{median} g, in 80 of 100 cases {range} g, from {batches} batches",
        median=number(one.median_g),
        range=between(number(one.band_g[0]), number(one.band_g[1])),
        batches=one.batches,
    )


def _band(found: PlantHistory) -> tuple[float, float, float] | None:
    """The band of the way that was used last."""
    last = found.batches[-1].way
    coming = next((one for one in found.coming if one.way == last), None)
    if coming is None or coming.band_g is None:
        return None
    return coming.band_g[0], coming.median_g, coming.band_g[1]


def _dot(one: BatchOfPlant, yield_g: float) -> Dot:
    return Dot(one.gave.batch, one.gave.ended_at, yield_g, one.way, one.like_none)


def _batches(batches: tuple[BatchOfPlant, ...]) -> Table:
    rows = tuple(
        (
            Link(one.gave.batch, f"/make/{one.gave.batch}"),
            when(one.gave.ended_at)[:10],
            ", ".join(one.gave.lots),
            ", ".join(one.places),
            ", ".join(one.came),
            ", ".join(t(GRIND[term]) for term in one.grinds),
            t(one.way),
            one.strength,
            ", ".join(one.ran_in),
            *_figures(one.gave.batch, one.gave.given),
            Mark(LIKE_NONE) if one.like_none else "",
        )
        for one in reversed(batches)
    )
    head = (
        t("Batch"),
        t("Ended"),
        t("Lot"),
        t("From"),
        t("Harvested or came"),
        t("Grind"),
        t("Way"),
        t("Liquid"),
        t("In"),
        t("g of 100 g dry"),
        t("Ratio"),
        t("Recovery, %"),
        t("Beside the others"),
    )
    return Table(head, rows, (9, 10, 11))


LIKE_NONE = later("like none before")


def _figures(batch: str, given: BatchGiven | None) -> tuple[Cell, ...]:
    figures = {} if given is None else given.figures
    return tuple(_shown(batch, name, given) if name in figures else "" for name in COLUMNS)


COLUMNS = {"extract_of_100_g_dry": 1, "drug_extract_ratio": 1, "recovery": 0}
"""Figures of a batch in its row, with their decimals where there is no uncertainty to round by."""


def _shown(batch: str, name: str, given: BatchGiven | None) -> Shown | str:
    if given is None:
        return ""
    answer = given.figures[name].answer
    decimals = None if answer.standard_uncertainty else COLUMNS[name]
    return show(answer, label=label_of(name, answer), decimals=decimals, href=f"/why/{batch}/{name}")


def _lots(lots: tuple[LotOfPlant, ...]) -> Table:
    rows = tuple(
        (
            Link(one.lot.code, f"/stock/{one.lot.code}"),
            one.lot.name,
            one.came_at[:10],
            ", ".join(said for said in (one.like.place, one.lot.supplier) if said) or t("not stated"),
            one.like.harvested,
            grind_words(one.like),
            f"{number(one.drying.body.value, 1)} %"
            if one.drying
            else moisture_words(one.like) or t("not dried"),
            "; ".join(f"{number(entry.body.value, 2)} % {entry.body.what}" for entry in one.assays)
            or t("not assayed"),
            f"{number(one.on_shelf_g)} g",
        )
        for one in reversed(lots)
    )
    head = (
        t("Lot"),
        t("Name"),
        t("Came"),
        t("From"),
        t("Harvested"),
        t("Grind"),
        t("Loss on drying"),
        t("Assay"),
        t("On the shelf"),
    )
    return Table(head, rows, (8,))
