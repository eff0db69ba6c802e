"""The card of a lot of plant: fresh or dry, how fine, from where, harvested when. What is not said stays as it was."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.shelf.plant_described import described
from stillroom.asking.entries import maybe
from stillroom.asking.readers import Figure, OneOf, Own, Words
from stillroom.asking.said import Said
from stillroom.documents.plant_words import card_words
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import Answer
from stillroom.quantities.entry import share, with_unit, without_sign
from stillroom.quantities.numbers import cleaned
from stillroom.records.lots import Lot
from stillroom.records.plant_entries import PlantDescribed
from stillroom.records.written_values import iso_month, one_line
from stillroom.science.extraction.grinding import sieved_grind
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

NOT_KNOWN = "not known"
STATES = {"dry": later("dry"), "fresh": later("fresh"), NOT_KNOWN: later("not known")}
GRINDS = {
    "whole": later("whole"),
    "cut": later("cut pieces"),
    "coarse": later("coarse powder"),
    "medium": later("medium powder"),
    "fine": later("fine powder"),
    NOT_KNOWN: later("not known"),
}
MOISTURE_DOUBT_PERCENT = 1.0
"""Standard uncertainty of a moisture that says none (chosen: a supplier's paper). [% w/w]"""
LONGEST_PLACE = 80
_BY_MASS = re.compile(r"\s*(?:w/w|m/m|by (?:mass|weight))$", re.IGNORECASE)
STAYED = ("sample", "coarser_sieve", "on_coarser", "finer_sieve", "on_finer")


def _place(text: str, where: str) -> str:
    return one_line(text, where)[:LONGEST_PLACE]


def _moist(text: str, where: str) -> float:
    """Water in a plant as it is, by mass whether that is said or not [g/g]."""
    return share(_BY_MASS.sub("", cleaned(text, where=where)), most=0.97, where=where)


def _sureness(text: str, where: str) -> float:
    """Half the width of the ± of a moisture, k = 2 [% w/w]."""
    return 100.0 * share(with_unit(without_sign(text), "%"), most=0.5, where=where)


@dataclass(frozen=True, slots=True, kw_only=True)
class Card(Said):
    """What a lot of plant is like: any of these."""

    state: str | None = maybe(
        OneOf(STATES, later("a state of a plant")), label=later("It is"), left_out=later("not said"),
        help="dry, fresh or not known.",
    )  # fmt: skip
    moisture: float | None = maybe(
        Own(_moist, "figure", "%"), label=later("Moisture"), hint=later("Of the plant as it is, by mass"), beside=True,
        help='Water in it as it is: "9.5 %".',
    )  # fmt: skip
    moisture_sure: float | None = maybe(
        Own(_sureness, "figure", "%"), label=later("± (k = 2)"), beside=True,
        help='How far the moisture may be off, k = 2: "1 %".'
    )  # fmt: skip
    grind: str | None = maybe(
        OneOf(GRINDS, later("a grind")), label=later("Grind"), left_out=later("not said"),
        help="whole, cut, coarse, medium, fine or not known.",
    )  # fmt: skip
    place: str | None = maybe(
        Own(_place), label=later("Where it grew"), hint=later("Valley or region, or the garden"),
        help='Where it grew: "south slope, upper garden".',
    )  # fmt: skip
    harvested: str | None = maybe(
        Own(iso_month), label=later("Month of harvest"), hint=later("Such as 2026-09"), beside=True,
        help='Month of harvest: "2026-09", "Sep 2026".',
    )  # fmt: skip
    sample: Answer | None = maybe(
        Figure(of="sample", symbol="g", unit="g"), label=later("Sieved: sample"),
        hint=later("Two sieves, the coarser above the finer; leave empty if you have none"), help='Sieved: "50 g".',
    )  # fmt: skip
    coarser_sieve: Answer | None = maybe(
        Figure(of="coarser sieve", symbol="mm", unit="mm"), label=later("Coarser sieve"), beside=True,
        help='Its aperture: "0.71 mm".',
    )  # fmt: skip
    on_coarser: Answer | None = maybe(
        Figure(of="on the coarser sieve", symbol="g", unit="g", zero=True), label=later("Stayed on it"), beside=True,
        help='On the coarser sieve: "8.0 g".',
    )  # fmt: skip
    finer_sieve: Answer | None = maybe(
        Figure(of="finer sieve", symbol="mm", unit="mm"), label=later("Finer sieve"),
        help='Its aperture: "0.25 mm".',
    )  # fmt: skip
    on_finer: Answer | None = maybe(
        Figure(of="on the finer sieve", symbol="g", unit="g", zero=True), label=later("Stayed on it"), beside=True,
        help='On the finer sieve: "34 g".',
    )  # fmt: skip
    note: str | None = maybe(Words(), label=later("Note"), help="Anything else worth keeping of it.")


def _write(pen: BookWriter, lot: str, said: Card) -> Done:
    """Write the card anew, what was not said as it stood."""
    if pen.look.lot(lot).kind.traits.carrier != "plant":
        raise NotAllowed("Only a lot of plant has such a card", lot, "Describe a lot of plant material")
    before = described(pen.look, lot)
    found = _moisture(_sieved(_plain(before, said), said), said)
    words = card_words(found)
    if said.note:
        words = f"{words}; {said.note}" if words else said.note
    if not words and before == PlantDescribed(lot):
        raise BadEntry("A card says something of its lot", "nothing", "Fill in one field", where="state")
    number = pen.enter(replace(found, as_written=words))
    return Done((number,), t("{lot}: {words}.", lot=lot, words=words or t("not known")))


def _plain(before: PlantDescribed, said: Card) -> PlantDescribed:
    def now(one: str | None, was: str) -> Any:
        return was if one is None else "" if one == NOT_KNOWN else one

    return replace(
        before,
        state=now(said.state, before.state),
        grind=now(said.grind, before.grind),
        place=now(said.place, before.place),
        harvested=now(said.harvested, before.harvested),
    )


def _moisture(found: PlantDescribed, said: Card) -> PlantDescribed:
    """A moisture that is said anew; a state that is said otherwise takes the old one away."""
    if said.moisture is None:
        if said.moisture_sure is not None and found.moisture_percent is None:
            raise BadEntry("Its ± stands beside a moisture", "no moisture", "Write both", where="moisture")
        if said.moisture_sure is not None:
            return replace(found, moisture_standard_uncertainty_percent=said.moisture_sure / 2.0)
        return found if said.state is None else _dry_or_fresh(found)
    doubt = MOISTURE_DOUBT_PERCENT if said.moisture_sure is None else said.moisture_sure / 2.0
    return replace(found, moisture_percent=100.0 * said.moisture, moisture_standard_uncertainty_percent=doubt)


MOST_DRY_PERCENT = 25.0
"""A plant that is called dry holds no more water than this (chosen), and one that is called fresh no less. [% w/w]"""


def _dry_or_fresh(found: PlantDescribed) -> PlantDescribed:
    """Without a moisture that was said of the other state."""
    old = found.moisture_percent
    fits = old is None or (old <= MOST_DRY_PERCENT) == (found.state != "fresh") or not found.state
    if fits:
        return found
    return replace(found, moisture_percent=None, moisture_standard_uncertainty_percent=None)


def _sieved(found: PlantDescribed, said: Card) -> PlantDescribed:
    """With the middle particle of what was sieved; a grind that is named anew takes the sieved one away."""
    weighed = {name: getattr(said, name) for name in STAYED}
    if not any(weighed.values()):
        if said.grind is None:
            return found
        return replace(found, particle_mm=None, particle_log_sd=None)
    missing = next((name for name, one in weighed.items() if one is None), "")
    if missing:
        raise BadEntry(
            "A sieving is a sample, two sieves, and what stayed on each",
            worded("no {called}", called=missing.replace("_", " ")),
            "Write all five, or none",
            where=missing.replace("_", "-"),
        )
    grind = sieved_grind(
        weighed["coarser_sieve"].value,
        weighed["finer_sieve"].value,
        weighed["on_coarser"].value,
        weighed["on_finer"].value,
        weighed["sample"].value,
    )
    return replace(found, particle_mm=grind.median_mm, particle_log_sd=grind.log_sd)


def _offered(look: Reader, lot: str) -> Mapping[str, str]:
    one = described(look, lot)
    moisture = "" if one.moisture_percent is None else f"{one.moisture_percent:g}"
    sure = one.moisture_standard_uncertainty_percent
    return {
        "state": one.state, "grind": one.grind, "place": one.place, "harvested": one.harvested, "moisture": moisture,
        "moisture-sure": "" if not moisture or sure is None else f"{2.0 * sure:g}",
    }  # fmt: skip


def _stands(_: Reader, lot: Lot) -> str:
    return t("Describe it") if lot.kind.traits.carrier == "plant" else ""


describe_plant = Act(
    name="describe",
    action="describe plant",
    said=Card,
    writes=_write,
    help="What the plant LOT is like: dry or fresh, how fine, where it grew, harvested when. Whatever you know.",
    title=later("What the plant is like"),
    lead=later(
        "Whatever you know; leave the rest empty. Plans and the page of the plant tell lots apart by it."
    ),
    stands=_stands,
    offered=_offered,
    button=later("Save the card"),
    address="/stock/{code}/plant",
)
