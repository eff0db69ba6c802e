"""What keeps a formula: preservatives, the pH their acids need, or spirit enough; and what is missing.

Promises to say when water stands without a preservative, when no pH was measured, and when a preservative acid is
outside its band. Says nothing about how well it keeps: a challenge test of the product does.
"""

from collections.abc import Iterator

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import Held, parts_in
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.limit_rules import TABLE as LIMITS
from stillroom.reference.tables import Row, table
from stillroom.substances.ingredients import is_called_water
from stillroom.substances.rules import rule
from stillroom.substances.written_names import WrittenPart
from stillroom.texts.catalogue import later, t

TABLE = "preservative_bands"
WATERY = ("water", "watery", "hydrosol")
"""What an ingredient is for, where it brings water that germs can live in."""
DRY = (
    "oil", "essential oil", "perfume", "fragrance substance", "thickener", "emulsifier", "powder", "antioxidant",
    "UV filter", "colorant", "deodorant", "cooling agent",
)  # fmt: skip
"""What an ingredient is for, where it brings none."""
EMULSIFIERS, OILS = ("emulsifier", "solubiliser", "surfactant"), ("oil",)
OIL_NEEDS_HELP_PERCENT = 5.0
LEAST_PERCENT = 0.01
"""Below this share of the product a substance preserves nothing (preservatives for rinsing off apart). [% w/w]"""


def keeping_lines(
    facts: FormulaFacts, held: tuple[Held, ...], ethanol_volume_percent: float | None
) -> tuple[CheckLine, ...]:
    """Lines about preservation, its pH, and oil in water without an emulsifier.

    Parameters
    ----------
    facts : FormulaFacts
        With the measured pH where there is one. [record]
    held : tuple of Held
        From ``held_in``. [% w/w]
    ethanol_volume_percent : float or None
        Ethanol in the product at 20 °C; None where its strength is not known. [% v/v]

    Returns
    -------
    tuple of CheckLine
        None about preservation where there is no water. [records]
    """
    if not _has_water(facts):
        return ()
    enough = rule("spirit-that-keeps").value
    keeps = ethanol_volume_percent is not None and ethanol_volume_percent > enough
    acids = [row for row in table(TABLE).rows if any(one.added and one.is_a((row.key,)) for one in held)]
    others = sorted(
        {
            one.substances[0].label_name
            for one in held
            if one.added and one.high_percent >= _least(one) and _preserves(one) and not _is_acid(one)
        }
    )
    return (
        *_ph(facts, acids, others, keeps),
        _preservation(acids, others, ethanol_volume_percent, keeps, enough),
        *_emulsion(facts),
    )


_ACID = {
    "inside": later(
        "{about}: at pH {ph} {free} % of it is free acid, which acts; up to pH {highest} is usual."
    ),
    "undecided": later("{about} needs pH {highest} or lower, and the reading of pH {ph} does not decide it."),
    "outside": later(
        "{about}: at pH {ph} only {free} % of it is free acid, which acts; it needs pH {highest} or lower."
    ),
}
"""By where its pH stands."""


def _ph(facts: FormulaFacts, acids: list[Row], others: list[str], keeps: bool) -> Iterator[CheckLine]:
    for row in acids:
        highest = row.number("highest_ph")
        blanks = {"about": row.key.capitalize(), "highest": f"{highest:g}"}
        stands = facts.ph_stands(0.0, highest)
        if facts.ph is None:
            standing: Standing = "cannot be seen here" if keeps else "undecided"
            says, close = (
                t("{about} acts up to pH {highest} or so, and no pH was entered.", **blanks),
                t("Measure the pH of the product"),
            )
        else:
            free = f"{_undissociated_percent(facts.ph, row.number('pka')):.2g}"
            blanks |= {"ph": facts.ph_written, "free": free}
            inside = stands == "inside"
            helped = ", ".join(others) or (t("spirit") if keeps else "")
            standing = "within" if inside else "over" if stands == "outside" and not helped else "undecided"
            says = t(_ACID[stands], **blanks)
            if not inside and helped:
                says = f"{says} {t('Beside it: {others}.', others=helped)}"
            close = (
                ""
                if inside
                else t(
                    ("Bring the pH down and measure again, or show by a challenge test that it keeps")
                    if stands == "outside"
                    else (
                        "Measure the pH with a meter calibrated around it, or adjust it until "
                        "no doubt reaches the edge"
                    )
                )
            )
        source = row.words("source")
        yield CheckLine(
            f"ph/{row.key}", blanks["about"], standing, says, f"{TABLE}, {row.key}", source, None, close
        )


def _preservation(
    acids: list[Row], others: list[str], ethanol: float | None, keeps: bool, enough: float
) -> CheckLine:
    about = t("Preservation")
    names = ", ".join((*others, *(row.key for row in acids)))
    if keeps:
        says = t(
            "About {ethanol} % v/v of ethanol, above {enough} %: a low risk for germs.",
            ethanol=f"{ethanol:.0f}",
            enough=f"{enough:g}",
        )
        return CheckLine("preservation", about, "within", says)
    if names:
        says, close = (
            t("It is preserved by {names}; whether that is enough no table tells.", names=names),
            t("Show it by a challenge test"),
        )
        return CheckLine("preservation", about, "cannot be seen here", says, close=close)
    says = t(
        "It holds water, no preservative of the list and not more than {enough} % v/v of ethanol.",
        enough=f"{enough:g}",
    )
    if ethanol is None:
        says = f"{says} {t('The strength of its spirit is not known.')}"
    return CheckLine(
        "preservation",
        about,
        "undecided",
        says,
        close=t("Add a preservative, or say by name why it needs none"),
    )


def _emulsion(facts: FormulaFacts) -> Iterator[CheckLine]:
    whats = [(share, part.ingredient.what_for) for share, part in parts_in(facts) if part.ingredient]
    oil = sum(share.percent or 0.0 for share, what in whats if what in OILS)
    if oil < OIL_NEEDS_HELP_PERCENT or any(what in EMULSIFIERS for _, what in whats):
        return
    says = t(
        "{oil} % of oil stands in water without an emulsifier or solubiliser: it will part.", oil=f"{oil:.3g}"
    )
    yield CheckLine(
        "emulsifier",
        t("Oil in water"),
        "undecided",
        says,
        close=t("Add an emulsifier, or say that it is shaken before use"),
    )


def _undissociated_percent(ph: float, pka: float) -> float:
    return 100.0 / (1.0 + float(10.0 ** (ph - pka)))


def _has_water(facts: FormulaFacts) -> bool:
    return any(_is_watery(part) and share.percent != 0.0 for share, part in parts_in(facts))


def is_dry(facts: FormulaFacts) -> bool:
    """Whether all of it is known and nothing in it brings water: oils, waxes, powders and what is dissolved in them.

    Parameters
    ----------
    facts : FormulaFacts
        What goes in. [record]
    """
    return not _has_water(facts) and all(
        part.ingredient is not None and part.ingredient.what_for in DRY for _, part in parts_in(facts)
    )


def _is_watery(part: WrittenPart) -> bool:
    listed = part.ingredient
    names = (part.written, listed.name, listed.label_name) if listed else (part.written,)
    return bool(listed and listed.what_for in WATERY) or any(map(is_called_water, names))


def _is_acid(one: Held) -> bool:
    return any(one.is_a((row.key,)) for row in table(TABLE).rows)


def _preserves(one: Held) -> bool:
    return any(
        one.is_a(tuple(row.words("counts").split(";")))
        for row in table(LIMITS).rows
        if row["annex"] == "V" and row["max_mass_percent"]
    )


def _least(one: Held) -> float:
    """The least share that is taken for a preservative: a tenth of its ceiling, where that is lower."""
    ceilings = [
        float(percent)
        for row in table(LIMITS).rows
        if row["annex"] == "V" and one.is_a(tuple(row.words("counts").split(";")))
        and isinstance(percent := row["max_mass_percent"], float) and percent > 0
    ]  # fmt: skip
    return min([LEAST_PERCENT, *(0.1 * one for one in ceilings)])
