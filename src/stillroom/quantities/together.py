"""What may be done with two quantities, and what is refused.

Nothing here adds, divides or compares two bases: the second quantity is restated on the basis of the first
by named facts, or the error names every part in which they differ. The outcomes carry no uncertainty, since
two quantities from one laboratory share causes; named draws see those, this file does not.
"""

from collections.abc import Sequence

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import Basis, carrier_kind
from stillroom.quantities.facts import ExtractYield, Facts
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.restate import restate
from stillroom.quantities.units import Ratio, refuse_across, unit

_RATIOS: dict[str, Ratio] = {"ww": "w/w", "wv": "w/v", "vv": "v/v", "vw": "v/w"}


def alike(left: Quantity, right: Quantity, facts: Facts | None = None) -> Quantity:
    """The second quantity in the unit and on the basis of the first.

    Parameters
    ----------
    left : Quantity
        Gives the unit and the basis [its unit].
    right : Quantity
        Is restated [its unit].
    facts : Facts or None
        What is known about the material; None allows no restating [facts].

    Returns
    -------
    Quantity
        ``right``, ready to be set against ``left`` [unit of left].

    Raises
    ------
    BadEntry
        The bases differ and the facts do not bridge them.
    """
    _refuse_other_dimension(left, right)
    differences = left.basis.differences(right.basis)
    if differences and facts is not None:
        right = restate(right, left.basis, facts)
        differences = left.basis.differences(right.basis)
    if differences:
        raise _mixed(left, right, differences)
    return right.to(left.unit)


def ratio(numerator: Quantity, denominator: Quantity, facts: Facts | None = None) -> Quantity:
    """One amount as a percentage of another amount of the same thing: a recovery, a share.

    Parameters
    ----------
    numerator : Quantity
        The part, such as what was found [g or mL].
    denominator : Quantity
        What it is a part of, such as what was put in [g or mL].
    facts : Facts or None
        What is known about the material [facts].

    Returns
    -------
    Quantity
        The share, on the basis of the numerator [%].

    Raises
    ------
    BadEntry
        The two are not amounts, are on different bases, or the second is zero.
    """
    for one in (numerator, denominator):
        if one.dimension not in ("mass", "volume"):
            raise BadEntry(
                "A share is one amount of another", one.briefly(), "Multiply a content by its whole first"
            )
    second = alike(numerator, denominator, facts)
    if second.value <= 0:
        raise BadEntry("A share needs an amount above zero to be a share of", denominator.briefly())
    top = "w/w" if numerator.dimension == "mass" else "v/v"
    return Quantity(100.0 * numerator.value / second.value, "%", numerator.basis.with_(ratio=top))


def total(quantities: Sequence[Quantity], facts: Facts | None = None) -> Quantity:
    """The sum, in the unit and on the basis of the first.

    Parameters
    ----------
    quantities : sequence of Quantity
        Amounts of one thing, or contents of different things in one whole [unit of the first].
    facts : Facts or None
        What is known about the material [facts].

    Returns
    -------
    Quantity
        The sum [unit of the first].

    Raises
    ------
    BadEntry
        Nothing to add, mixed bases, volumes of different liquids, or contents that are not of one whole.
    """
    if not quantities:
        raise BadEntry("A sum needs at least one quantity")
    first, *rest = quantities
    if first.dimension == "ratio":
        return _total_of_contents(list(quantities), facts)
    if first.dimension not in ("mass", "volume", "amount", "time", "energy") and not _counted(first):
        raise BadEntry(
            worded("A {dimension} cannot be added up", dimension=first.dimension),
            first.briefly(),
            "Add masses or volumes",
        )
    others = [alike(first, one, facts) for one in rest]
    if first.dimension == "volume" and rest and not (first.basis.of or first.basis.carrier):
        raise BadEntry(
            "Volumes of different liquids do not add: spirit and water contract",
            " and ".join(one.briefly() for one in quantities[:3]),
            "Add masses, or say of which one liquid these volumes are",
        )
    return Quantity(first.value + sum(one.value for one in others), first.unit, first.basis)


def content(part: Quantity, whole: Quantity) -> Quantity:
    """How much of a marker is in a whole: two amounts make a percentage with its full basis.

    Parameters
    ----------
    part : Quantity
        Grams or millilitres of what is counted [g or mL].
    whole : Quantity
        Grams or millilitres of extract, plant, product [g or mL].

    Returns
    -------
    Quantity
        The content, with what is counted from the part and the whole from the whole [%].

    Raises
    ------
    BadEntry
        The part does not say what it counts, or the whole does not say what it is and how it was weighed.
    """
    letters = {"mass": "w", "volume": "v"}
    if part.dimension not in letters or whole.dimension not in letters:
        raise BadEntry(
            "A content is one amount in another",
            worded("{briefly} in {briefly_two}", briefly=part.briefly(), briefly_two=whole.briefly()),
        )
    if not (part.basis.of or part.basis.reckoned_as):
        raise BadEntry(
            "The part must say what it counts", part.briefly(), "Write 15.05 g total alkaloids as quinine"
        )
    if not whole.basis.carrier:
        raise BadEntry("The whole must say what it is", whole.briefly(), "Write 39.2 g, of extract, as is")
    if (
        whole.dimension == "mass"
        and whole.basis.matter is None
        and carrier_kind(whole.basis.carrier) != "product"
    ):
        raise BadEntry(
            "The whole must say whether it was weighed as is or dried", whole.briefly(), "Add 'as is'"
        )
    if whole.value <= 0:
        raise BadEntry("The whole must be above zero", whole.briefly())
    over = _RATIOS[letters[part.dimension] + letters[whole.dimension]]
    if over == "v/v" and part.basis.reference_temperature_c != whole.basis.reference_temperature_c:
        raise BadEntry(
            "Both volumes must be meant at one temperature",
            worded("{briefly} in {briefly_two}", briefly=part.briefly(), briefly_two=whole.briefly()),
            "Say 'at 20 °C' in both, after bringing both to it",
        )
    top, bottom = part.in_unit("g" if letters[part.dimension] == "w" else "mL"), whole.in_unit(_base(whole))
    basis = part.basis.with_(
        ratio=over,
        matter=whole.basis.matter,
        carrier=whole.basis.carrier,
        reference_temperature_c=whole.basis.reference_temperature_c,
    )
    return Quantity(100.0 * top / bottom, "%", basis)


def amount_in(strength: Quantity, whole: Quantity, facts: Facts | None = None) -> Quantity:
    """How many grams (or millilitres) of what is counted are in an amount of the whole.

    Parameters
    ----------
    strength : Quantity
        A content with its basis [%].
    whole : Quantity
        An amount of that whole [g or mL].
    facts : Facts or None
        What is known about the material; restates the content to fit the whole [facts].

    Returns
    -------
    Quantity
        The amount, reckoned as the content is [g or mL].

    Raises
    ------
    BadEntry
        Content and whole do not fit: w/v against grams, dried against as is, extract against plant, volumes
        at two temperatures.
    """
    if strength.dimension != "ratio" or strength.basis.ratio is None:
        raise BadEntry(
            "A content with its basis is needed", strength.briefly(), "Write 7.1 % w/w, of bark, as is"
        )
    letter = {"mass": "w", "volume": "v"}.get(whole.dimension)
    if letter is None:
        raise BadEntry("The whole must be grams or millilitres", whole.briefly())
    needed = _RATIOS[strength.basis.ratio[0] + letter]
    wanted = Basis(
        ratio=needed,
        carrier=whole.basis.carrier,
        matter=whole.basis.matter,
        reference_temperature_c=whole.basis.reference_temperature_c,
    )
    have = strength.basis.with_(of=None, reckoned_as=None, form=None)
    differences = wanted.differences(have)
    if differences and facts is not None:
        strength = restate(strength, wanted, facts)
        differences = wanted.differences(strength.basis.with_(of=None, reckoned_as=None, form=None))
    if differences:
        raise _mixed(whole, strength, differences)
    amount = strength.fraction * whole.in_unit(_base(whole))
    counted = Basis(of=strength.basis.of, reckoned_as=strength.basis.reckoned_as, form=strength.basis.form)
    if needed[0] == "v":
        counted = counted.with_(reference_temperature_c=strength.basis.reference_temperature_c)
    return Quantity(amount, "g" if needed[0] == "w" else "mL", counted)


def extract_yield(extract: Quantity, plant: Quantity) -> ExtractYield:
    """Grams of extract for each gram of plant, with how both were weighed.

    Parameters
    ----------
    extract : Quantity
        Mass of extract, saying "as is" or "dried" [g].
    plant : Quantity
        Mass of plant, saying "as is" or "dried" [g].

    Returns
    -------
    ExtractYield
        The yield, for ``Facts`` [g/g].

    Raises
    ------
    BadEntry
        One of the two does not say what it is or how it was weighed.
    """
    for one, kind in ((extract, "extract"), (plant, "plant")):
        if carrier_kind(one.basis.carrier) != kind:
            raise BadEntry(
                worded("A mass of {kind} is needed", kind=kind),
                one.briefly(),
                worded("Write 'of {kind}'", kind=kind),
            )
    if extract.basis.matter is None or plant.basis.matter is None:
        raise BadEntry(
            "Extract and plant must each say 'as is' or 'dried'",
            worded("{briefly} from {briefly_two}", briefly=extract.briefly(), briefly_two=plant.briefly()),
        )
    return ExtractYield(extract.in_unit("g") / plant.in_unit("g"), extract.basis.matter, plant.basis.matter)


def _total_of_contents(contents: list[Quantity], facts: Facts | None) -> Quantity:
    first = contents[0]
    if first.basis.ratio not in ("w/w", "w/v"):
        raise BadEntry("Only w/w and w/v contents add up", first.briefly(), "Change to masses first")
    names = [one.basis.of or "" for one in contents]
    if not all(names) or len({name.casefold() for name in names}) < len(names):
        raise BadEntry(
            "Contents add up only when each says what it counts, and each counts something else",
            " and ".join(one.briefly() for one in contents[:3]),
            "For two lots of one thing, multiply each content by its mass and divide by both masses",
        )
    if any(one.basis.carrier is None for one in contents):
        raise BadEntry("Contents add up only in one whole", first.briefly(), "Say of what each content is")
    sum_in_first = first.value
    for one in contents[1:]:
        as_first = first.basis.with_(of=one.basis.of)
        sum_in_first += alike(Quantity(first.value, first.unit, as_first), one, facts).value
    return Quantity(sum_in_first, first.unit, first.basis.with_(of=" + ".join(names)))


def _mixed(left: Quantity, right: Quantity, differences: tuple[str, ...]) -> BadEntry:
    return BadEntry(
        "Two bases cannot be mixed",
        worded("{briefly!r} and {briefly_two!r}", briefly=left.briefly(), briefly_two=right.briefly()),
        worded("They differ in {differences}. Restate one of them", differences="; ".join(differences)),
    )


def _refuse_other_dimension(left: Quantity, right: Quantity) -> None:
    if left.dimension != right.dimension:
        refuse_across(unit(right.unit), unit(left.unit))


def _counted(quantity: Quantity) -> bool:
    return quantity.dimension.startswith(("count", "money"))


def _base(quantity: Quantity) -> str:
    return "g" if quantity.dimension == "mass" else "mL"
