"""One basis restated as another, where enough is known; otherwise a refusal that says what is missing.

Every change is a factor with a cause: a loss on drying, two molar masses, a density, a strength table, an
extraction yield. None of these is ever assumed here: all come in as ``Facts``. The uncertainty of the
quantity is carried along; that of the facts is not, since shared causes are seen only by named draws.
"""

from dataclasses import replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import Basis, Matter, carrier_kind
from stillroom.quantities.facts import Facts
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.units import Ratio, unit


def restate(quantity: Quantity, to: Basis, facts: Facts) -> Quantity:
    """The same quantity on another basis.

    Parameters
    ----------
    quantity : Quantity
        A content, or an amount in grams with a basis [its unit].
    to : Basis
        The basis wanted; parts that are None are left as they are [basis].
    facts : Facts
        What is known about the material [facts].

    Returns
    -------
    Quantity
        On the basis wanted, in the same unit, or in % when the unit itself says the old basis [unit].

    Raises
    ------
    BadEntry
        A fact is missing (it is named), a part was never stated, or the outcome is impossible.

    Notes
    -----
    as is to dried: x / (1 - loss on drying); as A to as B: x (M_B / n_B) / (M_A / n_A), n markers in one
    formula unit; w/w to w/v: x density; extract to plant: x yield (what went into the extract), divided by
    the recovered fraction where it is given (the plant's whole content).
    """
    changes = _stated(to)
    if to.reckoned_as is not None:
        changes.setdefault("form", None)
    elif to.form is not None:
        changes["reckoned_as"] = None
    target = quantity.basis.with_(**changes)
    if not quantity.basis.differences(target):
        return replace(quantity, basis=target)
    work = _Work(quantity, target, facts)
    work.change_compound()
    if quantity.dimension == "ratio":
        work.change_carrier()
        work.change_ratio()
    work.change_matter(target.matter)
    return work.finished()


class _Work:
    """The number on its way from one basis to another; ``now`` is the basis it stands on."""

    def __init__(self, quantity: Quantity, target: Basis, facts: Facts) -> None:
        self.quantity, self.target, self.facts = quantity, target, facts
        self.now = quantity.basis
        self.factor = 1.0
        self.fraction: float | None = None
        self.slope = 1.0
        if _folded(self.now.of) != _folded(target.of):
            raise self.refusal(
                "What is counted was measured and cannot be renamed; a measurement would be needed"
            )
        if self.now.ratio is None and target.ratio is not None:
            is_content = quantity.dimension == "ratio"
            raise self.refusal(f"{'Its basis' if is_content else 'The amount of the whole'} would be needed")

    def refusal(self, need: str) -> BadEntry:
        return BadEntry(
            worded("This cannot be restated as {told}", told=self.target.in_words() or "nothing"),
            repr(self.quantity.briefly()),
            need,
        )

    def change_compound(self) -> None:
        have, want = self.now, self.target
        if _folded(have.reckoned_as) == _folded(want.reckoned_as) and have.form == want.form:
            return
        old = have.reckoned_as or (None if have.form else have.of)
        form_of = self.facts.form_of
        if want.reckoned_as is None:
            if old is None or form_of.get(old) != want.form:
                raise self.refusal(f"The name of the {want.form} would be needed, with its molar mass")
        elif have.form and have.reckoned_as is None:
            if form_of.get(want.reckoned_as) != have.form:
                raise self.refusal(f"That {want.reckoned_as} is the {have.form} meant would be needed")
        elif old is None:
            raise self.refusal("As which compound it is expressed would be needed")
        elif want.form and form_of.get(want.reckoned_as) != want.form:
            raise self.refusal(f"That {want.reckoned_as} is the {want.form} meant would be needed")
        else:
            self.scale(self.grams(want.reckoned_as) / self.grams(old))
        self.now = self.now.with_(reckoned_as=want.reckoned_as, form=want.form)

    def grams(self, compound: str) -> float:
        try:
            return self.facts.grams_per_marker(compound)
        except BadEntry as missing:
            raise self.refusal(missing.must) from None

    def change_carrier(self) -> None:
        have, want = carrier_kind(self.now.carrier), carrier_kind(self.target.carrier)
        if have == want:
            self.now = self.now.with_(carrier=self.target.carrier)
            return
        if have is None:
            raise self.refusal("Of what the content is would be needed")
        known = self.facts.extract_yield
        if {have, want} != {"extract", "plant"} or self.now.ratio not in ("w/w", "v/w"):
            raise self.refusal(
                f"How much {self.target.carrier} came from the {self.now.carrier} would be needed, by mass"
            )
        if known is None:
            raise self.refusal(
                "The extraction yield (or drug-extract ratio) would be needed, with how both were weighed"
            )
        if have == "extract":
            self.change_matter(known.extract_matter)
            self.scale(known.mass_fraction / (self.facts.recovered_fraction or 1.0))
            self.now = self.now.with_(carrier=self.target.carrier, matter=known.plant_matter)
            return
        if self.facts.recovered_fraction is None:
            raise self.refusal("The part of the plant's content that was extracted would be needed")
        self.change_matter(known.plant_matter)
        self.scale(self.facts.recovered_fraction / known.mass_fraction)
        self.now = self.now.with_(carrier=self.target.carrier, matter=known.extract_matter)

    def change_matter(self, want: Matter | None) -> None:
        have = self.now.matter
        if have == want:
            return
        if have is None:
            raise self.refusal("Whether it was weighed as is or dried would be needed")
        if want is None:
            raise self.refusal("Say whether it is wanted as is or dried")
        if self.now.ratio in ("w/v", "v/v"):
            raise self.refusal("A liquid measured by volume has no dried basis; restate it as w/w first")
        kind = carrier_kind(self.now.carrier)
        if kind is None:
            raise self.refusal(
                "Of what (plant, extract, product) would be needed, to take its own loss on drying"
            )
        if self.now.ratio is None and (self.now.of or self.now.reckoned_as):
            raise self.refusal("Grams of a marker are the same as is and dried; leave that part out")
        loss = self.facts.loss_on_drying_mass_fraction.get(kind)
        if loss is None:
            raise self.refusal(f"The loss on drying of the {self.now.carrier} would be needed")
        to_dried = 1.0 - loss if self.now.ratio is None else 1.0 / (1.0 - loss)
        self.scale(to_dried if want == "dried" else 1.0 / to_dried)
        self.now = self.now.with_(matter=want)

    def change_ratio(self) -> None:
        have, want = self.now.ratio, self.target.ratio
        old_c, new_c = self.now.reference_temperature_c, self.target.reference_temperature_c
        if have is None or want is None or (have == want and (have == "w/w" or old_c == new_c)):
            self.now = self.now.with_(reference_temperature_c=new_c)
            return
        if self.now.matter == "dried" and have[2] != want[2]:
            self.change_matter("as is")
        if have == want or self.is_spirit(have, want):
            self.through_spirit(have, want)
        else:
            self.through_densities(have, want)
        if self.target.matter == "dried" and want in ("w/v", "v/v"):
            raise self.refusal("A liquid measured by volume has no dried basis")

    def is_spirit(self, have: Ratio, want: Ratio) -> bool:
        both_change = {have, want} == {"v/v", "w/w"}
        function = self.facts.spirit_mass_fraction if have == "v/v" else self.facts.spirit_volume_fraction
        return both_change and function is not None and _folded(self.now.of) in ("", "ethanol", "alcohol")

    def through_spirit(self, have: Ratio, want: Ratio) -> None:
        to_mass, to_volume = self.facts.spirit_mass_fraction, self.facts.spirit_volume_fraction
        old_c, new_c = self.now.reference_temperature_c, self.target.reference_temperature_c
        if have not in ("v/v", "w/w") or _folded(self.now.of) not in ("", "ethanol", "alcohol"):
            raise self.refusal("The density at both temperatures would be needed")
        if (have == "v/v" and to_mass is None) or (want == "v/v" and to_volume is None):
            raise self.refusal("A strength table of spirit would be needed")
        if (have == "v/v" and old_c is None) or (want == "v/v" and new_c is None):
            raise self.refusal(
                "The temperature at which the volumes are meant would be needed, such as 'at 20 °C'"
            )

        def change(fraction: float) -> float:
            by_mass = (
                to_mass(fraction, old_c) if have == "v/v" and to_mass and old_c is not None else fraction
            )
            return to_volume(by_mass, new_c) if want == "v/v" and to_volume and new_c is not None else by_mass

        start = self.at()
        step = 1e-5
        low, high = max(start - step, 0.0), min(start + step, 1.0)
        self.slope *= (change(high) - change(low)) / (high - low)
        self.fraction = change(start)
        self.now = self.now.with_(ratio=want, reference_temperature_c=new_c if want == "v/v" else None)

    def through_densities(self, have: Ratio, want: Ratio) -> None:
        whole, part = self.facts.density_g_ml, self.facts.density_of_part_g_ml
        old_c, new_c = self.now.reference_temperature_c, self.target.reference_temperature_c
        if "w/w" not in (have, want) and old_c != new_c:
            raise self.refusal("The density at both temperatures would be needed")
        meant_c = old_c if have != "w/w" else new_c
        density_c = self.facts.density_temperature_c
        if meant_c is not None and density_c is not None and meant_c != density_c:
            raise self.refusal(
                f"The density at {meant_c:g} °C would be needed; the one given is at {density_c:g} °C"
            )
        if have[0] != want[0]:
            if part is None:
                raise self.refusal("The density of what is counted, as a pure liquid, would be needed")
            self.scale(part if want[0] == "w" else 1.0 / part)
        if have[2] != want[2]:
            if whole is None:
                raise self.refusal("The density of the whole would be needed")
            self.scale(whole if want[2] == "v" else 1.0 / whole)
        at_c = None if want == "w/w" else meant_c if meant_c is not None else density_c
        self.now = self.now.with_(ratio=want, reference_temperature_c=at_c)
        self.target = self.target.with_(reference_temperature_c=at_c)

    def at(self) -> float:
        return self.fraction if self.fraction is not None else self.quantity.fraction * self.factor

    def scale(self, factor: float) -> None:
        if self.fraction is not None:
            self.fraction *= factor
        self.factor *= factor
        self.slope *= factor

    def finished(self) -> Quantity:
        left = self.target.differences(self.now)
        if left:
            raise self.refusal("; ".join(left))
        symbol = self.quantity.unit
        if self.target.ratio != self.quantity.basis.ratio and unit(symbol).implied_ratio:
            symbol = "%"
        change = unit(self.quantity.unit).factor / unit(symbol).factor
        slope = self.slope * change
        if self.fraction is None:
            value = self.quantity.value * self.factor * change
        else:
            value = self.fraction / unit(symbol).factor
        if self.target.ratio in ("w/w", "v/v") and value * unit(symbol).factor > 1.0 + 1e-9:
            raise self.refusal(f"The facts do not fit together: the outcome would be {value:.4g} {symbol}")
        spread = self.quantity.standard_uncertainty
        return replace(
            self.quantity,
            value=value,
            unit=symbol,
            basis=self.now.with_(carrier=self.target.carrier, of=self.target.of),
            standard_uncertainty=None if spread is None else spread * abs(slope),
            decimals=None,
            digits=None,
            as_written="",
        )


def _stated(basis: Basis) -> dict[str, object]:
    names = ("ratio", "of", "reckoned_as", "matter", "carrier", "reference_temperature_c", "form")
    return {name: getattr(basis, name) for name in names if getattr(basis, name) is not None}


def _folded(text: str | None) -> str:
    return "" if text is None else " ".join(text.casefold().split())
