"""Care with a reagent: what it is chosen for, how safe it is beside others, whose tick it needs, what to weigh.

Promises the safest first for one purpose, and the words of the tables. The ranks are a judgement of common practice.
"""

from dataclasses import dataclass

from stillroom.evidence.answer import Answer, published, reckoned
from stillroom.evidence.formulas import formula
from stillroom.reference.tables import row, table
from stillroom.substances.acids import bottle, name_and_rest
from stillroom.substances.reagents import reagent_key
from stillroom.substances.spirit_strengths import strength_in_name, volume_percent_20c_of
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction

CARE, STATEMENTS, LIQUIDS, CONDENSED = "reagent_care", "hazard_statements", "reagent_liquids", "liquids"


@dataclass(frozen=True, slots=True)
class Care:
    """What to mind about a reagent."""

    reagent: str
    purpose: str
    rank: float
    """From 1, the safest for one purpose, to 5."""
    tick: str
    """Why the responsible person has to tick it; "" where nobody has to."""
    safer: str
    """Key of a safer test; "" where none is named."""
    waste: str
    """Jar the waste goes to."""
    permit: str
    """Why a permit may be needed; "" where none is usual."""
    needs: tuple[str, ...]
    """What the test takes beside, or in place of, a mixture."""
    opened_days: int = 0
    """Life once opened; 0 where none is stated. [d]"""
    cautions: tuple[str, ...] = ()
    """Keys of the cautions at the moment the test is done."""


@dataclass(frozen=True, slots=True)
class Statement:
    """A hazard statement with its words and the signal word that usually goes with it."""

    statement: str
    wording: str
    signal: str


def is_reagent(name: str) -> bool:
    """Whether a name is that of a reagent of the table.

    Parameters
    ----------
    name : str
        As a lot has it. [text]
    """
    key = reagent_key(name)
    return any(one.key == key for one in table(CARE).rows)


def care_of(reagent: str) -> Care:
    """What to mind about one reagent.

    Parameters
    ----------
    reagent : str
        Key of the table ``reagents``. [text]

    Raises
    ------
    UnknownName
        It is not listed; the nearest names are offered.
    """
    found = row(CARE, reagent_key(reagent) or reagent)
    needs = tuple(one.strip() for one in found.words("needs").split(";") if one.strip())
    return Care(
        found.key,
        found.words("purpose"),
        found.number("safety_rank"),
        found.words("tick"),
        found.words("safer"),
        found.words("waste"),
        found.words("permit"),
        needs,
        0 if found["opened_days"] is None else int(found.number("opened_days")),
        tuple(one.strip() for one in found.words("cautions").split(";") if one.strip()),
    )


def safest_first() -> tuple[tuple[str, tuple[Care, ...]], ...]:
    """Every purpose with its tests, the safest first.

    Returns
    -------
    tuple of (str, tuple of Care)
        In the order of the table. [records]
    """
    found: dict[str, list[Care]] = {}
    for one in table(CARE).rows:
        care = care_of(one.key)
        found.setdefault(care.purpose, []).append(care)
    return tuple(
        (purpose, tuple(sorted(tests, key=lambda one: one.rank))) for purpose, tests in found.items()
    )


def warm_life(reagent: str) -> tuple[float, int] | None:
    """From which room temperature a reagent keeps shorter, and how long then.

    Parameters
    ----------
    reagent : str
        Key of the table ``reagents``. [text]

    Returns
    -------
    (float, int) or None
        Room temperature [°C] and life [d]; None where the table has no such rule.
    """
    found = row(CARE, reagent)
    if found["warm_from_c"] is None:
        return None
    return found.number("warm_from_c"), int(found.number("warm_life_days"))


def statements(text: str) -> tuple[Statement, ...]:
    """The hazard statements a text names, in its order.

    Parameters
    ----------
    text : str
        "H226 H314". [text]

    Raises
    ------
    UnknownName
        One of them is not listed.
    """
    rows = (row(STATEMENTS, one) for one in dict.fromkeys(text.split()))
    return tuple(Statement(one.key, one.words("wording"), one.words("signal")) for one in rows)


def signal_of(found: tuple[Statement, ...]) -> str:
    """The stronger of the signal words, "" where there is none.

    Parameters
    ----------
    found : tuple of Statement
        Of one bottle. [records]
    """
    words = {one.signal for one in found}
    return "Danger" if "Danger" in words else "Warning" if words else ""


def density_of_liquid(substance: str) -> Answer | None:
    """Density of a liquid that is measured or weighed for a reagent.

    Parameters
    ----------
    substance : str
        "acetic acid 99.5 %", "spirit 96 %", "methanol", "purified water". [text]

    Returns
    -------
    Answer or None
        At 20 °C; None where no table here knows it. [g/mL]
    """
    strength = substance.removesuffix(" %").rpartition(" ")[2]
    if substance.startswith("spirit ") and (said := strength_in_name(substance)) is not None:
        by_volume = volume_percent_20c_of(said)
        label = published(
            "strength of the spirit", by_volume, "% v/v", "its label", sources=("common-practice",)
        )
        return reckoned(
            f"density of {substance}",
            spirit_density_g_ml,
            unit="g/mL",
            basis="at 20 °C",
            inputs={"ethanol_volume_percent": label},
            sources=("oiml-r22-1975",),
        )
    if substance.startswith("purified water"):
        return _of(CONDENSED, "water")
    for listed in (CONDENSED, LIQUIDS):
        known = {one.key for one in table(listed).rows if one["density_20c_g_ml"] is not None}
        if substance in known:
            return _of(listed, substance)
    if substance.endswith(" %"):
        solute, _ = name_and_rest(substance)
        found = bottle(solute, float(strength))
        if found is not None and found["density_g_ml"] is not None:
            return published(
                f"density of {substance}",
                found.number("density_g_ml"),
                "g/mL",
                f"commercial_reagents, {found.key}",
                sources=(found.words("source"),),
                basis="at 20 °C",
            )
    return None


@formula("spirit-density")
def spirit_density_g_ml(ethanol_volume_percent: float) -> float:
    """Density of spirit at 20 °C.

    Parameters
    ----------
    ethanol_volume_percent : float
        Strength at 20 °C. [% v/v]

    Returns
    -------
    float
        Density. [g/mL]

    References
    ----------
    oiml-r22-1975
    """
    share = spirit_mass_fraction(ethanol_volume_percent / 100.0)
    return float(spirit_density_kg_m3(share, 20.0)) / 1000.0


def _of(listed: str, key: str) -> Answer:
    found = row(listed, key)
    return published(
        f"density of {key}",
        found.number("density_20c_g_ml"),
        "g/mL",
        f"{listed}, {key}",
        sources=(found.words("source"),),
        basis="at 20 °C",
    )
