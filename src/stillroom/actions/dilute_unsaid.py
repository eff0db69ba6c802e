"""What nobody said when spirit was to be diluted, and what each thing taken in its place does to the mixture.

Promises an effect reckoned from the answer itself: a share of its doubt, or the answer worked out otherwise.
"""

import math
from collections.abc import Mapping

from stillroom.actions.dilute_entries import TO_THE_MARK
from stillroom.answers.budget import Stated
from stillroom.answers.spirit_diluted import Diluted
from stillroom.answers.spirit_strength import OWN_DOUBT, READING_DOUBT, KnownBy
from stillroom.evidence.answer import Answer, leaves
from stillroom.records.answer_entries import LeftUnsaid
from stillroom.reference.tables import table
from stillroom.science.liquids.vessels import mark_for_volume_ml
from stillroom.science.measuring.uncertainty import Contribution

TWO = 2.0
"""Coverage factor the effects are told with."""
LEAST_TOLD = 0.005
BESIDE = 10.0
"""What moves a mark or a reading and not the mixture stands that much lower in the list."""


def left_unsaid(
    found: Diluted,
    fields: Mapping[str, str],
    known_by: KnownBy,
    vessel: str,
    meant_otherwise: float | None,
) -> tuple[tuple[LeftUnsaid, float], ...]:
    """What was taken because nobody said it, the largest effect first.

    Parameters
    ----------
    found : Diluted
    fields : mapping of str to str
        What was said.
    known_by : KnownBy
    vessel : str
        What the measuring vessel is taken to be made of.
    meant_otherwise : float or None
        What the spirit would be if its label meant another temperature, less what it is now. [% v/v]
    """
    made: list[tuple[LeftUnsaid, float]] = []
    want = found.want.value
    at = f"{found.temperature.value:g} °C"

    def of_mixture(name: str) -> float:
        return TWO * contribution(found.mixture, name)

    if known_by != "bottle" and not fields.get("have-plus-minus"):
        name = OWN_DOUBT[known_by]
        leaf = _leaf(found.have.answer, name)
        limits = (leaf.standard_uncertainty or 0.0) * 3.0**0.5
        moves = of_mixture(name)
        taken = (
            f"± {limits:.2g} {'g/mL' if leaf.unit == 'g/mL' else '% w/w' if known_by == 'mass' else '% v/v'}"
        )
        because = leaf.leaf.where if leaf.leaf else ""
        made.append(_one("how sure the strength is", taken, because, moves, "have-plus-minus", want))
    if known_by in ("density", "alcoholometer", "bottle") and not fields.get("read-at"):
        moves = _per_degree(found)
        made.append(
            (
                LeftUnsaid(
                    "how warm the spirit was when it was read", at, "the temperature now",
                    f"each degree moves the mixture by {moves:.2f} % v/v", "read-at",
                ),
                moves / want,
            )
        )  # fmt: skip
    if meant_otherwise is not None:
        moves = abs(meant_otherwise) * want / found.have.answer.value
        made.append(
            (
                LeftUnsaid(
                    "the temperature the label means", "20 °C", "usual in Europe",
                    f"meant at 15.56 °C, the mixture would hold {moves:.2f} % v/v "
                    f"{'more' if meant_otherwise > 0 else 'less'}"
                    if moves >= LEAST_TOLD
                    else "meant at 15.56 °C, it moves the mixture by less than 0.01 % v/v", "reference",
                ),
                moves / want,
            )
        )  # fmt: skip
    if not fields.get("vessel"):
        made.append(_vessel(found, vessel, to_mark=fields.get("amount-as", "").endswith(TO_THE_MARK)))
    if found.reading is not None:
        made += unsaid_of_the_reading(found.reading, fields, want)
    return tuple(sorted(made, key=lambda one: -one[1]))


def _one(
    what: str, taken: str, because: str, moves: float, name: str, want: float
) -> tuple[LeftUnsaid, float]:
    return LeftUnsaid(what, taken, because, f"moves the mixture by ± {moves:.2f} % v/v", name), moves / want


def _vessel(found: Diluted, vessel: str, *, to_mark: bool) -> tuple[LeftUnsaid, float]:
    volume, temperature = found.product_volume.value, found.temperature.value
    marks = {
        one.key: float(mark_for_volume_ml(volume, temperature, one.number("cubic_expansion_per_k")))
        for one in table("vessel_materials").rows
    }
    furthest = max(marks, key=lambda name: abs(marks[name] - marks[vessel]))
    moves = marks[furthest] - marks[vessel]
    if abs(moves) < 1e-6:
        effect = "nothing at 20 °C, where the marks are right"
    elif to_mark:
        effect = f"{furthest} would hold {abs(moves):.2g} mL {'less' if moves > 0 else 'more'}"
    else:
        effect = (
            f"the mark would stand {abs(moves):.2g} mL {'higher' if moves > 0 else 'lower'} in {furthest}"
        )
    because = "most measuring glasses" + (
        "" if to_mark else "; it matters for the marks only, never for the masses"
    )
    return LeftUnsaid("what the measuring vessel is made of", vessel, because, effect, "vessel"), abs(
        moves
    ) / volume / BESIDE


def unsaid_of_the_reading(
    reading: Stated, fields: Mapping[str, str], want: float
) -> list[tuple[LeftUnsaid, float]]:
    """What was taken of alcoholometer and thermometer because nobody said it.

    Parameters
    ----------
    reading : Stated
        What the alcoholometer should show. [% v/v, as read]
    fields : mapping of str to str
    want : float
        Strength of the mixture. [% v/v]
    """
    made = []
    for name, leaf, taken, because in (
        ("division", READING_DOUBT, "divisions of 1 % v/v", "a plain alcoholometer"),
        ("thermometer", "error of the thermometer", "± 0.5 °C", "a plain thermometer"),
    ):
        if fields.get(name):
            continue
        moves = TWO * contribution(reading, leaf)
        what = "how fine the alcoholometer is" if name == "division" else "how sure the thermometer is"
        effect = f"moves the reading to expect by ± {moves:.2f} % v/v; not the mixture"
        made.append((LeftUnsaid(what, taken, because, effect, name), moves / want / BESIDE))
    return made


def contribution(stated: Stated, name: str) -> float:
    """What one error does to a result, with its sign left out; errors of one beginning are summed in squares.

    Parameters
    ----------
    stated : Stated
    name : str
        Beginning of the error's name. [text]

    Returns
    -------
    float
        In the unit of the result. [% v/v]
    """
    found: list[Contribution] = [one for one in stated.budget.contributions if one.name.startswith(name)]
    return math.hypot(*(one.contribution for one in found))


def _per_degree(found: Diluted) -> float:
    """What one degree at the reading does to the mixture. [% v/v]."""
    error = _leaf(found.have.answer, "error of the thermometer")
    per_error: float = contribution(found.mixture, error.name)
    return per_error / (error.standard_uncertainty or 1.0)


def _leaf(answer: Answer, name: str) -> Answer:
    return next(one for one in leaves(answer) if one.name == name)
