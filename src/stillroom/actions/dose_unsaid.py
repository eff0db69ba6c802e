"""What nobody said when a dose was asked, and what each thing taken in its place does to the product.

Promises an effect reckoned from the doubt of the content itself, or from the dose worked out otherwise.
"""

import math
from collections.abc import Mapping

from stillroom.answers.bounds import lower_answer
from stillroom.evidence.answer import Answer, walk
from stillroom.products.dose import Dose
from stillroom.products.dose_asked import DOUBT, KNOWN_HOW
from stillroom.products.dose_option import Meets
from stillroom.products.dosing import dose_mass_g
from stillroom.records.answer_entries import LeftUnsaid

TWO = 2.0
"""Coverage factor the effects are told with."""
LESS_SURE = 0.90


def left_unsaid_of_dose(
    found: Dose, fields: Mapping[str, str], bulk: Answer, meets: Meets, next_lot: Answer
) -> tuple[tuple[LeftUnsaid, float], ...]:
    """What was taken because nobody said it, the largest effect first.

    Parameters
    ----------
    found : Dose
    fields : mapping of str to str
        What was said.
    bulk : Answer
        Finished bulk. [g]
    meets : Meets
    next_lot : Answer
        Its strength as said, or an example. [% w/w]
    """
    made: list[tuple[LeftUnsaid, float]] = []
    strength = found.strength.answer

    def of_content(name: str) -> float:
        """Twice what a leaf brings to the content, as a share of it."""
        parts = [one.contribution for one in found.content.budget.contributions if one.name.startswith(name)]
        return TWO * math.hypot(*parts) / found.content.answer.value

    def moves(what: str, taken: str, because: str, leaf: str, field: str) -> tuple[LeftUnsaid, float]:
        share = of_content(leaf)
        return LeftUnsaid(
            what, taken, because, f"moves the content by ± {100 * share:.1f} % of it", field
        ), share

    if _is_assumed(_leaf(strength, DOUBT)):
        key = fields.get("measured-by", "") or "not known"
        _, words, because = KNOWN_HOW[key]
        doubt = _leaf(strength, DOUBT)
        taken = f"± {TWO * (doubt.standard_uncertainty or 0.0):.2g} % w/w (k = 2): {words}"
        made.append(moves("how sure the strength is", taken, because, DOUBT, "plus-minus"))
    if fields.get("matter") == "dried" and not fields.get("loss-on-drying"):
        leaf = _leaf(strength, "loss on drying of the extract")
        because = leaf.leaf.where if leaf.leaf else ""
        taken = f"{leaf.value:g} %"
        made.append(moves("loss on drying of the extract", taken, because, leaf.name, "loss-on-drying"))
    if bulk.inputs and not fields.get("density"):
        leaf = _leaf(bulk, "density of the bulk")
        because = leaf.leaf.where if leaf.leaf else ""
        taken = f"{leaf.value:.2f} g/mL"
        made.append(moves("density of the bulk", taken, because, "error of the density", "density"))
    if meets == "aim at least" and not fields.get("how-sure"):
        made.append(_how_sure(found, strength, bulk))
    if not fields.get("next-strength"):
        made.append(
            (
                LeftUnsaid(
                    "strength of the next lot",
                    f"{next_lot.value:.3g} %",
                    "lots of one plant differ by more",
                    "nothing here: an example of the next dose",
                    "next-strength",
                ),
                0.0,
            )
        )
    return tuple(sorted(made, key=lambda one: -one[1]))


def _how_sure(found: Dose, strength: Answer, bulk: Answer) -> tuple[LeftUnsaid, float]:
    aim = next(one.value for name, one in found.chosen.exact.inputs if name == "aim_percent")
    less = dose_mass_g(bulk.value, aim, lower_answer(strength, coverage=LESS_SURE).value)
    saved = found.chosen.exact.value - less
    unsaid = LeftUnsaid(
        "how sure “at least” is meant",
        "95 of 100 such batches",
        "usual; by the doubt of the strength alone",
        f"with {100 * LESS_SURE:g} of 100 the dose would be {saved:.3g} g smaller",
        "how-sure",
    )
    return unsaid, saved / found.chosen.exact.value


def _is_assumed(answer: Answer) -> bool:
    return answer.leaf is not None and answer.leaf.kind == "assumed"


def _leaf(answer: Answer, name: str) -> Answer:
    return next(one for one in walk(answer) if one.name == name)
