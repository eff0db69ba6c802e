"""Dilute an acid or alkali, dissolve a salt: of what, wanted, how much. Every meaning, or the one that was said.

Promises the recipe in masses first, with the doubt of the bottle carried into the solution. The words are
``answers.acid_words``, the chemistry ``answers.acid_mixed``. Writes nothing.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.answers import acid_strength
from stillroom.answers.acid_meanings import Bottle, Meaning, Mixed
from stillroom.answers.acid_mixed import every_meaning
from stillroom.answers.acid_words import (
    BASES,
    LABEL_DOUBT,
    MEANINGS,
    TITRATION_DOUBT,
    Named,
    bottle_of,
    density_in,
    meant_by,
    named_in,
    titre_in,
    want_in,
)
from stillroom.asking.entries import Assumption, Flag, HangsOn, maybe, needed, taken
from stillroom.asking.question import Question, Way
from stillroom.asking.readers import ASKED, OneOf, Own, PlusMinus
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.quantities.entry import entry
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.uncertainty_words import Sureness
from stillroom.questions.acid_told import Meanings, Thinned, recipe, teach, tell, want_words
from stillroom.reference.tables import table
from stillroom.texts.catalogue import later, t

# ---- what is asked


def sold() -> Mapping[str, str]:
    """Bottles as they are sold."""
    return {one.key: one.key for one in table("commercial_reagents").rows}


def amount_in(text: str, where: str) -> Quantity:
    """An amount by volume or by mass."""
    return entry(text, want=("volume", "mass"), where=where)


def strength_of(of: Named) -> Own[Quantity]:
    """How a strength wanted of it is read."""
    return Own(lambda text, where: want_in(text, where, of.solute))


def titre_of(of: Named) -> Own[Quantity]:
    """How its strength by titration is read."""
    return Own(lambda text, where: titre_in(text, where, of.solute))


def label_doubt(of: Named) -> PlusMinus:
    """How the doubt of a label is read."""
    return PlusMinus(of.label, "%")


def titration_doubt(titrated: Quantity | None) -> PlusMinus:
    """How the doubt of a titration is read."""
    return PlusMinus(titrated, "mol/L")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thinning(Said):
    """A bottle, the strength wanted of it, and how much."""

    of: Named = needed(
        Own(named_in, "list", named=sold), label=later("The bottle"), hint=later("Such as hydrochloric acid 37 %"),
        must=later("What is in the bottle is needed"), do=worded("Write {example}", example='"hydrochloric acid 37 %"'),
        help='The bottle: "hydrochloric acid 37 %", "sodium hydroxide pellets".',
    )  # fmt: skip
    want: Quantity = needed(
        HangsOn("of", strength_of, kind="text"),
        label=later("Strength wanted"), hint=later("Such as 5 %, 0.1 mol/L or 1 in 20"),
        must=later("The strength wanted is needed"), do=worded("Write {example}", example='"5 % w/w" or "1 mol/L"'),
        help='Strength wanted: "5 % w/w", "1 mol/L", "1 in 20".',
    )  # fmt: skip
    basis: str = taken(
        "", OneOf(BASES, must=worded("A basis is one of {bases}", bases=", ".join(BASES))),
        label=later("What a percentage means"), beside=True,
        help="What a bare percentage means: w/w, w/v, v/v or label.",
    )  # fmt: skip
    amount: Quantity = needed(
        Own(amount_in), label=later("How much"), short=later("Amount"), hint=later("Such as 1 L or 250 g"),
        must=later("An amount is needed"), do=worded("Write {example}", example='"1 L"'), argument=True,
    )  # fmt: skip
    amount_as: str = taken(
        "wanted",
        OneOf(
            {"wanted": later("wanted"), "at hand": later("at hand, from the bottle")},
            must=later('An amount is "wanted" or "at hand"'),
        ),
        label=later("Of what"), beside=True, chosen="wanted",
        flags={
            "at-hand": Flag("at hand", help="AMOUNT is what is taken from the bottle, not the solution wanted.")
        },
    )  # fmt: skip
    have_plus_minus: Sureness | None = maybe(
        HangsOn("of", label_doubt, unit="%"),
        label=later("How sure the label is"), short=later("± of the label"), hint=later("± in % w/w (k = 2)"),
        folded=True, option="plus-minus", help='How sure the label is, k = 2: "0.5 %".',
    )  # fmt: skip
    density: Quantity | None = maybe(
        Own(density_in, "figure", "g/mL"),
        label=later("Density of the bottle at 20 °C"), short=later("Density"), folded=True,
        help='Of the bottle at 20 °C: "1.184 g/mL".',
    )  # fmt: skip
    titrated: Quantity | None = maybe(
        HangsOn("of", titre_of, kind="text"),
        label=later("Strength of the bottle by titration"), short=later("By titration"),
        hint=later("Such as 12.05 mol/L; in place of the label"), folded=True,
        help='Strength of the bottle by titration: "12.05 mol/L".',
    )  # fmt: skip
    titrated_plus_minus: Sureness | None = maybe(
        HangsOn("titrated", titration_doubt, unit="mol/L"),
        label=later("± of the titration (k = 2)"), beside=True, folded=True,
        help='How sure that is, k = 2: "0.06 mol/L".',
    )  # fmt: skip


# ---- how it is worked out


def work(said: Thinning) -> Thinned:
    """Work out every meaning of the strength, or the one that was said."""
    if said.titrated_plus_minus is not None and said.titrated is None:
        raise BadEntry(
            "The ± of a titration stands beside its strength", "no strength by titration",
            'Say the strength too: "12.05 mol/L"', where="titrated",
        )  # fmt: skip
    bottle = bottle_of(
        said.of,
        label_sure=said.have_plus_minus,
        titre=said.titrated,
        titre_sure=said.titrated_plus_minus,
        density=said.density,
    )
    want, meanings = meant_by(said.want, said.basis, bottle)
    at_hand, unit = said.amount_as == "at hand", "mL" if said.amount.dimension == "volume" else "g"
    amount = reading(
        "taken from the bottle" if at_hand else "solution wanted", said.amount.in_unit(unit), unit, ASKED,
        basis="at 20 °C" if unit == "mL" else "",
    )  # fmt: skip

    def every(these: tuple[Meaning, ...]) -> Meanings:
        return dict(every_meaning(bottle, want, these, amount, at_hand=at_hand))

    found = every(meanings)
    first = found[meanings[0]]
    if isinstance(first, StillroomError) and not any(isinstance(one, Mixed) for one in found.values()):
        raise (first if first.where else first.at("want"))
    words, poured = f"{said.amount.number} {said.amount.unit}", _poured(bottle, want, meanings)
    if len(found) > 1 or isinstance(first, StillroomError):
        return Thinned(bottle, want, words, at_hand, None, found, poured)
    had = MEANINGS[:2] if bottle.density is None else MEANINGS
    others = every(tuple(one for one in had if one != first.meaning)) if first.meaning in MEANINGS else {}
    return Thinned(bottle, want, words, at_hand, first, others, poured)


def _poured(bottle: Bottle, want: Answer, meanings: tuple[Meaning, ...]) -> Answer | None:
    """What pouring without filling up gives, for a share by volume. [mol/L]."""
    if "v/v" not in meanings or bottle.density is None:
        return None
    try:
        return reckoned(
            f"{want.value:g} mL poured into {100 - want.value:g} mL of water", acid_strength.poured_mol_l,
            unit="mol/L", basis="at 20 °C", fixed={"solute": bottle.of.solute},
            inputs={
                "want_percent": want, "stock_percent": bottle.strength, "stock_density_g_ml": bottle.density,
                "molar_mass_g_mol": bottle.of.molar_mass,
            },
            says="the masses add, the volumes do not; the volume comes from the printed density", sources=("crc-102",),
        )  # fmt: skip
    except OutsideModel:
        return None


def assume(it: Thinned, said: Thinning) -> tuple[Assumption, ...]:
    """The doubts that were taken, and the density that was printed."""
    found = it.found or next(one for one in it.others.values() if isinstance(one, Mixed))
    bottle = it.bottle
    items: list[Assumption] = []
    for name, field, what, wide in (
        (LABEL_DOUBT, "have-plus-minus", t("how sure the label is"), math.sqrt(3.0)),
        (TITRATION_DOUBT, "titrated-plus-minus", t("how sure the titration is"), 2.0),
    ):
        for one in (bottle.strength, *(each for _, each in bottle.strength.inputs)):
            if one.name == name and one.leaf is not None and one.leaf.kind == "assumed":
                half, share = wide * (one.standard_uncertainty or 0.0), _moved(found, name)
                effect = t("moves the solution by ± {percent:.1f} % of its strength", percent=100 * share)
                items.append(
                    Assumption(what, f"± {half:.2g} {one.unit}", one.leaf.where, effect, share, field=field)
                )
    if bottle.density is not None and said.density is None:
        value, leaf = bottle.density.value, bottle.density.leaf
        share = (bottle.density.standard_uncertainty or 0.0) / value
        items.append(
            Assumption(
                t("density of the bottle"),
                f"{value:.4g} g/mL",
                leaf.where if leaf else t("the printed density at that strength"),
                t("moves what is measured by volume by ± {percent:.2g} %; nothing when weighed", percent=200 * share)
                if share
                else t("matters when it is measured by volume; nothing when weighed"),
                share,
                field="density",
            )
        )  # fmt: skip
    return tuple(items)


def _moved(found: Mixed, name: str) -> float:
    """Twice what one doubt moves, as a share of the strength. [1]."""
    parts = [one for one in found.made.budget.contributions if one.name.startswith(name)]
    return 2.0 * math.hypot(*(one.contribution for one in parts)) / found.made.answer.value


def refuse(it: Thinned, said: Thinning) -> BadEntry | None:
    """Ask for the basis, where the strength may mean several things."""
    if it.found is not None:
        return None
    return BadEntry(
        worded("A percentage of {solute} must say its basis", solute=it.bottle.of.solute),
        want_words(said),
        worded(
            "Say {meanings}; or write mol/L",
            meanings=", ".join(meaning.removeprefix("bottle ") for meaning in it.others),
        ),
    )


QUESTION = Question(
    name="acid",
    title=later("Dilute an acid or alkali, dissolve a salt"),
    lead=later("What the bottle says, the strength you want, how much of it."),
    button=later("Calculate"),
    help="""Acid or alkali and water for AMOUNT ("1.000 L").

    A bare "5 %" is answered in all its meanings, exit code 2.
    """,
    kind="acid diluted",
    asks=Way(Thinning, work, tell, teach, assume, refuse, makes=recipe),
)
