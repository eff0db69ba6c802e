"""Sums done at the bench before anything is written: shaking out a base. They need no book."""

from dataclasses import dataclass

from stillroom.answers.buffer_weighed import LIMITS_PH, shown_ph
from stillroom.answers.ph_words import read_with
from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.science.extraction.partition import distribution_ratio_of_base, share_recovered

ASKED = "as asked at the bench"
ENOUGH_SHARE = 0.98
PH_MARGIN = 1.0


@dataclass(frozen=True, slots=True)
class ShakingSum:
    """What shaking out a base recovers, in one portion and in several, and what to do about it."""

    distribution: Answer
    one_portion: Answer
    several_portions: Answer
    at_worst: Answer | None
    advice: str


def work_out_shaking(
    pka: str, partition_ratio: str, ph: str, water: str, solvent: str, portions: str, ph_by: str = ""
) -> ShakingSum:
    """What shaking a base out of water recovers at a pH, all at once and in equal portions.

    Parameters
    ----------
    pka : str
        Of the base: "8.5".
    partition_ratio : str
        Of the uncharged base, solvent over water: "60".
    ph : str
        Of the water: "9.5".
    water, solvent : str
        Volumes: "100 mL", "90 mL" of solvent in all.
    portions : str
        Into how many equal portions the solvent is divided: "3".
    ph_by : str
        What the pH was read with: "strip" or "meter"; "" where nobody said.

    Raises
    ------
    BadEntry
        A figure cannot be read, or a portion is not whole.
    """
    count = number_in(portions, where="portions").value
    if count != int(count) or not 1 <= count <= 20:
        raise BadEntry("The solvent is divided into 1 to 20 whole portions", portions, where="portions")
    base = reading("pKa", number_in(pka, where="pKa").value, "", ASKED)
    acidity = reading("pH", number_in(ph, where="pH").value, "", ASKED)
    ratio = reading("partition ratio", number_in(partition_ratio, where="partition ratio").value, "", ASKED)

    def distributed(at: Answer) -> Answer:
        return reckoned(
            "distribution ratio",
            distribution_ratio_of_base,
            unit="",
            inputs={"partition_ratio": ratio, "pka": base, "ph": at},
            says="only the uncharged part of the base goes into the solvent",
            sources=("harvey-analytical",),
        )

    distribution = distributed(acidity)
    water_ml = reading(
        "water", parse(water, want="volume", zero_allowed=False, where="water").in_unit("mL"), "mL", ASKED
    )
    solvent_ml = parse(solvent, want="volume", zero_allowed=False, where="solvent").in_unit("mL")

    def recovered(shakes: int, distribution: Answer = distribution, name: str = "") -> Answer:
        name = name or ("all at once" if shakes == 1 else f"in {shakes} portions")
        return reckoned(
            name,
            share_recovered,
            unit="",
            inputs={
                "distribution_ratio": distribution,
                "water_ml": water_ml,
                "solvent_ml_per_shake": reading("solvent in each portion", solvent_ml / shakes, "mL", ASKED),
            },
            fixed={"shakes": shakes},
            basis="share of the base carried over",
            says="one less what each portion leaves behind",
            sources=("harvey-analytical",),
        )

    one, several = recovered(1), recovered(int(count))
    worst, told = None, "Nobody said what the pH was read with: a strip may be half a unit off."
    if ph_by:
        kind, _ = read_with(ph_by, (acidity.value - 1, acidity.value + 1), acidity.value)
        half = LIMITS_PH[kind]
        low = reckoned(
            f"pH where the {ph_by} reads {half:g} too high", shown_ph, unit="",
            inputs={"ph": acidity, "instrument_error": reading(f"error of the {ph_by}", -half, "", "at its worst")},
            says="the reading less how far it may be off",
        )  # fmt: skip
        worst = recovered(int(count), distributed(low), f"in {count:g} portions, at pH {low.value:g}")
        told = f"By {ph_by} the pH may be {half:g} lower"
        told += (
            ": a strip cannot decide this, measure with a meter."
            if ph_by == "strip" and worst.value < ENOUGH_SHARE <= several.value
            else ", and that is the last figure."
        )
    return ShakingSum(
        distribution, one, several, worst, f"{_advice(base.value, acidity.value, several.value)} {told}"
    )


def _advice(pka: float, ph: float, share: float) -> str:
    if ph < pka + PH_MARGIN:
        return (
            f"At pH {ph:g} much of a base of pKa {pka:g} is charged and stays in the water: raise the pH before adding "
            "solvent, and keep every layer until a drop shows that it is empty."
        )
    if share < ENOUGH_SHARE:
        return "Another portion carries over more than a larger one would."
    return "Keep every layer until a drop shows that it is empty."
