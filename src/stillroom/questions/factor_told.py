"""What is told of a factor: whether it may be used, each replicate, how long titrant and factor serve."""

from dataclasses import dataclass
from datetime import date

from stillroom.answers.titrant_factor import Factored, Replicate
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.blocks import Heading, Numbers, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.numbers_shown import show
from stillroom.evidence.answer import Answer
from stillroom.quantities.entry import with_unit
from stillroom.reference.tables import row
from stillroom.substances.acids import STANDARDS
from stillroom.substances.titrants import TitrantLife
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class Factor:
    """A factor worked out: how it moved since the last, how long titrant and factor serve [d], when it is set again."""

    titrant: str
    """"" where nobody said it."""
    standard: str
    """Key of ``primary_standards``."""
    weak: bool
    """Whether it is too weak to keep."""
    replicates: tuple[Replicate, ...]
    found: Factored
    of: TitrantLife
    drift: str
    life: Answer
    factor_life: Answer
    again: date


def tell(it: Factor, said: Said) -> Told:
    """Whether it may be used, factor and strength, each replicate, how long it serves."""
    found, again = it.found, it.again.isoformat()
    not_released = Prose(
        t("A factor that is not released is used for no result: find the cause, titrate again.")
    )
    return Told(
        t("Factor of {titrant} {nominal}", titrant=it.titrant or "titrant", nominal=said.text["strength"]),
        t("Against {standard}. Nothing is written in a book.", standard=it.standard),
        (
            Points((found.because,), "done" if found.released else "missing"),
            *(() if found.released else (not_released,)),
            Numbers((show(found.factor, label=t("Factor")), show(found.strength, label=t("Strength")))),
            Heading(t("Each replicate")),
            _table(it),
            *((Heading(t("Since the last factor")), Prose(it.drift)) if it.drift else ()),
            Heading(t("How long it serves")),
            Numbers((
                show(it.factor_life, label=t("Set again by {again}, within", again=again), decimals=0),
                show(it.life, label=t("Keeps, from the day it was made"), decimals=0),
            )),
            Points(_keeping(it, said)),
        ),
        (caution_block("own-numbers"),),
    )  # fmt: skip


def _table(it: Factor) -> Table:
    return Table(
        (
            "",
            t("Standard, g"),
            t("Titrant, {titre}", titre=it.replicates[0].titre.unit),
            t("Strength, {strength}", strength=it.found.strength.answer.unit),
        ),
        tuple(
            (str(at), f"{one.mass.value:.4f}", f"{one.titre.value:.2f}", f"{each.value:.5f}")
            for at, (one, each) in enumerate(zip(it.replicates, it.found.each, strict=True), 1)
        ),
        (1, 2, 3),
    )


def _keeping(it: Factor, said: Said) -> tuple[str, ...]:
    room = with_unit(said.text.get("room", ""), "°C")
    where = t("At {room} in the room", room=room) if room else "At 25 °C"
    weak = t(
        "Below 0.1 mol/L it does not keep: make it fresh by dilution, with water free of carbon dioxide (BP)."
    )
    return (
        t("{where}, by the rule for {titrant}: {said_by}.", where=where, titrant=it.of.titrant, said_by=it.of.said_by),
        *((weak,) if it.weak else ()),
        t("Your own log of factors replaces the rule."),
        t("The standard: {drying}.", drying=row(STANDARDS, it.standard).words("drying")),
    )  # fmt: skip
