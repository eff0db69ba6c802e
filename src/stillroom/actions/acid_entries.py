"""The entries of thinning an acid, read as a person writes them: of what, wanted, how much.

Promises an answer for each entry, or one sentence at its field. A percentage that could mean several things is given
back with all of its meanings; none is chosen here.
"""

import re
from collections.abc import Mapping

from stillroom.answers import acid_strength
from stillroom.answers.acid_meanings import Bottle, Meaning
from stillroom.answers.acid_stated import refuse_disagreeing
from stillroom.answers.budget import measured
from stillroom.errors import BadEntry, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, published, reading, reckoned
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry, nothing_but, step_of, sureness_of
from stillroom.quantities.fractions import mass_fraction, percent_with_ratio
from stillroom.quantities.quantity import Quantity
from stillroom.substances.acids import (
    BOTTLES,
    DENSITIES,
    SOLID_WORDS,
    acid_or_alkali,
    bottle,
    bottles,
    name_and_rest,
)

ASKED = "as asked"
ENTRIES = ("of", "want", "basis", "amount", "amount-as")
BASES: dict[str, str] = {
    "w/w": "w/w, by mass",
    "w/v": "w/v, grams in 100 mL",
    "v/v": "v/v, of the bottle's liquid",
    "label": "the label's figure diluted by volume",
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


def bottle_in(fields: Mapping[str, str]) -> Bottle:
    """What is at hand, with its strength, its doubt and its density.

    Parameters
    ----------
    fields : mapping of str to str
        "of", and "have-plus-minus", "titrated", "titrated-plus-minus", "density" where they were said.

    Raises
    ------
    BadEntry
        A strength, or the density of a bottle no table reaches, is missing.
    UnknownName
        No such acid or alkali.
    """
    text = fields.get("of", "").strip()
    if not text:
        raise BadEntry(
            "What is in the bottle is needed", "nothing", 'Write "hydrochloric acid 37 %"', where="of"
        )
    try:
        solute, rest = name_and_rest(text)
    except StillroomError as error:
        raise error.at("of") from error
    words = rest.split()
    solid = any(word.casefold() in SOLID_WORDS for word in words)
    rest = " ".join(word for word in words if word.casefold() not in SOLID_WORDS)
    of = acid_or_alkali(solute)
    sold = bottle(solute, None) if solid or (not rest and not fields.get("titrated")) else None
    if sold is None and solid:
        raise BadEntry(
            worded("{solute} is sold here as a solution", solute=solute.capitalize()),
            text,
            _choices(solute),
            where="of",
        )
    if sold is not None:
        _refuse_of_a_solid(fields)
        usual = Quantity(sold.number("strength_percent"), "%", Basis(ratio="w/w"))
        return Bottle(
            of,
            _label(fields, _on_label(rest) if rest else usual, sold.number("strength_limits_percent")),
            None,
        )
    label: Answer | None = None
    if rest:
        written = _on_label(rest)
        said = 100.0 * mass_fraction(written)
        row = bottle(solute, said)
        limits = row.number("strength_limits_percent") if row else LABEL_LIMITS_PERCENT
        label = _label(fields, written, min(limits, said / 2.0))
    titrated = _titrated(fields, solute, of.molar_mass) if fields.get("titrated") else None
    strength = titrated or label
    if strength is None:
        raise BadEntry("The strength of the bottle is needed", text, _choices(solute), where="of")
    density = _density(fields, solute, strength.value, strength)
    refuse_disagreeing(solute, label, titrated, density if fields.get("density") else None)
    return Bottle(of, strength, density)


def want_in(fields: Mapping[str, str], of: Bottle) -> tuple[Answer, tuple[Meaning, ...]]:
    """The strength wanted, and what it may mean.

    Parameters
    ----------
    fields : mapping of str to str
        "want", and "basis" where it was said.
    of : Bottle
        What is at hand.

    Raises
    ------
    BadEntry
        It is missing, zero, or says two bases.
    """
    text = fields.get("want", "").strip()
    if not text:
        raise BadEntry(
            "The strength wanted is needed", "nothing", 'Write "5 % w/w" or "1 mol/L"', where="want"
        )
    said = fields.get("basis", "")
    if said and said not in BASES:
        raise BadEntry(
            worded("A basis is one of {bases}", bases=", ".join(BASES)),
            repr(said[:20]),
            "Choose one",
            where="basis",
        )
    found = entry(text, "%", want=("ratio", "concentration"), basis_required=False, where="want")
    nothing_but(found, (of.of.solute.casefold(),), where="want")
    if found.dimension == "concentration":
        if said:
            raise BadEntry(
                "A strength in mol/L has no other basis", repr(said), "Leave the basis out", where="basis"
            )
        return reading("strength wanted", found.in_unit("mol/L"), "mol/L", ASKED), ("mol/L",)
    at_c = found.basis.reference_temperature_c
    if at_c is not None and abs(at_c - 20.0) > 0.01:
        raise BadEntry(
            "The densities of acids are printed at 20 °C",
            repr(text[:40]),
            "Say it at 20 °C, or by mass",
            where="want",
        )
    percent, ratio = percent_with_ratio(found)
    want = reading("strength wanted", percent, "%", ASKED, basis=ratio or said)
    stated: str = ratio or ""
    if stated == "v/w" or (stated and said and stated != said):
        raise BadEntry(
            "A strength has one basis",
            worded("{text} beside {told}", text=text, told=said or stated),
            "Leave one out",
            where="want",
        )
    stated = stated or said
    parts = bool(_IN.match(text))
    solid = of.density is None
    if parts and not solid:
        if stated == "label":
            raise BadEntry(
                "1 in 20 is v/v, w/v or w/w of the bottle's liquid", repr(said), "Choose one", where="basis"
            )
        return want, (OF_PARTS[stated],) if stated else tuple(OF_PARTS.values())
    if stated:
        if solid and stated in ("v/v", "label"):
            raise BadEntry(
                "A solid has no share by volume", repr(stated), "Say w/w, w/v or mol/L", where="want"
            )
        return want, (next(one for one in MEANINGS if one == stated),)
    return want, MEANINGS[:2] if solid else MEANINGS


def amount_in(fields: Mapping[str, str]) -> tuple[Answer, bool, str]:
    """How much, whether that is at hand, and the words.

    Parameters
    ----------
    fields : mapping of str to str
        "amount", and "amount-as" ("wanted" or "at hand").

    Raises
    ------
    BadEntry
        It is missing or not above zero.
    """
    kind = fields.get("amount-as", "") or "wanted"
    unit, _, which = kind.rpartition(" ")
    if kind.endswith("at hand"):
        unit, which = kind.removesuffix("at hand").strip(), "at hand"
    if which not in ("wanted", "at hand"):
        raise BadEntry('An amount is "wanted" or "at hand"', repr(kind[:40]), "Choose one", where="amount-as")
    text = fields.get("amount", "").strip()
    if not text:
        raise BadEntry("An amount is needed", "nothing", 'Write "1 L"', where="amount")
    written = entry(text, unit, want=("volume", "mass"), where="amount")
    at_hand = which == "at hand"
    symbol = "mL" if written.dimension == "volume" else "g"
    name = "taken from the bottle" if at_hand else "solution wanted"
    return (
        reading(name, written.in_unit(symbol), symbol, ASKED, basis="at 20 °C" if symbol == "mL" else ""),
        at_hand,
        f"{written.number} {written.unit}",
    )


def _refuse_of_a_solid(fields: Mapping[str, str]) -> None:
    """Refuse what only a solution has."""
    for name in ("titrated", "density"):
        if fields.get(name):
            raise BadEntry(
                "A solid has neither a strength by titration nor a density here",
                fields[name],
                "Leave it out, or say which solution it is of",
                where=name,
            )


def _choices(solute: str) -> str:
    sold = ", ".join(one.key for one in bottles(solute))
    return f"Read the label. Sold as: {sold}" if sold else "Read the label"


def _on_label(text: str) -> Quantity:
    found = entry(text, "%", by_definition=Basis(ratio="w/w"), sure_allowed=True, where="of")
    if found.basis.ratio != "w/w":
        raise BadEntry(
            "The label of an acid is w/w", repr(text[:40]), "Write it as % w/w, or titrate it", where="of"
        )
    nothing_but(found, (), where="of")
    return found


def _label(fields: Mapping[str, str], label: Quantity, limits: float) -> Answer:
    percent = 100.0 * mass_fraction(label)
    half = sureness_of(label, fields.get("have-plus-minus", ""), "%", where="have-plus-minus")
    if half:
        return reading(
            LABEL_DOUBT, percent, "%", "as asked, k = 2", standard_uncertainty=half / 2.0, basis="w/w"
        )
    return assumed(
        LABEL_DOUBT,
        percent,
        "%",
        f"the label, taken to be right within {limits:g} % w/w either way: common practice, no source",
        standard_uncertainty=limits / ROOT_3,
        basis="w/w",
        shape="rectangular",
    )


def _titrated(fields: Mapping[str, str], solute: str, molar_mass: Answer) -> Answer:
    found = entry(fields["titrated"], "mol/L", sure_allowed=True, where="titrated")
    value = found.in_unit("mol/L")
    half = sureness_of(found, fields.get("titrated-plus-minus", ""), "mol/L", where="titrated-plus-minus")
    if half:
        leaf = reading(TITRATION_DOUBT, value, "mol/L", "as asked, k = 2", standard_uncertainty=half / 2.0)
    else:
        leaf = assumed(
            TITRATION_DOUBT,
            value,
            "mol/L",
            "titrated, taken to be right within half a per cent of it (k = 2): common practice, no source",
            standard_uncertainty=value * TITRATION_SHARE / 2.0,
        )
    try:
        found_percent = reckoned(
            "strength of the bottle",
            acid_strength.mass_percent_from_moles,
            unit="%",
            basis="w/w",
            inputs={"stock_mol_l": leaf, "molar_mass_g_mol": molar_mass},
            fixed={"solute": solute},
            says="the strength by mass at which the printed density gives those moles in a litre",
            sources=("crc-102",),
        )
        return measured(found_percent)
    except StillroomError as error:
        raise error.at("titrated") from error


def _density(fields: Mapping[str, str], solute: str, percent: float, strength: Answer) -> Answer:
    if fields.get("density"):
        text = fields["density"]
        found = entry(text, "g/mL", where="density")
        value = found.in_unit("g/mL")
        if not 0.8 < value < 2.0:
            raise BadEntry(
                "A bottle's density lies between 0.8 and 2 g/mL",
                repr(text[:40]),
                "Read it again",
                where="density",
            )
        step = step_of(found, "g/mL")
        return reading(
            "density of the bottle", value, "g/mL", "as asked, doubted by its last figure",
            standard_uncertainty=step / 12.0**0.5, basis="at 20 °C",
        )  # fmt: skip
    row = bottle(solute, percent)
    reach = 2.0 * _spread(strength)
    if _printed(solute, percent - reach) is not None and _printed(solute, percent + reach) is not None:
        return reckoned(
            "density of the bottle",
            acid_strength.density_of_solution_g_ml,
            unit="g/mL",
            basis="at 20 °C",
            inputs={"mass_percent": strength},
            fixed={"solute": solute},
            says="read from the printed rows at the strength of the bottle",
            sources=("crc-102",),
        )
    if row is not None:
        return published(
            "density of the bottle",
            row.number("density_g_ml"),
            "g/mL",
            f"{BOTTLES}, {row.key}",
            sources=(row.words("source"),),
            standard_uncertainty=row.number("density_limits_g_ml") / ROOT_3,
            basis=f"at {row.number('density_temperature_c'):g} °C",
        )
    at_label = _printed(solute, percent)
    if at_label is not None:
        return published(
            "density of the bottle", at_label, "g/mL", f"{DENSITIES}, {solute}, last rows", sources=("crc-102",),
            standard_uncertainty=AT_THE_END_G_ML / ROOT_3, basis="at 20 °C",
        )  # fmt: skip
    raise BadEntry(
        worded("The density of {solute} {percent:g} % must be known", solute=solute, percent=percent),
        "none printed here",
        worded("Read it on the label, and say it. {solute}", solute=_choices(solute)),
        where="density",
    )


def _printed(solute: str, percent: float) -> float | None:
    try:
        return acid_strength.density_of_solution_g_ml(percent, solute=solute)
    except OutsideModel:
        return None


def _spread(strength: Answer) -> float:
    """One standard deviation of the strength. [% w/w]."""
    return strength.standard_uncertainty or 0.0
