"""An acid or alkali thinned: every meaning of the strength wanted, side by side, in grams, millilitres and mol/L.

Promises that each meaning closes in mass, and that the doubt of the bottle's strength is carried into the solution.
Volumes are at 20 °C; what is weighed is right at any temperature. Where no density is printed, the water is not
reckoned: the solution is filled up to its mark instead, or a share by mass is two weighings and no volume.
"""

from collections.abc import Callable

from stillroom.answers import acid_strength as by
from stillroom.answers.acid_meanings import SAYS, Bottle, Meaning, Mixed
from stillroom.answers.budget import stated
from stillroom.errors import NotEnough, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.science.solutions import diluting
from stillroom.substances.acids import AcidOrAlkali

AT_20 = "at 20 °C"
SOURCES = ("crc-102",)


def mixed(bottle: Bottle, want: Answer, meaning: Meaning, amount: Answer, *, at_hand: bool) -> Mixed:
    """Work out one meaning of a strength.

    Parameters
    ----------
    bottle : Bottle
        What is at hand. [record]
    want : Answer
        The figure wanted. [% or mol/L]
    meaning : Meaning
        What it is a figure of. [text]
    amount : Answer
        Solution wanted, or what is taken from the bottle. [mL or g]
    at_hand : bool
        Whether the amount is from the bottle. [yes or no]

    Returns
    -------
    Mixed
        The recipe and what it gives. [record]

    Raises
    ------
    NotEnough
        More is wanted than the bottle holds.
    OutsideModel
        A density beyond the printed rows, or none for going from mass to volume.
    """
    of = bottle.of
    if meaning == "w/w" and want.value > bottle.strength.value:
        raise _too_strong(bottle, f"{want.value:.4g} % w/w")
    try:
        grams_ml = _grams_in_a_millilitre(bottle, want, meaning)
    except OutsideModel:
        if meaning != "w/w" or amount.unit != "g":
            raise
        return _by_mass_alone(bottle, want, amount, at_hand=at_hand)
    by_mass = _or_none(lambda: _mass_percent(grams_ml, of))
    density = by_mass and _reckon(
        "density of the solution", by.density_of_solution_g_ml, "g/mL", {"mass_percent": by_mass}, of,
        basis=AT_20, says="read from the printed rows",
    )  # fmt: skip
    _refuse_stronger(bottle, grams_ml, by_mass)
    solute, volume = _amounts(bottle, amount, at_hand, grams_ml, by_mass)
    stock = _reckon(
        "from the bottle", diluting.stock_mass_g, "g",
        {"solute_mass_g": solute, "stock_mass_fraction": _fraction(bottle.strength)},
        says="the substance needed over the strength of the bottle",
    )  # fmt: skip
    if at_hand and amount.unit == "g":
        stock = amount
    stock_volume = None
    if bottle.density is not None:
        stock_volume = _reckon(
            "from the bottle, by volume", by.ratio_of, "mL", {"over": stock, "under": bottle.density},
            basis=AT_20, says="its mass over its density",
        )  # fmt: skip
    product = density and _reckon(
        "solution",
        by.product_of_g,
        "g",
        {"left": density, "right": volume},
        says="its volume times its density",
    )
    water = product and _water(product, stock)
    strength = _moles(grams_ml, of)
    held = {stock.key, volume.key} | ({stock_volume.key} if stock_volume else set())
    made = _reckon(
        "the solution made", by.made_mol_l, "mol/L",
        {"taken_g": stock, "stock_percent": bottle.strength, "product_volume_ml": volume,
         "molar_mass_g_mol": of.molar_mass},
        basis=AT_20, says="what the mass taken holds, in that volume, with the doubt of the bottle's strength",
    )  # fmt: skip
    measured = stock_volume and bottle.density and _reckon(
        "the solution made by volume", by.measured_mol_l, "mol/L",
        {"taken_ml": stock_volume, "stock_density_g_ml": bottle.density, "stock_percent": bottle.strength,
         "product_volume_ml": volume, "molar_mass_g_mol": of.molar_mass},
        basis=AT_20, says="what the volume taken holds, with the doubts of the bottle's strength and density",
    )  # fmt: skip
    heat = _heat(bottle, solute, by_mass)
    warming = heat and product and _warming(heat, product, solute)
    return Mixed(
        meaning,
        SAYS[meaning].format(of=of.solute),
        stock,
        stock_volume,
        water,
        product,
        volume,
        strength,
        _reckon(
            "strength by volume", by.product_of_g, "%", {"left": grams_ml, "right": _hundred()},
            basis="w/v, at 20 °C", says="grams in 100 mL",
        ),
        by_mass,
        stated(made, held=held),
        stated(measured, held=held) if measured else None,
        heat,
        warming,
    )  # fmt: skip


def _by_mass_alone(bottle: Bottle, want: Answer, amount: Answer, *, at_hand: bool) -> Mixed:
    """The two masses, which need no density; moles and volumes do, and are left out."""

    def by_share(name: str, of: Answer, over: Answer, under: Answer) -> Answer:
        share = _reckon(f"share of {name}", by.ratio_of, "1", {"over": over, "under": under})
        return _reckon(
            name,
            by.product_of_g,
            "g",
            {"left": of, "right": share},
            says="by the two strengths, mass for mass",
        )

    product = by_share("solution", amount, bottle.strength, want) if at_hand else amount
    stock = amount if at_hand else by_share("from the bottle", amount, want, bottle.strength)
    held = _reckon("bottle in the solution", by.ratio_of, "1", {"over": stock, "under": product})
    made = _reckon(
        "the solution made", by.product_of_g, "%", {"left": held, "right": bottle.strength}, basis="w/w",
        says="what the mass taken holds, in that mass, with the doubt of the bottle's strength",
    )  # fmt: skip
    solute = _reckon(
        f"{bottle.of.solute} in it", by.share_of_g, "g", {"mass_g": stock, "percent": bottle.strength},
        says="what is taken times its strength",
    )  # fmt: skip
    heat = _heat(bottle, solute, want)
    return Mixed(
        "w/w",
        SAYS["w/w"].format(of=bottle.of.solute),
        stock,
        bottle.density
        and _reckon(
            "from the bottle, by volume", by.ratio_of, "mL", {"over": stock, "under": bottle.density},
            basis=AT_20, says="its mass over its density",
        ),
        _water(product, stock),
        product,
        None,
        None,
        None,
        want,
        stated(made, held=(held.key,)),
        None,
        heat,
        heat and _warming(heat, product, solute),
    )  # fmt: skip


def _water(product: Answer, stock: Answer) -> Answer:
    return _reckon(
        "water", diluting.water_mass_g, "g", {"product_mass_g": product, "stock_mass_g": stock},
        says="the mass of the solution less what comes from the bottle",
    )  # fmt: skip


def _warming(heat: Answer, product: Answer, solute: Answer) -> Answer:
    return _reckon(
        "warmer, if it kept all of the heat", by.warming_k, "K",
        {"heat_kj": heat, "product_g": product, "solute_g": solute},
        says="the heat over what it takes to warm the solution; an upper bound",
    )  # fmt: skip


def _grams_in_a_millilitre(bottle: Bottle, want: Answer, meaning: Meaning) -> Answer:
    name, unit = f"{bottle.of.solute} in the solution", "g/mL"
    says = SAYS[meaning].format(of=bottle.of.solute)
    inputs: dict[str, Answer] = {"want_mol_l" if meaning == "mol/L" else "want_percent": want}
    ways: dict[Meaning, Callable[..., object]] = {
        "w/w": by.by_mass_g_ml,
        "w/v": by.by_volume_g_ml,
        "v/v": by.of_bottle_g_ml,
        "label": by.by_label_g_ml,
        "mol/L": by.in_moles_g_ml,
        "bottle w/w": by.bottle_by_mass_g_ml,
        "bottle w/v": by.by_volume_g_ml,
    }
    if meaning == "bottle w/v":
        inputs = {"want_percent": _of_the_bottle(want, bottle)}
    if meaning == "mol/L":
        inputs["molar_mass_g_mol"] = bottle.of.molar_mass
    if meaning in ("v/v", "label", "bottle w/w"):
        inputs["stock_percent"] = bottle.strength
    if meaning in ("v/v", "label"):
        if bottle.density is None:
            raise OutsideModel(
                "A solid has no share by volume", meaning, "Say w/w, w/v or mol/L", where="want"
            )
        inputs["stock_density_g_ml"] = bottle.density
    of = bottle.of if meaning in ("w/w", "bottle w/w") else None
    return _reckon(name, ways[meaning], unit, inputs, of, basis=AT_20, says=says)


def _of_the_bottle(want: Answer, bottle: Bottle) -> Answer:
    return _reckon(
        "of it the substance itself", by.share_of_g, "%", {"mass_g": want, "percent": bottle.strength},
        basis="w/v", says="the share of the bottle's liquid times its strength",
    )  # fmt: skip


def _amounts(
    bottle: Bottle, amount: Answer, at_hand: bool, grams_ml: Answer, by_mass: Answer | None
) -> tuple[Answer, Answer]:
    """The substance itself, in grams, and the volume of the solution."""
    solute_name = f"{bottle.of.solute} itself"
    if at_hand:
        taken = amount
        if amount.unit == "mL":
            if bottle.density is None:
                raise OutsideModel(
                    "A solid is weighed",
                    worded("{amount:g} mL", amount=amount.value),
                    "Write it in g",
                    where="amount",
                )
            taken = _reckon(
                "taken from the bottle", by.product_of_g, "g", {"left": bottle.density, "right": amount},
                says="its volume times its density",
            )  # fmt: skip
        solute = _reckon(
            solute_name, by.share_of_g, "g", {"mass_g": taken, "percent": bottle.strength},
            says="what is taken times its strength",
        )  # fmt: skip
        volume = _reckon(
            "volume of the solution", by.ratio_of, "mL", {"over": solute, "under": grams_ml}, basis=AT_20,
            says="the substance over its grams in a millilitre",
        )  # fmt: skip
        return solute, volume
    if amount.unit == "g":
        by_mass = by_mass or _mass_percent(grams_ml, bottle.of)
        solute = _reckon(
            solute_name,
            by.share_of_g,
            "g",
            {"mass_g": amount, "percent": by_mass},
            says="a share of the mass",
        )
        volume = _reckon(
            "volume of the solution", by.ratio_of, "mL", {"over": solute, "under": grams_ml}, basis=AT_20,
            says="the substance over its grams in a millilitre",
        )  # fmt: skip
        return solute, volume
    solute = _reckon(
        solute_name, by.product_of_g, "g", {"left": grams_ml, "right": amount},
        says="its grams in a millilitre times the volume",
    )  # fmt: skip
    return solute, amount


def _heat(bottle: Bottle, solute: Answer, by_mass: Answer | None) -> Answer | None:
    of = bottle.of
    inputs = {"solute_g": solute, "molar_mass_g_mol": of.molar_mass}
    if of.solute == "sulfuric acid" and by_mass is not None:
        return _reckon(
            "heat given off", by.heat_of_thinning_kj, "kJ",
            {**inputs, "stock_percent": bottle.strength, "product_percent": by_mass},
            says="heat of mixing after Thomsen, good to about a tenth", sources=("thomsen-sulfuric",),
        )  # fmt: skip
    if bottle.density is None and of.heat_of_solution is not None:
        return _reckon(
            "heat given off", by.heat_of_dissolving_kj, "kJ", {**inputs, "heat_kj_mol": of.heat_of_solution},
            says="heat of solution of the solid in much water",
        )  # fmt: skip
    return None


def _refuse_stronger(bottle: Bottle, grams_ml: Answer, by_mass: Answer | None) -> None:
    if by_mass is not None:
        if by_mass.value > bottle.strength.value * (1.0 + 1e-9):
            raise _too_strong(bottle, f"{by_mass.value:.4g} % w/w")
    elif bottle.density is not None:
        holds = bottle.strength.value / 100.0 * bottle.density.value
        if grams_ml.value > holds * (1.0 + 1e-9):
            raise _too_strong(bottle, f"{100 * grams_ml.value:.4g} g in 100 mL")


def _too_strong(bottle: Bottle, wanted: str) -> NotEnough:
    return NotEnough(
        worded(
            "The strength wanted must lie above 0 and up to the {strength:.4g} % w/w of the bottle",
            strength=bottle.strength.value,
        ),
        wanted,
        "Want less, or take a stronger bottle",
        where="want",
    )


def _mass_percent(grams_ml: Answer, of: AcidOrAlkali) -> Answer:
    return _reckon(
        "strength by mass", by.mass_percent_of, "%", {"product_g_ml": grams_ml}, of, basis="w/w",
        says="the strength at which the printed density gives that",
    )  # fmt: skip


def _moles(grams_ml: Answer, of: AcidOrAlkali) -> Answer:
    return _reckon(
        "strength in moles", by.moles_mol_l, "mol/L",
        {"product_g_ml": grams_ml, "molar_mass_g_mol": of.molar_mass}, basis=AT_20,
        says="grams in a litre over the molar mass",
    )  # fmt: skip


def _fraction(percent: Answer) -> Answer:
    return _reckon(
        f"{percent.name}, as a share", by.ratio_of, "1", {"over": percent, "under": _hundred()},
        says="a hundredth of the percentage",
    )  # fmt: skip


def _hundred() -> Answer:
    return reading("hundred", 100.0, "1", "what per cent means")


def _or_none(work: Callable[[], Answer]) -> Answer | None:
    try:
        return work()
    except OutsideModel:
        return None


def _reckon(
    name: str,
    function: Callable[..., object],
    unit: str,
    inputs: dict[str, Answer],
    of: AcidOrAlkali | None = None,
    *,
    basis: str = "",
    says: str = "",
    sources: tuple[str, ...] = SOURCES,
) -> Answer:
    fixed = {"solute": of.solute} if of else None
    return reckoned(
        name,
        function,
        unit=unit,
        inputs=inputs,
        fixed=fixed,
        basis=basis,
        says=says,
        sources=sources if of else (),
    )


def every_meaning(
    bottle: Bottle, want: Answer, meanings: tuple[Meaning, ...], amount: Answer, *, at_hand: bool
) -> tuple[tuple[Meaning, Mixed | StillroomError], ...]:
    """Every meaning a strength may have, each worked out or with the sentence why not.

    Parameters
    ----------
    bottle : Bottle
        What is at hand. [record]
    want : Answer
        The figure wanted. [%]
    meanings : tuple of Meaning
        [text]
    amount : Answer
        [mL or g]
    at_hand : bool
        Whether the amount is from the bottle. [yes or no]

    Returns
    -------
    tuple of (Meaning, Mixed or StillroomError)
        In the order given. [records]
    """
    found: list[tuple[Meaning, Mixed | StillroomError]] = []
    for one in meanings:
        try:
            found.append((one, mixed(bottle, want, one, amount, at_hand=at_hand)))
        except StillroomError as error:
            found.append((one, error))
    return tuple(found)
