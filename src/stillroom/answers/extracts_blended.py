"""Extract lots blended to a strength: the masses to weigh, and how strong the blend is with the doubt of its lots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.answers.budget import Stated, stated
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.extraction.adjusting import blend_masses, most_of_blend_g, total_drug_extract_ratio

STRENGTH, HELD, WEIGHED = "strength of ", "at hand of ", "weighed of "
LEAST_G = 1e-9


@dataclass(frozen=True, slots=True)
class LotAtHand:
    """An extract that may go into the blend.

    ``strength``, ``at_hand``: [% w/w, g]
    """

    code: str
    strength: Answer
    at_hand: Answer


@dataclass(frozen=True, slots=True)
class Blended:
    """A blend worked out."""

    lots: tuple[str, ...]
    weigh: tuple[Answer, ...]
    """Lots that are used, and the mass of each. [g]"""
    strength: Stated
    """Of the blend. [% w/w]"""
    carrier_share: float
    """Of it that is carrier. [1]"""
    ratio: Answer | None = None
    """Drug–extract ratio of the whole, where that of the native extract is known. [g/g]"""


def _columns(inputs: Mapping[str, tuple[float, float]], start: str) -> list[float]:
    return [value for name, (value, _) in inputs.items() if name.startswith(start)]


@formula("blend-of-extracts", takes_named_inputs=True)
def blend_mass_of(inputs: Mapping[str, tuple[float, float]], place: int) -> float:
    """Mass of one extract in a blend. [g].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        "strength of …" [% w/w] and "at hand of …" [g] of each in their order, "wanted" [% w/w], "amount" [g].
    place : int
        Which of them, from 0. [1]
    """
    wanted, amount = inputs["wanted"][0], inputs["amount"][0]
    return float(blend_masses(_columns(inputs, STRENGTH), _columns(inputs, HELD), wanted, amount)[place])


@formula("strength-of-blended-extracts", takes_named_inputs=True)
def strength_of_blend(inputs: Mapping[str, tuple[float, float]]) -> float:
    """Strength of extracts that were weighed together. [% w/w].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        "strength of …" [% w/w] and "weighed of …" [g] of each, in the same order.
    """
    grams = _columns(inputs, WEIGHED)
    return sum(a * g for a, g in zip(_columns(inputs, STRENGTH), grams, strict=True)) / sum(grams)


def blended(
    lots: Sequence[LotAtHand],
    wanted: Answer,
    amount: Answer | None,
    carrier: str = "",
    native: Answer | None = None,
) -> Blended:
    """Which lots and how much of each.

    Parameters
    ----------
    lots : sequence of LotAtHand
        In the order in which they are to be used.
    wanted : Answer
        [% w/w]
    amount : Answer or None
        As much as they make where None. [g]
    carrier : str
        Code of what is no extract among them.
    native : Answer or None
        Drug–extract ratio of the native extracts. [g/g]

    Raises
    ------
    StillroomError
        As ``blend_masses``.
    """
    strengths, held = [one.strength.value for one in lots], [one.at_hand.value for one in lots]
    if amount is None:
        most_g = most_of_blend_g(strengths, held, wanted.value)
        amount = reading("amount", max(most_g * (1.0 - 1e-9), LEAST_G), "g", "as much as they make")
    inputs = {
        **{f"{STRENGTH}{one.code}": one.strength for one in lots},
        **{f"{HELD}{one.code}": one.at_hand for one in lots},
        "wanted": wanted,
        "amount": amount,
    }
    masses = [
        reckoned(
            f"weigh of {one.code}", blend_mass_of, unit="g", inputs=inputs, fixed={"place": place},
            says="the first lots as far as the strength allows",
        )
        for place, one in enumerate(lots)
    ]  # fmt: skip
    used = [(one, mass) for one, mass in zip(lots, masses, strict=True) if mass.value > LEAST_G]
    weighed = {f"{STRENGTH}{one.code}": one.strength for one, _ in used}
    weighed |= {
        f"{WEIGHED}{one.code}": reading(f"{WEIGHED}{one.code}", mass.value, "g", "as it is to be weighed")
        for one, mass in used
    }
    strength = stated(
        reckoned(
            "strength of the blend", strength_of_blend, unit="%", basis="w/w", inputs=weighed,
            says="each lot's strength by its mass; doubts that were said are taken as independent",
        )
    )  # fmt: skip
    whole = sum(mass.value for _, mass in used)
    other = sum(mass.value for one, mass in used if one.code == carrier) / whole
    ratio = None
    if native is not None:
        share = reading("share of carrier", other, "", "of the masses above")
        ratio = reckoned(
            "drug–extract ratio, total", total_ratio, unit="g/g", inputs={"native_ratio": native, "other_share": share},
            says="native ratio times the share that is native extract",
        )  # fmt: skip
    return Blended(
        tuple(one.code for one, _ in used), tuple(mass for _, mass in used), strength, other, ratio
    )


@formula("total-drug-extract-ratio")
def total_ratio(native_ratio: float, other_share: float) -> float:
    """Drug–extract ratio with what is no native extract counted too. [g/g].

    Parameters
    ----------
    native_ratio : float
        [g/g]
    other_share : float
        [1]
    """
    return total_drug_extract_ratio(native_ratio, other_share)
