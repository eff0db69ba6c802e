"""What a condenser takes back, as published: boiling point, latent heat and density at the boil.

Promises the figure of the table. A mixture is taken as its most volatile part, which is the careful side for cooling.
"""

from dataclasses import dataclass

from stillroom.errors import UnknownName
from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row, table

TABLE = "condensed_liquids"
LIQUIDS = "liquids"
ALIKE = 0.85
"""So alike is an error of spelling; chloroform and dichloromethane are not."""
ANTOINE = "antoine-constants"
OTHER_NAMES = {
    "spirit": "ethanol",
    "alcohol": "ethanol",
    "ether": "diethyl ether",
    "isopropanol": "isopropyl alcohol",
    "methylene chloride": "dichloromethane",
}


@dataclass(frozen=True, slots=True)
class Condensed:
    """A liquid that boils in a flask.

    ``density``, ``density_20c``: of the liquid at its boiling point, and at 20 °C. [g/mL]
    """

    name: str
    flammable: bool
    boiling: Answer
    """At 101.325 kPa. [°C]"""
    latent_heat: Answer
    """[kJ/kg]"""
    density: Answer
    density_20c: Answer
    antoine: tuple[Answer, Answer, Answer]
    """Constants of its vapour pressure, of the decimal logarithm in mmHg and °C. [1, °C, °C]"""


def condensed(name: str) -> Condensed:
    """A liquid by its name.

    Parameters
    ----------
    name : str
        "ethanol", "spirit", "acetone". [text]

    Returns
    -------
    Condensed
        Its published figures. [record]

    Raises
    ------
    UnknownName
        It is not listed; the nearest names are offered.
    """
    words = " ".join(name.casefold().split())
    key = OTHER_NAMES.get(words, words)
    known = {one.key for one in table(TABLE).rows}
    if key not in known:
        raise UnknownName.among(
            words, "a liquid whose boiling point is", known | set(OTHER_NAMES), near=ALIKE
        )
    found = row(TABLE, key)

    def figure(column: str, what: str, unit: str, source: str = "") -> Answer:
        return published(
            f"{what} of {key}",
            found.number(column),
            unit,
            f"{TABLE}, {key}",
            sources=(source or found.words("source"),),
        )

    return Condensed(
        key,
        found.words("flammable") == "yes",
        figure("boiling_point_c", "boiling point", "°C"),
        figure("latent_heat_kj_kg", "latent heat", "kJ/kg"),
        figure("density_at_boiling_g_ml", "density at the boil", "g/mL"),
        _density_20c(key, found),
        (
            figure("antoine_a", "first constant of Antoine", "1", ANTOINE),
            figure("antoine_b", "second constant of Antoine", "°C", ANTOINE),
            figure("antoine_c", "third constant of Antoine", "°C", ANTOINE),
        ),
    )


def _density_20c(key: str, found: Row) -> Answer:
    """From the table of liquids, or its own row where that has none."""
    where, one = (TABLE, found) if found["density_20c_g_ml"] is not None else (LIQUIDS, row(LIQUIDS, key))
    return published(
        f"density of {key} at 20 °C", one.number("density_20c_g_ml"), "g/mL", f"{where}, {key}",
        sources=(one.words("source"),),
    )  # fmt: skip
