"""Loss on drying from raw weighings: what was lost, and whether it had stopped being lost.

Promises that a loss counts only when the mass is constant. Cannot tell water from other volatiles: of an
aromatic plant the oven drives off oil too, and a distillation of water is the right way.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.answers.budget import Stated, stated
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.basis import Basis
from stillroom.substances.rules import rule


@dataclass(frozen=True, slots=True)
class Constancy:
    """Whether the mass has stopped falling."""

    constant: bool
    difference_mg: float | None
    """Between the last two weighings; None when there is only one. [mg]"""
    allowed_mg: float
    """Largest difference that still counts as constant. [mg]"""
    says: str
    do_next: str
    """What to do when it is not; empty when it is."""


@dataclass(frozen=True, slots=True)
class LossOnDrying:
    """A loss on drying with what makes it count."""

    stated: Stated
    """Per cent by mass of the sample as is, with its uncertainty. [% w/w]"""
    constancy: Constancy
    counts: bool
    because: str

    @property
    def answer(self) -> Answer:
        """The loss. [% w/w]."""
        return self.stated.answer


@formula("loss-on-drying")
def loss_on_drying_percent(
    empty_mass_g: float, loaded_mass_g: float, dried_mass_g: float, method_difference_percent: float = 0.0
) -> float:
    """Share of a sample that drying drove off.

    Parameters
    ----------
    empty_mass_g : float
        Dish, empty and dry. [g]
    loaded_mass_g : float
        Dish with the sample as is. [g]
    dried_mass_g : float
        Dish with the dried sample. [g]
    method_difference_percent : float
        Zero with the spread of the method as its uncertainty. [% w/w]

    Returns
    -------
    float
        Loss by mass of the sample as is. [% w/w]

    Notes
    -----
    (loaded - dried)/(loaded - empty). A gain within the uncertainty of the scale is not refused here, so
    that a budget can be reckoned near zero; ``loss_on_drying`` looks at the order of the weighings.

    References
    ----------
    ph-eur-0765
    """
    lost = (loaded_mass_g - dried_mass_g) / (loaded_mass_g - empty_mass_g)
    return 100.0 * lost + method_difference_percent


def allowed_difference_mg(sample_mass_g: float) -> float:
    """Largest difference between two weighings that counts as constant mass.

    Parameters
    ----------
    sample_mass_g : float
        Sample as is. [g]

    Returns
    -------
    float
        Allowed difference. [mg]

    Raises
    ------
    BadEntry
        There is no sample.

    Notes
    -----
    5 mg on 2 to 5 g is quoted. Outside, the share at the nearer end is kept: 5/2 mg per gram below 2 g, 5/5
    above 5 g (common practice, no source).

    References
    ----------
    ph-eur-0765
    """
    if not sample_mass_g > 0:
        raise BadEntry(
            "A drying needs a sample", f"{sample_mass_g:g} g", "Weigh the dish with the sample in it"
        )
    difference = rule("constant-mass-difference").value
    smallest = rule("constant-mass-smallest-sample").value
    largest = rule("constant-mass-largest-sample").value
    if sample_mass_g < smallest:
        return difference * sample_mass_g / smallest
    return difference * max(1.0, sample_mass_g / largest)


def smallest_sample_g(scale_step_g: float) -> float:
    """The smallest sample whose constant mass a scale can show.

    Parameters
    ----------
    scale_step_g : float
        Smallest step of the scale. [g]

    Returns
    -------
    float
        Sample of which the allowed difference is one step. [g]

    Examples
    --------
    >>> smallest_sample_g(0.01)
    10.0

    References
    ----------
    ph-eur-0765
    """
    share = 1000.0 * scale_step_g / rule("constant-mass-difference").value
    end = "constant-mass-smallest-sample" if share <= 1.0 else "constant-mass-largest-sample"
    return share * rule(end).value


def constant(
    dried_mass_g: Sequence[float], sample_mass_g: float, *, scale_step_g: float | None = None
) -> Constancy:
    """Whether the mass is constant after the last drying, and what to do if not.

    Parameters
    ----------
    dried_mass_g : sequence of float
        Dish with the sample after each drying, in the order weighed. [g]
    sample_mass_g : float
        Sample as is. [g]
    scale_step_g : float, optional
        Smallest step of the scale. [g]

    Returns
    -------
    Constancy
        The decision with its reason. [record]

    Raises
    ------
    BadEntry
        There is no sample.

    References
    ----------
    ph-eur-0765
    """
    allowed = allowed_difference_mg(sample_mass_g)
    if len(dried_mass_g) < 2:
        return Constancy(
            False,
            None,
            allowed,
            "One weighing after drying cannot show that the mass is constant.",
            "Dry for another hour, let it cool in the desiccator, weigh again.",
        )
    fell = 1000.0 * (dried_mass_g[-2] - dried_mass_g[-1])
    if abs(fell) > 1000.0 * sample_mass_g:
        return Constancy(
            False,
            abs(fell),
            allowed,
            f"The last two weighings differ by {abs(fell) / 1000.0:.4g} g, more than the whole sample of "
            f"{sample_mass_g:.3g} g: one of them was misread or mistyped.",
            "Correct it: both figures stay to be read.",
        )
    words = (
        f"The last two weighings differ by {abs(fell):.1f} mg; "
        f"{allowed:.1f} mg is allowed on {sample_mass_g:.3g} g"
    )
    if scale_step_g is not None and 1000.0 * scale_step_g > allowed * (1.0 + 1e-9):
        return Constancy(
            False,
            abs(fell),
            allowed,
            f"The scale shows steps of {1000.0 * scale_step_g:g} mg and cannot see {allowed:.1f} mg.",
            f"Dry {smallest_sample_g(scale_step_g):.3g} g or more on this one, or weigh on a finer scale.",
        )
    if abs(fell) <= allowed + 1e-9:
        return Constancy(True, abs(fell), allowed, f"{words}: the mass is constant.", "")
    if fell < 0:
        return Constancy(
            False,
            abs(fell),
            allowed,
            f"{words}, and it gained: it has taken up water, or it was weighed warm before.",
            "Dry for another hour, let it cool in the desiccator with the lid on, weigh it cold.",
        )
    return Constancy(
        False,
        abs(fell),
        allowed,
        f"{words}: it is still losing.",
        "Dry for another hour, let it cool in the desiccator, weigh again.",
    )


def loss_on_drying(
    empty: Answer,
    loaded: Answer,
    dried: Sequence[Answer],
    *,
    of: str = "bark",
    method_difference: Answer | None = None,
    scale_step_g: float | None = None,
) -> LossOnDrying:
    """Loss on drying from the weighings of one dish.

    Parameters
    ----------
    empty, loaded : Answer
        Dish empty, dish with the sample. [g]
    dried : sequence of Answer
        Dish with the sample after each drying, in order. [g]
    of : str
        What was dried ("bark", "extract"). [text]
    method_difference : Answer, optional
        Zero with the spread of the method between portions (``budget.spread_leaf``). [% w/w]
    scale_step_g : float, optional
        Smallest step of the scale. [g]

    Returns
    -------
    LossOnDrying
        The loss, and whether it counts. [% w/w]

    Raises
    ------
    BadEntry
        A weighing is missing or is not in grams.
    OutsideModel
        There is no sample in the dish, so there is no share of it.

    References
    ----------
    ph-eur-0765
    """
    if not dried:
        raise BadEntry(
            "A loss on drying needs at least one weighing after drying", "none", "Dry the dish and weigh it"
        )
    for one in (empty, loaded, *dried):
        if one.unit != "g":
            raise BadEntry(
                worded("The weighing {called!r} must be in grams", called=one.name),
                f"{one.value:g} {one.unit}".strip(),
            )
    sample_g = loaded.value - empty.value
    if sample_g <= 0:
        raise OutsideModel(
            "The dish with the sample must weigh more than the empty dish",
            worded("{loaded:g} g with, {empty:g} g without", loaded=loaded.value, empty=empty.value),
            "Were the two entries swapped?",
        )
    last = dried[-1]
    state = constant([one.value for one in dried], sample_g, scale_step_g=scale_step_g)
    between = empty.value < last.value <= loaded.value
    inputs = {"empty_mass_g": empty, "loaded_mass_g": loaded, "dried_mass_g": last}
    if method_difference is not None:
        inputs["method_difference_percent"] = method_difference
    answer = reckoned(
        f"loss on drying of {of}",
        loss_on_drying_percent,
        unit="%",
        basis=Basis(ratio="w/w", of="loss on drying", carrier=of, matter="as is").in_words(),
        inputs=inputs,
        says=f"what the {of} lost on drying, as a share of it as is",
        sources=("ph-eur-0765",),
    )
    counts = state.constant and between
    because = state.says if counts else f"It does not count. {state.says} {state.do_next}".rstrip()
    if not between:
        because = (
            f"It does not count. The dried dish weighs {last.value:g} g, and must weigh more than the "
            f"{empty.value:g} g of the empty dish and no more than the {loaded.value:g} g with the sample: look "
            "whether two dishes or two entries were swapped, or one was misread."
        )
    return LossOnDrying(stated(answer), state, counts, because)
