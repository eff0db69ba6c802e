"""A bottle of acid, alkali or salt and the strength wanted of it, read as a person writes them.

Promises one sentence at its field for what cannot be read. A percentage that could mean several things is given back
with all of its meanings; none is chosen here.
"""

import re
from dataclasses import dataclass, replace

from stillroom.answers import acid_strength
from stillroom.answers.acid_meanings import Bottle, Meaning
from stillroom.answers.acid_stated import printed_density, refuse_disagreeing
from stillroom.answers.budget import measured
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, published, reading, reckoned
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry, nothing_but, step_of, sureness_of
from stillroom.quantities.fractions import mass_fraction, percent_with_ratio
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.uncertainty_words import Sureness
from stillroom.substances.acids import (
    BOTTLES,
    DENSITIES,
    SOLID_WORDS,
    acid_or_alkali,
    bottle,
    bottles,
    name_and_rest,
)
from stillroom.substances.normality import in_moles
from stillroom.texts.catalogue import later

ASKED = "as asked"
BASES: dict[str, str] = {
    "w/w": later("w/w, by mass"),
    "w/v": later("w/v, grams in 100 mL"),
    "v/v": later("v/v, of the bottle's liquid"),
    "label": later("the label's figure diluted by volume"),
}
MEANINGS: tuple[Meaning, ...] = ("w/w", "w/v", "v/v", "label")
OF_PARTS: dict[str, Meaning] = {"v/v": "v/v", "w/v": "bottle w/v", "w/w": "bottle w/w"}
LABEL_DOUBT, TITRATION_DOUBT = "strength on the label", "strength by titration"
LABEL_LIMITS_PERCENT = 1.0
TITRATION_SHARE = 0.005
ROOT_3 = 3.0**0.5
AT_THE_END_G_ML = 0.005
"""Doubt of a density where the printed rows end within the doubt of the label."""
_IN = re.compile(r"\s*[\d.,]+\s*in\s*[\d.,]+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Named:
    """A bottle by its label."""

    text: str
    """As it was written."""
    solute: str
    """Key of ``acid_solutes``."""
    solid: bool
    """Whether it says pellets, or another word for a solid."""
    label: Quantity | None
    """Strength on it. [% w/w]"""


def named_in(text: str, where: str) -> Named:
    """What a label says: "hydrochloric acid 37 %", "sodium hydroxide pellets".

    Raises
    ------
    BadEntry
        Its strength is not by mass, or it is sold as a solution only.
    UnknownName
        No such acid, alkali or salt.
    """
    solute, rest = name_and_rest(text)
    words = rest.split()
    left = " ".join(word for word in words if word.casefold() not in SOLID_WORDS)
    named = Named(text, solute, len(left) < len(rest), _on_label(left, where) if left else None)
    if named.solid and bottle(solute, None) is None:
        must = worded("{solute} is sold here as a solution", solute=solute.capitalize())
        raise BadEntry(must, text, _choices(solute), where=where)
    return named


def titre_in(text: str, where: str, of: str = "") -> Quantity:
    """Strength of a bottle by titration, "12.05 mol/L", perhaps with its ±. [mol/L]."""
    found = entry(in_moles(text, of, where=where), "mol/L", sure_allowed=True, where=where)
    return replace(found, as_written=text)


def density_in(text: str, where: str) -> Quantity:
    """Density of a bottle at 20 °C. [g/mL].

    Raises
    ------
    BadEntry
        No bottle has it.
    """
    found = entry(text, "g/mL", where=where)
    if not 0.8 < found.in_unit("g/mL") < 2.0:
        raise BadEntry(
            "A bottle's density lies between 0.8 and 2 g/mL", repr(text[:40]), "Read it again", where=where
        )
    return found


def want_in(text: str, where: str, of: str = "") -> Quantity:
    """A strength wanted of a substance, whatever it may mean. [% or mol/L].

    Raises
    ------
    BadEntry
        It is none, or at another temperature than the printed densities.
    """
    moles = in_moles(text, of, where=where)
    found = entry(moles, "%", want=("ratio", "concentration"), basis_required=False, where=where)
    at_c = found.basis.reference_temperature_c
    if at_c is not None and abs(at_c - 20.0) > 0.01:
        raise BadEntry(
            "The densities of acids are printed at 20 °C", repr(text[:40]), "Say it at 20 °C, or by mass", where=where
        )  # fmt: skip
    return replace(found, as_written=text)


def bottle_of(
    named: Named,
    *,
    label_sure: Sureness | None = None,
    titre: Quantity | None = None,
    titre_sure: Sureness | None = None,
    density: Quantity | None = None,
) -> Bottle:
    """What is at hand, with its strength, its doubt and its density.

    Parameters
    ----------
    named : Named
        By its label. [record]
    label_sure, titre_sure : Sureness or None
        How far they may be off, where it was said beside them. [% w/w, mol/L]
    titre, density : Quantity or None
        Where they were said. [mol/L, g/mL]

    Raises
    ------
    BadEntry
        A strength is missing, or the density of a bottle no table reaches, or two statements disagree.
    """
    solute, of = named.solute, acid_or_alkali(named.solute)
    sold = bottle(solute, None) if named.solid or (named.label is None and titre is None) else None
    if sold is not None:
        for field, said in (("titrated", titre), ("density", density)):
            if said is not None:
                raise BadEntry(
                    "A solid has neither a strength by titration nor a density here",
                    said.as_written,
                    "Leave it out, or say which solution it is of",
                    where=field,
                )
        usual = named.label or Quantity(sold.number("strength_percent"), "%", Basis(ratio="w/w"))
        return Bottle(of, _label(usual, label_sure, sold.number("strength_limits_percent")), None)
    label = None
    if named.label is not None:
        percent = 100.0 * mass_fraction(named.label)
        row = bottle(solute, percent)
        limits = row.number("strength_limits_percent") if row else LABEL_LIMITS_PERCENT
        label = _label(named.label, label_sure, min(limits, percent / 2.0))
    titrated = _titrated(titre, titre_sure, solute, of.molar_mass) if titre is not None else None
    strength = titrated or label
    if strength is None:
        raise BadEntry("The strength of the bottle is needed", named.text, _choices(solute), where="of")
    weighs = _printed(solute, strength) if density is None else _weighed(density)
    refuse_disagreeing(solute, label, titrated, None if density is None else weighs)
    return Bottle(of, strength, weighs)


def meant_by(want: Quantity, basis: str, at: Bottle) -> tuple[Answer, tuple[Meaning, ...]]:
    """The strength wanted, and what it may mean.

    Parameters
    ----------
    want : Quantity
        As it was read. [% or mol/L]
    basis : str
        Key of ``BASES``; "" where nobody said. [text]
    at : Bottle
        What is at hand. [record]

    Raises
    ------
    BadEntry
        It is of something else, says two bases, or one that a solid does not have.
    """
    nothing_but(want, (at.of.solute.casefold(),), where="want")
    if want.dimension == "concentration":
        if basis:
            raise BadEntry(
                "A strength in mol/L has no other basis", repr(basis), "Leave the basis out", where="basis"
            )
        return reading("strength wanted", want.in_unit("mol/L"), "mol/L", ASKED), ("mol/L",)
    percent, ratio = percent_with_ratio(want)
    found = reading("strength wanted", percent, "%", ASKED, basis=ratio or basis)
    if ratio == "v/w" or (ratio and basis and ratio != basis):
        raise BadEntry(
            "A strength has one basis",
            worded("{text} beside {told}", text=want.as_written, told=basis or ratio),
            "Leave one out",
            where="want",
        )
    said, solid = ratio or basis, at.density is None
    if _IN.match(want.as_written) and not solid:
        if said == "label":
            raise BadEntry(
                "1 in 20 is v/v, w/v or w/w of the bottle's liquid", repr(basis), "Choose one", where="basis"
            )
        return found, (OF_PARTS[said],) if said else tuple(OF_PARTS.values())
    if solid and said in ("v/v", "label"):
        raise BadEntry("A solid has no share by volume", repr(said), "Say w/w, w/v or mol/L", where="want")
    every = MEANINGS[:2] if solid else MEANINGS
    return found, tuple(one for one in every if not said or one == said)


def _choices(solute: str) -> str:
    sold = ", ".join(one.key for one in bottles(solute))
    return f"Read the label. Sold as: {sold}" if sold else "Read the label"


def _on_label(text: str, where: str) -> Quantity:
    found = entry(text, "%", by_definition=Basis(ratio="w/w"), sure_allowed=True, where=where)
    if found.basis.ratio != "w/w":
        raise BadEntry(
            "The label of an acid is w/w", repr(text[:40]), "Write it as % w/w, or titrate it", where=where
        )
    nothing_but(found, (), where=where)
    return found


def _label(label: Quantity, beside: Sureness | None, limits: float) -> Answer:
    percent = 100.0 * mass_fraction(label)
    sure = beside or sureness_of(label, "", "%", where="of")
    if sure.half_width:
        return reading(
            LABEL_DOUBT, percent, "%", _said_so(sure), standard_uncertainty=sure.half_width / 2.0, basis="w/w",
            shape="rectangular" if sure.within_limits else "",
        )  # fmt: skip
    return assumed(
        LABEL_DOUBT, percent, "%",
        f"the label, taken to be right within {limits:g} % w/w either way: common practice, no source",
        standard_uncertainty=limits / ROOT_3, basis="w/w", shape="rectangular",
    )  # fmt: skip


def _said_so(sure: Sureness) -> str:
    return f"{ASKED}, a tolerance" if sure.within_limits else f"{ASKED}, k = 2"


def _titrated(titre: Quantity, beside: Sureness | None, solute: str, molar_mass: Answer) -> Answer:
    value = titre.in_unit("mol/L")
    sure = beside or sureness_of(titre, "", "mol/L", where="titrated")
    if sure.half_width:
        leaf = reading(
            TITRATION_DOUBT, value, "mol/L", _said_so(sure), standard_uncertainty=sure.half_width / 2.0,
            shape="rectangular" if sure.within_limits else "",
        )  # fmt: skip
    else:
        leaf = assumed(
            TITRATION_DOUBT, value, "mol/L",
            "titrated, taken to be right within half a per cent of it (k = 2): common practice, no source",
            standard_uncertainty=value * TITRATION_SHARE / 2.0,
        )  # fmt: skip
    try:
        return measured(
            reckoned(
                "strength of the bottle", acid_strength.mass_percent_from_moles, unit="%", basis="w/w",
                inputs={"stock_mol_l": leaf, "molar_mass_g_mol": molar_mass}, fixed={"solute": solute},
                says="the strength by mass at which the printed density gives those moles in a litre",
                sources=("crc-102",),
            )
        )  # fmt: skip
    except StillroomError as error:
        raise error.at("titrated") from error


def _weighed(density: Quantity) -> Answer:
    return reading(
        "density of the bottle", density.in_unit("g/mL"), "g/mL", f"{ASKED}, doubted by its last figure",
        standard_uncertainty=step_of(density, "g/mL") / 12.0**0.5, basis="at 20 °C",
    )  # fmt: skip


def _printed(solute: str, strength: Answer) -> Answer:
    """The density that is printed at that strength, or on the bottle as it is sold."""
    name, percent, reach = (
        "density of the bottle",
        strength.value,
        2.0 * (strength.standard_uncertainty or 0.0),
    )
    if all(printed_density(solute, one) is not None for one in (percent - reach, percent + reach)):
        return reckoned(
            name, acid_strength.density_of_solution_g_ml, unit="g/mL", basis="at 20 °C",
            inputs={"mass_percent": strength}, fixed={"solute": solute},
            says="read from the printed rows at the strength of the bottle", sources=("crc-102",),
        )  # fmt: skip
    row = bottle(solute, percent)
    if row is not None:
        return published(
            name, row.number("density_g_ml"), "g/mL", f"{BOTTLES}, {row.key}", sources=(row.words("source"),),
            standard_uncertainty=row.number("density_limits_g_ml") / ROOT_3,
            basis=f"at {row.number('density_temperature_c'):g} °C",
        )  # fmt: skip
    at_label = printed_density(solute, percent)
    if at_label is not None:
        return published(
            name, at_label, "g/mL", f"{DENSITIES}, {solute}, last rows", sources=("crc-102",),
            standard_uncertainty=AT_THE_END_G_ML / ROOT_3, basis="at 20 °C",
        )  # fmt: skip
    raise BadEntry(
        worded("The density of {solute} {percent:g} % must be known", solute=solute, percent=percent),
        "none printed here",
        worded("Say the density too. {solute}", solute=_choices(solute)),
        where="density",
    )
