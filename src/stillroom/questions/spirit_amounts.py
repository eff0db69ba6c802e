"""How strong a mixture is wanted, and how much: of it, of the spirit at hand, or up to the mark of a vessel.

Promises a mass or a volume with its reason, whichever of the two was said; volumes are those at the temperature of the
liquid.
"""

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from stillroom.answers.spirit_percent import spirit_mass_g, spirit_volume_ml
from stillroom.answers.spirit_stated import wanted_strength
from stillroom.asking.readers import ASKED
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.quantities.entry import entry
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.strength_words import read_strength
from stillroom.questions.spirit_at_hand import refuse_another_alcohol
from stillroom.science.liquids.vessels import volume_at_mark_ml

How: TypeAlias = Literal["wanted", "at hand", "to the mark"]


def wanted_in(text: str, where: str) -> Answer:
    """The strength wanted, by volume at 20 °C whichever way it was said [% v/v]."""
    refuse_another_alcohol(text, where)
    strength = read_strength(text, bare_ratio="v/v", where=where)
    if not strength.is_stated or strength.standard_uncertainty is not None:
        raise BadEntry(
            "A strength that is wanted is stated by volume or by mass, with no doubt",
            repr(strength.as_written[:40]), 'Write "70 % v/v"', where=where,
        )  # fmt: skip
    return wanted_strength(strength)


def want_words(want: Answer) -> str:
    """The strength wanted in words, by mass too where it was said so."""
    by_volume = f"{want.value:.4g} % v/v"
    return f"{want.says} ({by_volume})" if want.inputs else by_volume


@dataclass(frozen=True, slots=True)
class Amount:
    """So much, as it was said."""

    written: Quantity
    """A volume or a mass."""
    how: How

    @property
    def words(self) -> str:
        """The figure and its unit, as written."""
        return f"{self.written.number} {self.written.unit}"

    def of(self, strength: Answer, temperature: Answer, expansion: Answer | None = None) -> Answer:
        """A volume of what is wanted, a mass of what is at hand.

        Parameters
        ----------
        strength, temperature : Answer
            Of the liquid it is an amount of. [% v/v at 20 °C, °C]
        expansion : Answer or None
            Of the vessel that is filled to its mark. [1/K]

        Returns
        -------
        Answer
            [mL wanted, g at hand]
        """
        inputs = {"volume_percent_20c": strength, "temperature_c": temperature}
        at_hand, by_mass = self.how == "at hand", self.written.dimension == "mass"
        name = "spirit at hand" if at_hand else "mixture wanted"
        symbol = "g" if by_mass else "mL"
        said = reading(name, self.written.in_unit(symbol), symbol, ASKED)
        if self.how == "to the mark" and expansion is not None:
            return reckoned(
                name, volume_at_mark_ml, unit="mL",
                inputs={
                    "mark_ml": replace(said, name="mark of the vessel"), "temperature_c": temperature,
                    "vessel_expansion_per_k": expansion,
                },
                says="what a vessel marked at 20 °C holds at this temperature", sources=("iso-4787",),
            )  # fmt: skip
        if at_hand == by_mass:
            return said
        if by_mass:
            return reckoned(
                f"{name}, by volume", spirit_volume_ml, unit="mL", inputs={"mass_g": said, **inputs},
                says="its mass over its density",
            )  # fmt: skip
        return reckoned(
            f"{name}, by mass", spirit_mass_g, unit="g", inputs={"volume_ml": said, **inputs},
            says="its volume times its density",
        )  # fmt: skip


def amount_in(text: str, where: str, *, how: How = "at hand", unit: str = "") -> Amount:
    """An amount of a liquid.

    Parameters
    ----------
    text : str
        "5 L", "4.4 kg"; a bare figure where ``unit`` is printed beside it. [text]
    where : str
        The entry. [text]
    how : {"wanted", "at hand", "to the mark"}
        What it is an amount of; a mark is a volume. [text]
    unit : str
        [text]
    """
    refuse_another_alcohol(text, where)
    taken = ("volume",) if how == "to the mark" else ("volume", "mass")
    return Amount(entry(text, unit, want=taken, where=where), how)


def how_in(text: str, where: str) -> tuple[How, str]:
    """What an amount is of, and the unit printed beside it: "L wanted"."""
    hows: tuple[How, ...] = ("wanted", "at hand", "to the mark")
    for how in hows:
        if text.endswith(how):
            return how, text.removesuffix(how).strip()
    raise BadEntry(
        worded("An amount is {ways}", ways=" or ".join(f'"{one}"' for one in hows)),
        repr(text[:40]), "Choose one", where=where,
    )  # fmt: skip
