"""What an extraction gave, from what was weighed: extract of the dry plant, ratio, recovery of the marker, spirit.

The figures are sums of weighings and results that stand in the book already; nothing is typed twice. Says nothing about
why a batch gave little.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.answers.acid_strength import share_of_g
from stillroom.answers.budget import Stated, stated
from stillroom.answers.plain_sums import less, sum_of
from stillroom.answers.still_sums import ethanol_g, part_g
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.texts.catalogue import later

PER_100_G = later("extract of 100 g dry plant")
RATIO = later("drug–extract ratio, native")
RATIO_WITH_LIQUID = later("drug–extract ratio, its liquid counted")
RECOVERY = later("marker of the plant found in the extract")
USED, BACK, NOT_BACK = later("ethanol used"), later("ethanol back"), later("ethanol not back")


@formula("dry-mass")
def dry_mass_g(mass_g: float, drying_loss_percent: float) -> float:
    """What drying would leave of a mass. [g].

    Parameters
    ----------
    mass_g : float
        As is. [g]
    drying_loss_percent : float
        [% w/w]
    """
    return mass_g * (1.0 - drying_loss_percent / 100.0)


@formula("grams-of-100-g")
def grams_of_100_g(part_g: float, whole_g: float) -> float:
    """A part in each 100 g of a whole; the share of it in per cent. [g/100 g].

    Parameters
    ----------
    part_g, whole_g : float
        [g]

    Raises
    ------
    BadEntry
        There is no whole.
    """
    return 100.0 * part_g / _above_zero(whole_g)


@formula("drug-extract-ratio")
def drug_extract_ratio(plant_mass_g: float, extract_mass_g: float) -> float:
    """Grams of plant, as it was weighed in, for each gram of extract. [1].

    Parameters
    ----------
    plant_mass_g, extract_mass_g : float
        As is. [g]

    Raises
    ------
    BadEntry
        There is no extract.
    """
    return plant_mass_g / _above_zero(extract_mass_g)


def _above_zero(mass_g: float) -> float:
    if not mass_g > 0:
        raise BadEntry("A ratio of masses needs a mass above zero", worded("{mass_g:g} g", mass_g=mass_g))
    return mass_g


@dataclass(frozen=True, slots=True)
class BatchGiven:
    """What a batch gave; each part None where the book does not tell it.

    ``plant``, ``extract``: weighed in as is, and weighed at the end with the sample set aside. [g]
    ``used``, ``back``, ``not_back``: ethanol poured; weighed back as spirit; the rest. [g]
    """

    plant: Stated
    extract: Stated
    per_100_g: Stated
    """Extract as is of 100 g of plant without its water. [g/100 g]"""
    ratio: Stated
    """By mass: native, or with the liquid that stays in the extract. [1]"""
    recovery: Stated | None = None
    """Marker in the extract over that in the plant, both assayed. [%]"""
    used: Stated | None = None
    back: Stated | None = None
    not_back: Stated | None = None

    @property
    def figures(self) -> dict[str, Stated]:
        """Those that are there by the name a program finds them by, in the order they are told."""
        every = {
            "extract_of_100_g_dry": self.per_100_g,
            "drug_extract_ratio": self.ratio,
            "recovery": self.recovery,
            "ethanol_used": self.used,
            "ethanol_back": self.back,
            "ethanol_not_back": self.not_back,
        }
        return {name: one for name, one in every.items() if one is not None}


@dataclass(frozen=True, slots=True)
class Portion:
    """Some plant that was weighed in, with what is known of it."""

    mass: Answer
    """[g]"""
    drying_loss: Answer
    """[% w/w]"""
    content: Answer | None = None
    """Of the marker, as is. [% w/w]"""


def dry_plant(portions: Mapping[str, Portion]) -> Answer:
    """Plant weighed in, without its water [g].

    Parameters
    ----------
    portions : mapping of str to Portion
        By lot.
    """
    return _sum(
        "plant without its water",
        {
            name: reckoned(
                f"{name} without its water",
                dry_mass_g,
                unit="g",
                inputs={"mass_g": one.mass, "drying_loss_percent": one.drying_loss},
                says="what drying would leave of it",
            )
            for name, one in portions.items()
        },
    )


def batch_given(
    portions: Mapping[str, Portion],
    extract: Mapping[str, Answer],
    extract_content: Answer | None = None,
    poured: Mapping[str, Answer] | None = None,
    caught: Mapping[str, Answer] | None = None,
    stays: Sequence[str] = (),
) -> BatchGiven:
    """What a batch gave, from its weighings.

    Parameters
    ----------
    portions : mapping of str to Portion
        Plant weighed in, by lot.
    extract : mapping of str to Answer
        What was weighed of the extract, the sample too. [g]
    extract_content : Answer or None
        Of the marker, as is, as the compound the plant's is expressed as. [% w/w]
    poured, caught : mapping of str to Answer, optional
        Ethanol in the spirit of each weighing; None where it is not known, empty where there was none. [g]
    stays : sequence of str
        Liquids that were poured and stay in the extract: what is native in it was not weighed by itself.

    Raises
    ------
    BadEntry
        There is no plant or no extract.
    """
    plant = _sum("plant weighed in", {name: one.mass for name, one in portions.items()})
    made = _sum("extract weighed", extract)
    dry = dry_plant(portions)
    per_100_g = reckoned(
        PER_100_G,
        grams_of_100_g,
        unit="g/100 g",
        inputs={"part_g": made, "whole_g": dry},
        basis="extract as is, of plant without its water",
        says="extract weighed, the sample too, over the plant weighed in less its loss on drying",
    )
    ratio = reckoned(
        RATIO_WITH_LIQUID if stays else RATIO,
        drug_extract_ratio,
        unit="g/g",
        inputs={"plant_mass_g": plant, "extract_mass_g": made},
        basis="plant as is for extract as is",
        says=f"plant weighed in over extract weighed, with the {' and '.join(stays)} that stays in it; "
        "how much of it is native was not weighed"
        if stays
        else "plant weighed in over extract weighed; nothing is added to it",
    )
    used = _sum(USED, poured) if poured else None
    back = _sum(BACK, caught) if used is not None and caught is not None else None
    not_back = None
    if used is not None and back is not None:
        not_back = reckoned(
            NOT_BACK,
            less,
            unit="g",
            inputs={"from_this": used, "this": back},
            says="in the marc, in the extract, in the waste, and in the air",
        )
    return BatchGiven(
        stated(plant),
        stated(made),
        stated(per_100_g),
        stated(ratio),
        _recovery(portions, made, extract_content),
        *(None if one is None else stated(one) for one in (used, back, not_back)),
    )


def _recovery(portions: Mapping[str, Portion], made: Answer, content: Answer | None) -> Stated | None:
    contents = {name: one.content for name, one in portions.items() if one.content is not None}
    if content is None or len(contents) < len(portions):
        return None
    in_plant = _sum(
        "marker in the plant",
        {name: _held(f"marker in {name}", portions[name].mass, one) for name, one in contents.items()},
    )
    answer = reckoned(
        RECOVERY,
        grams_of_100_g,
        unit="%",
        inputs={"part_g": _held("marker in the extract", made, content), "whole_g": in_plant},
        basis="of the marker in the plant, both as the same compound",
        says="extract weighed by its assay, over plant weighed in by its assay",
    )
    return stated(answer)


def ethanol_in(name: str, mass: Answer, known: Answer) -> Answer:
    """Ethanol in a mass of spirit, by its strength or by a share of its mass. [g].

    Parameters
    ----------
    name : str
        What it is in.
    mass : Answer
        [g]
    known : Answer
        Strength [% v/v at 20 °C], or ethanol by mass [g/g].
    """
    by_volume = known.unit == "%"
    inputs = {"mass_g": mass, "volume_percent_20c": known} if by_volume else {"whole_g": mass, "share": known}
    return reckoned(f"ethanol in {name}", ethanol_g if by_volume else part_g, unit="g", inputs=inputs)


def _held(name: str, mass: Answer, content: Answer) -> Answer:
    return reckoned(name, share_of_g, unit="g", inputs={"mass_g": mass, "percent": content})


def _sum(name: str, parts: Mapping[str, Answer]) -> Answer:
    return reckoned(name, sum_of, unit="g", inputs=parts, says="the sum of its weighings")
