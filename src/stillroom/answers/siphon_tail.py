"""What the dry residues of the last siphonings say of the rest, with its reason.

Promises what still washes out at the ratio seen, with the scatter of the residues about their line in its doubt: four
residues know that line by two degrees of freedom only. A slow rest inside the particles is not in it: it leaves with
time, and the residues show it only when they stop falling.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stillroom.answers.budget import Stated, spread_leaf, stated
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.extraction.siphoning import FEWEST_RESIDUES, SoxhletTail, soxhlet_tail

RESIDUE = "residue of siphoning"
WEIGHING, SLOPE, MIDDLE = "weighing of ", "scatter of the slope", "scatter of the level"


@dataclass(frozen=True, slots=True)
class Tail:
    """A tail worked out."""

    ratio: Answer
    """Residue over the one before. [1]"""
    remaining: Stated
    """[mg]"""
    remaining_share: Stated
    """Of all that can be washed out. [%]"""
    cycles: Answer
    """Siphonings until no more than the wanted share remains. [1]"""
    minutes: Answer
    """[min]"""
    may_remain: Answer
    """[%]"""


@formula("siphon-tail", takes_named_inputs=True)
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


@formula("siphon-remainder", takes_named_inputs=True)
def remaining_percent_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """What remains, of all that can be washed out. [%].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``tail_of``. [mg, g, min, %]
    """
    return 100.0 * tail_of(inputs).remaining_share


@formula("scattered-siphon-tail", takes_named_inputs=True)
def scattered_tail_of(inputs: Mapping[str, tuple[float, float]]) -> SoxhletTail:
    """The tail of a Soxhlet whose residues and whose line may be off. [mg, 1, min].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``tail_of``, and in the same order the weighing errors [mg]; the errors of the slope and of the middle of
        the line through the logarithms [1]. An error is laid on the logarithm, so that no residue falls below nothing.
    """
    values = {name: value for name, (value, _) in inputs.items()}
    residues = [(name, value) for name, value in values.items() if name.startswith(RESIDUE)]
    middle = 0.5 * (len(residues) - 1)
    moved = [
        value * math.exp(values[WEIGHING + name] / value + values[MIDDLE] + values[SLOPE] * (at - middle))
        for at, (name, value) in enumerate(residues)
    ]
    more_mg = max(sum(moved) - sum(value for _, value in residues), 0.0)
    collected_g = values["collected"] + more_mg / 1000.0
    return soxhlet_tail(moved, collected_g, values["cycle"], values["may remain"] / 100.0)


@formula("scattered-siphon-remainder", takes_named_inputs=True)
def scattered_percent_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """What remains, of all that can be washed out. [%].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``scattered_tail_of``. [mg, g, min, %]
    """
    return 100.0 * scattered_tail_of(inputs).remaining_share


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
    inputs = _inputs(residues, collected, cycle, may_remain)

    def part(name: str, pick: str, unit: str, says: str) -> Answer:
        return reckoned(
            name,
            scattered_tail_of,
            unit=unit,
            inputs=inputs,
            pick=pick,
            says=says,
            sources=("extraction-practice",),
        )

    return Tail(
        part("ratio from one siphoning to the next", "ratio", "", "a straight line through logarithms of the residues"),
        still_to_wash_out(residues, collected, cycle, may_remain),
        stated(reckoned(
            "still in the thimble, of all that can be washed out", scattered_percent_of, unit="%", inputs=inputs,
            says="what still washes out, over what was collected and that together", sources=("extraction-practice",),
        )),
        part("more siphonings", "more_cycles", "", "until no more than the wanted share remains, at the same ratio"),
        part("time they take", "more_minutes", "min", "siphonings times the time of one"),
        may_remain,
    )  # fmt: skip


def still_to_wash_out(
    residues: Sequence[Answer], collected: Answer, cycle: Answer, may_remain: Answer
) -> Stated:
    """What further siphonings would still bring.

    Parameters
    ----------
    residues : sequence of Answer
        [mg]
    collected, cycle, may_remain : Answer
        [g, min, %]

    References
    ----------
    extraction-practice
    """
    return stated(
        reckoned(
            "still to be washed out", scattered_tail_of, unit="mg", pick="remaining_mass_mg",
            inputs=_inputs(residues, collected, cycle, may_remain),
            says="the last residue of that line, times the ratio over one less the ratio",
            sources=("extraction-practice",),
        )
    )  # fmt: skip


def _inputs(
    residues: Sequence[Answer], collected: Answer, cycle: Answer, may_remain: Answer
) -> dict[str, Answer]:
    return {
        **{one.name: replace(one, standard_uncertainty=None) for one in residues},
        **{
            WEIGHING + one.name: _error(WEIGHING + one.name, one.standard_uncertainty or 0.0, "mg")
            for one in residues
        },
        **_scatter(residues),
        "collected": collected,
        "cycle": cycle,
        "may remain": may_remain,
    }


def _error(name: str, u: float, unit: str) -> Answer:
    return reading(name, 0.0, unit, "as sure as each residue is", standard_uncertainty=u)


def _scatter(residues: Sequence[Answer]) -> dict[str, Answer]:
    """What the line may be off by its own scatter: a straight line by least squares, its t not by chance too sure."""
    count = len(residues)
    if count < FEWEST_RESIDUES or any(not one.value > 0.0 for one in residues):
        return {name: _error(name, 0.0, "") for name in (SLOPE, MIDDLE)}
    at = [place - 0.5 * (count - 1) for place in range(count)]
    logs = [math.log(one.value) for one in residues]
    level, square = sum(logs) / count, sum(one * one for one in at)
    slope = sum(one * log for one, log in zip(at, logs, strict=True)) / square
    off = sum((log - level - slope * one) ** 2 for one, log in zip(at, logs, strict=True)) / (count - 2)
    spread = math.sqrt(off)
    where = f"how {count} residues lie about their line"
    return {
        name: spread_leaf(
            name, 0.0, "", where, standard_uncertainty=u, degrees_of_freedom=count - 2.0, scatter=where
        )
        for name, u in ((SLOPE, spread / math.sqrt(square)), (MIDDLE, spread / math.sqrt(count)))
    }
