"""What the dry residues of the last siphonings say of the rest, with its reason.

Promises what still washes out at the ratio seen. A slow rest inside the particles is not in it: it leaves with time,
and the residues show it only when they stop falling.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.evidence.answer import Answer, reckoned
from stillroom.results.budget import Stated, stated
from stillroom.science.extraction.siphoning import SoxhletTail, soxhlet_tail

RESIDUE = "residue of siphoning"


@dataclass(frozen=True, slots=True)
class Tail:
    """A tail worked out.

    Attributes
    ----------
    ratio : Answer
        Residue over the one before. [1]
    remaining : Stated
        [mg]
    remaining_share : Stated
        Of all that can be washed out. [%]
    cycles : Answer
        Siphonings until no more than the wanted share remains. [1]
    minutes : Answer
        [min]
    """

    ratio: Answer
    remaining: Stated
    remaining_share: Stated
    cycles: Answer
    minutes: Answer


def tail_of(inputs: Mapping[str, tuple[float, float]]) -> SoxhletTail:
    """The tail of a Soxhlet from named inputs; rerun by its name. [mg, 1, min].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Residues in order [mg], "collected" [g], "cycle" [min], "may remain" [%], each with its doubt.
    """
    residues = [value for name, (value, _) in inputs.items() if name.startswith(RESIDUE)]
    collected, cycle, percent = (inputs[name][0] for name in ("collected", "cycle", "may remain"))
    return soxhlet_tail(residues, collected, cycle, percent / 100.0)


def remaining_percent_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """What remains, of all that can be washed out. [%].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``tail_of``. [mg, g, min, %]
    """
    return 100.0 * tail_of(inputs).remaining_share


tail_of.takes_named_inputs = True  # type: ignore[attr-defined]
remaining_percent_of.takes_named_inputs = True  # type: ignore[attr-defined]


def tail(residues: Sequence[Answer], collected: Answer, cycle: Answer, may_remain: Answer) -> Tail:
    """What the last residues say.

    Parameters
    ----------
    residues : sequence of Answer
        Dry residue of each of the last siphonings, in order, named ``RESIDUE`` and a number. [mg]
    collected, cycle, may_remain : Answer
        [g, min, %]

    Raises
    ------
    NotEnough
        Fewer than three residues.
    BadEntry
        A figure is not above zero, or less was collected than the residues hold.
    OutsideModel
        The residues do not fall.

    References
    ----------
    extraction-practice
    """
    inputs = {
        **{one.name: one for one in residues},
        "collected": collected,
        "cycle": cycle,
        "may remain": may_remain,
    }

    def part(name: str, pick: str, unit: str, says: str) -> Answer:
        return reckoned(
            name, tail_of, unit=unit, inputs=inputs, pick=pick, says=says, sources=("extraction-practice",)
        )

    return Tail(
        part("ratio from one siphoning to the next", "ratio", "", "a straight line through logarithms of the residues"),
        stated(part(
            "still to be washed out", "remaining_mass_mg", "mg",
            "the last residue of that line, times the ratio over one less the ratio",
        )),
        stated(reckoned(
            "still in the thimble, of all that can be washed out", remaining_percent_of, unit="%", inputs=inputs,
            says="what still washes out, over what was collected and that together", sources=("extraction-practice",),
        )),
        part("more siphonings", "more_cycles", "", "until no more than the wanted share remains, at the same ratio"),
        part("time they take", "more_minutes", "min", "siphonings times the time of one"),
    )  # fmt: skip
