"""Sums done at the bench before anything is written: diluting spirit, shaking out. They need no book."""

from dataclasses import dataclass

from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.science.extraction.partition import distribution_ratio_of_base, share_recovered
from stillroom.substances.spirits import SPIRIT_SOURCES, spirit_to_volume

ASKED = "as asked at the bench"
ENOUGH_SHARE = 0.98
PH_MARGIN = 1.0


@dataclass(frozen=True, slots=True)
class DilutionSum:
    """A dilution worked out: masses first, then volumes, then what adding volumes would have given."""

    stock: Answer
    water: Answer
    stock_volume: Answer
    water_volume: Answer
    contraction: Answer
    naive_strength: Answer
    naive_volume: Answer

    @property
    def answers(self) -> tuple[Answer, ...]:
        """All of them in the order they are told."""
        return (
            self.stock,
            self.water,
            self.stock_volume,
            self.water_volume,
            self.contraction,
            self.naive_strength,
            self.naive_volume,
        )


@dataclass(frozen=True, slots=True)
class ShakingSum:
    """What shaking out a base recovers, in one portion and in several, and what to do about it."""

    distribution: Answer
    one_portion: Answer
    several_portions: Answer
    advice: str


def work_out_dilution(have: str, want: str, volume: str, temperature: str) -> DilutionSum:
    """Spirit and water for a wanted volume, by mass.

    Parameters
    ----------
    have, want : str
        Strengths by volume: "96.0 % v/v", "70.0 % v/v".
    volume : str
        What is wanted, at the temperature of the liquids: "5.000 L".
    temperature : str
        Of spirit, water and mixture: "20 °C". It is asked, never filled in.

    Raises
    ------
    BadEntry
        A strength is not by volume, or more is wanted than the stock holds.
    OutsideModel
        A figure lies outside the density table.
    """
    inputs = {
        "have_volume_fraction_20c": _strength("strength at hand", have),
        "want_volume_fraction_20c": _strength("strength wanted", want),
        "volume_ml": reading(
            "volume wanted",
            parse(volume, want="volume", zero_allowed=False, where="volume").in_unit("mL"),
            "mL",
            ASKED,
        ),
        "temperature_c": reading(
            "temperature",
            parse(temperature, want="temperature", negative_allowed=True, where="temperature").in_unit("°C"),
            "°C",
            ASKED,
        ),
    }

    def answer(name: str, pick: str, unit: str, says: str, basis: str = "") -> Answer:
        return reckoned(
            name,
            spirit_to_volume,
            unit=unit,
            inputs=inputs,
            pick=pick,
            says=says,
            basis=basis,
            sources=SPIRIT_SOURCES,
        )

    return DilutionSum(
        answer(
            "spirit to weigh",
            "stock_mass_g",
            "g",
            "ethanol in the mixture over ethanol in a gram of the spirit",
        ),
        answer("water to weigh", "water_mass_g", "g", "what the mixture weighs, less the spirit"),
        answer("spirit by volume", "stock_volume_ml", "mL", "its mass over its density at that temperature"),
        answer("water by volume", "water_volume_ml", "mL", "its mass over its density at that temperature"),
        answer("contraction", "contraction_ml", "mL", "volumes going in, less the volume of the mixture"),
        answer(
            "adding volumes would give",
            "naive_volume_fraction_20c",
            "",
            "the tempting answer: strengths times volumes",
            "as a share by volume at 20 °C",
        ),
        answer("adding volumes would fill", "naive_volume_ml", "mL", "and its volume"),
    )


def work_out_shaking(
    pka: str, partition_ratio: str, ph: str, water: str, solvent: str, portions: str
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
    distribution = reckoned(
        "distribution ratio",
        distribution_ratio_of_base,
        unit="",
        inputs={"partition_ratio": ratio, "pka": base, "ph": acidity},
        says="only the uncharged part of the base goes into the solvent",
        sources=("harvey-analytical",),
    )
    water_ml = reading(
        "water", parse(water, want="volume", zero_allowed=False, where="water").in_unit("mL"), "mL", ASKED
    )
    solvent_ml = parse(solvent, want="volume", zero_allowed=False, where="solvent").in_unit("mL")

    def recovered(shakes: int) -> Answer:
        name = "all at once" if shakes == 1 else f"in {shakes} portions"
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
    return ShakingSum(distribution, one, several, _advice(base.value, acidity.value, several.value))


def _advice(pka: float, ph: float, share: float) -> str:
    if ph < pka + PH_MARGIN:
        return (
            f"At pH {ph:g} much of a base of pKa {pka:g} is charged and stays in the water: raise the pH before adding "
            "solvent, and keep every layer until a drop shows that it is empty."
        )
    if share < ENOUGH_SHARE:
        return "Another portion carries over more than a larger one would."
    return "Keep every layer until a drop shows that it is empty."


def _strength(name: str, text: str) -> Answer:
    quantity = parse(text, want="ratio", where=name)
    if quantity.basis is None or quantity.basis.ratio != "v/v":
        raise BadEntry(
            "A strength of spirit is written by volume",
            text,
            'Write "70.0 % v/v", or turn w/w into v/v first',
            where=name,
        )
    fraction = quantity.fraction
    if not 0 < fraction <= 1:
        raise BadEntry("A strength lies between 0 and 100 %", text, where=name)
    return reading(name, fraction, "", ASKED, basis="share by volume at 20 °C")
