"""Thin an acid or alkali with nothing set up: of what, wanted, how much. Every meaning, or the one that was said.

Promises the recipe in masses first, with the doubt of the bottle carried into the solution, and what was taken in
place of an entry listed by its effect. Writes nothing.
"""

import math
from collections.abc import Mapping

from stillroom.actions.acid_entries import (
    LABEL_DOUBT,
    TITRATION_DOUBT,
    amount_in,
    bottle_in,
    want_in,
)
from stillroom.answers import acid_strength
from stillroom.answers.acid_meanings import Bottle, Meaning, Mixed
from stillroom.answers.acid_mixed import every_meaning
from stillroom.answers.tempting import bottle_in_millilitres
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.documents.lessons import lesson_page
from stillroom.documents.lessons_of_sums import acid_lesson
from stillroom.documents.mixing_acid import AcidWords, acid_page
from stillroom.errors import BadEntry, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, reckoned

QUESTION = "acid"


class AcidAsked:
    """A thinning as it was asked, worked out.

    Attributes
    ----------
    page : Page
    lesson : Page or None
        None while the strength may mean several things.
    ambiguous : bool
        True when the strength may mean several things and nobody said which.
    found : tuple of (Meaning, Mixed or StillroomError)
    bottle : Bottle
    must_say : BadEntry
        The sentence that asks for the basis.
    """

    def __init__(
        self,
        page: Page,
        lesson: Page | None,
        found: tuple[tuple[Meaning, Mixed | StillroomError], ...],
        bottle: Bottle,
        want: str,
    ) -> None:
        self.page = page
        self.lesson = lesson
        self.found = found
        self.bottle = bottle
        self.ambiguous = len(found) > 1
        self.must_say = BadEntry(
            worded("A percentage of {solute} must say its basis", solute=bottle.of.solute),
            want,
            worded(
                "Say {meanings}; or write mol/L",
                meanings=", ".join((meaning.removeprefix("bottle ") for meaning, _ in found)),
            ),
        )


def mix_acid(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> AcidAsked:
    """Work a thinning out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        "of", "want", "basis", "amount", "amount-as", and what else was said: "have-plus-minus", "titrated",
        "titrated-plus-minus", "density".
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        An entry is missing, cannot be read, or cannot be had from that bottle.
    """
    said = said_in(fields)
    bottle = bottle_in(said)
    want, meanings = want_in(said, bottle)
    amount, at_hand, amount_words = amount_in(said)
    found = every_meaning(bottle, want, meanings, amount, at_hand=at_hand)
    if all(isinstance(one, StillroomError) for _, one in found):
        first = found[0][1]
        if isinstance(first, StillroomError):
            raise (first if first.where else first.at("want"))
    others = _otherwise(bottle, want, meanings, amount, at_hand)
    words = AcidWords(
        bottle=said["of"],
        want=said["want"]
        if want.unit == "mol/L" or "%" in said["want"] or "in" in said["want"]
        else f"{said['want']} %",
        amount=f"{'all of ' if at_hand else ''}{amount_words}",
        at_hand=at_hand,
        answers={
            meaning: question_address(QUESTION, said, basis=meaning.removeprefix("bottle "))
            for meaning in (*meanings, "w/w", "w/v", "v/v", "label")
        },
    )
    page = acid_page(
        bottle,
        found,
        words,
        _unsaid(said, bottle, found),
        others=others,
        poured=_poured(bottle, want, meanings),
        href=question_address(QUESTION, said),
        **facts,
    )
    return AcidAsked(
        page, _lesson(bottle, found, words, others, page, said, facts), found, bottle, words.want
    )


def _lesson(
    bottle: Bottle,
    found: tuple[tuple[Meaning, Mixed | StillroomError], ...],
    words: AcidWords,
    others: tuple[tuple[Meaning, Mixed | StillroomError], ...],
    page: Page,
    said: Mapping[str, str],
    facts: PageFacts,
) -> Page | None:
    one = found[0][1]
    if len(found) > 1 or isinstance(one, StillroomError):
        return None
    wrong = bottle_in_millilitres(one.strength, bottle.density) if bottle.density is not None else None
    lesson = acid_lesson(bottle, one, words, others, wrong)
    if lesson is None:
        return None
    href = question_address(f"{QUESTION}/lesson", said)
    return lesson_page(lesson, title=f"Lesson: {page.title}", href=href, **facts)


def _otherwise(
    bottle: Bottle, want: Answer, meanings: tuple[Meaning, ...], amount: Answer, at_hand: bool
) -> tuple[tuple[Meaning, Mixed | StillroomError], ...]:
    """What the same figure would give in its other meanings, where one was said."""
    if len(meanings) > 1 or want.unit != "%" or meanings[0].startswith("bottle"):
        return ()
    every: tuple[Meaning, ...] = ("w/w", "w/v") if bottle.density is None else ("w/w", "w/v", "v/v", "label")
    others = tuple(one for one in every if one not in meanings)
    return every_meaning(bottle, want, others, amount, at_hand=at_hand)


def _poured(bottle: Bottle, want: Answer, meanings: tuple[Meaning, ...]) -> Answer | None:
    if "v/v" not in meanings or bottle.density is None:
        return None
    try:
        return reckoned(
            f"{want.value:g} mL poured into {100 - want.value:g} mL of water",
            acid_strength.poured_mol_l,
            unit="mol/L",
            basis="at 20 °C",
            inputs={
                "want_percent": want,
                "stock_percent": bottle.strength,
                "stock_density_g_ml": bottle.density,
                "molar_mass_g_mol": bottle.of.molar_mass,
            },
            fixed={"solute": bottle.of.solute},
            says="the masses add, the volumes do not; the volume comes from the printed density",
            sources=("crc-102",),
        )
    except OutsideModel:
        return None


def _unsaid(
    said: Mapping[str, str], bottle: Bottle, found: tuple[tuple[Meaning, Mixed | StillroomError], ...]
) -> tuple[Unsaid, ...]:
    one = next(mixed for _, mixed in found if isinstance(mixed, Mixed))
    items: list[Unsaid] = []
    for name, field, what in (
        (LABEL_DOUBT, "have-plus-minus", "how sure the label is"),
        (TITRATION_DOUBT, "titrated-plus-minus", "how sure the titration is"),
    ):
        leaf = next((a for _, a in _leaves(bottle.strength) if a.name == name), None)
        if leaf is None or leaf.leaf is None or leaf.leaf.kind != "assumed":
            continue
        share = _share(one, name)
        half = (leaf.standard_uncertainty or 0.0) * (3.0**0.5 if name == LABEL_DOUBT else 2.0)
        items.append(
            Unsaid(
                what, f"± {half:.2g} {leaf.unit}", leaf.leaf.where if leaf.leaf else "",
                f"moves the solution by ± {100 * share:.1f} % of its strength", share, field,
                opened_at(QUESTION, said, field),
            )
        )  # fmt: skip
    if bottle.density is not None and not said.get("density"):
        sure = bottle.density.standard_uncertainty or 0.0
        because = bottle.density.leaf.where if bottle.density.leaf else "the printed density at that strength"
        items.append(
            Unsaid(
                "density of the bottle", f"{bottle.density.value:.4g} g/mL", because,
                f"moves what is measured by volume by ± {200 * sure / bottle.density.value:.2g} %; nothing when weighed"
                if sure else "matters when it is measured by volume; nothing when weighed",
                sure / bottle.density.value, "density", opened_at(QUESTION, said, "density"),
            )
        )  # fmt: skip
    return tuple(items)


def _leaves(answer: Answer) -> tuple[tuple[str, Answer], ...]:
    return (("", answer), *answer.inputs)


def _share(mixed: Mixed, name: str) -> float:
    """Twice what one doubt moves, as a share of the strength."""
    parts = [one for one in mixed.made.budget.contributions if one.name.startswith(name)]
    return 2.0 * math.hypot(*(one.contribution for one in parts)) / mixed.made.answer.value
