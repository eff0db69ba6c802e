"""What is taken of a spirit, an alcoholometer and a thermometer where nobody says it, and what that does to a mixture.

Promises an effect that is reckoned from the answer itself: a share of its doubt, or the answer worked out otherwise.
"""

import math
from typing import Any, Protocol

from stillroom.answers.budget import Stated
from stillroom.answers.spirit_stated import doubt_called
from stillroom.answers.spirit_strength import (
    READING_DOUBT,
    assumed_doubt,
    doubt,
    strength_by_label_percent,
)
from stillroom.asking.entries import Assumption, maybe
from stillroom.asking.readers import Own
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, leaves
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry
from stillroom.quantities.fractions import volume_fraction
from stillroom.quantities.strengths import SIXTY_FAHRENHEIT_C
from stillroom.questions.spirit_at_hand import AtHand
from stillroom.texts.catalogue import later

TWO = 2.0
"""Coverage factor the effects are told with."""
LEAST_TOLD = 0.005
BESIDE = 10.0
"""What moves a mark or a reading and not the mixture stands that much lower in the list."""
THERMOMETER = "error of the thermometer"


class Checked(Protocol):
    """A mixture with what an alcoholometer should show in it."""

    @property
    def mixture(self) -> Stated:
        """Its strength [% v/v at 20 °C]."""
        ...

    @property
    def reading(self) -> Stated | None:
        """What it should show; None where the scale ends before [% v/v, as read]."""
        ...


def contribution(stated: Stated, name: str) -> float:
    """What one error does to a result, with its sign left out; errors of one beginning are summed in squares.

    Parameters
    ----------
    name : str
        Beginning of the error's name. [text]

    Returns
    -------
    float
        In the unit of the result. [% v/v]
    """
    found = [one for one in stated.budget.contributions if one.name.startswith(name)]
    return math.hypot(*(one.contribution for one in found))


def leaf_of(answer: Answer, name: str) -> Answer:
    """The first leaf of that name in a trail."""
    return next(one for one in leaves(answer) if one.name == name)


# ---- the strength


def strength_assumed(
    spirit: AtHand, have: Stated, mixture: Stated, temperature: Answer
) -> tuple[Assumption, ...]:
    """What was taken of a spirit because nobody said it.

    Parameters
    ----------
    spirit : AtHand
        As it was said.
    have, mixture : Stated
        Its strength, and that of what is made of it. [% v/v at 20 °C]
    temperature : Answer
        Of the liquids. [°C]
    """
    made, known = mixture.answer.value, spirit.strength
    found = []
    if spirit.known_by != "bottle" and known is not None and known.standard_uncertainty is None:
        leaf = leaf_of(have.answer, doubt_called(known))
        unit = leaf.unit if leaf.unit == "g/mL" else "% w/w" if spirit.known_by == "mass" else "% v/v"
        moves = TWO * contribution(mixture, leaf.name)
        found.append(sureness(later("how sure the strength is"), leaf, unit, moves, made, "have-plus-minus"))
    read_at_said = (
        spirit.read_at is not None if spirit.bottle else known is not None and known.temperature_said
    )
    if spirit.is_read and not read_at_said:
        off = leaf_of(have.answer, THERMOMETER)
        moves = contribution(mixture, THERMOMETER) / (off.standard_uncertainty or 1.0)
        found.append(Assumption(
            what=later("how warm the spirit was when it was read"), taken=f"{temperature.value:g} °C",
            because=later("the temperature now"), share=moves / made, field="read-at",
            effect=worded("each degree moves the mixture by {moves:.2f} % v/v", moves=moves),
        ))  # fmt: skip
    if (
        not spirit.bottle
        and spirit.known_by in ("label", "certificate")
        and known
        and not known.temperature_said
    ):
        found.append(_meaning(have, made))
    return tuple(found)


def sureness(what: str, leaf: Answer, unit: str, moves: float, made: float, field: str) -> Assumption:
    """How sure a strength is taken to be, and what that does to a mixture of so many % v/v."""
    return Assumption(
        what=what, taken=f"± {(leaf.standard_uncertainty or 0.0) * 3.0**0.5:.2g} {unit}",
        because=leaf.leaf.where if leaf.leaf else "", share=moves / made, field=field,
        effect=worded("moves the mixture by ± {moves:.2f} % v/v", moves=moves),
    )  # fmt: skip


def _meaning(have: Stated, made: float) -> Assumption:
    """The temperature a label means: what the mixture would be if that were another."""
    stated = next(one.value for name, one in have.answer.inputs if name == "volume_percent")
    otherwise = strength_by_label_percent(stated, SIXTY_FAHRENHEIT_C, 0.0) - have.answer.value
    moves = abs(otherwise) * made / have.answer.value
    more = later("meant at 15.56 °C, the mixture would hold {moves:.2f} % v/v more")
    less = later("meant at 15.56 °C, the mixture would hold {moves:.2f} % v/v less")
    return Assumption(
        what=later("the temperature the label means"), taken="20 °C", because=later("usual in Europe"),
        share=moves / made, field="reference",
        effect=worded(more if otherwise > 0 else less, moves=moves)
        if moves >= LEAST_TOLD
        else later("meant at 15.56 °C, it moves the mixture by less than 0.01 % v/v"),
    )  # fmt: skip


# ---- the instruments held into the mixture


def is_checked(found: Checked, _: Any) -> bool:
    """Whether a reading is to be expected at all."""
    return found.reading is not None


def _moved(found: Checked, error: str) -> float:
    return TWO * contribution(found.reading, error) if found.reading else 0.0


def _of_the_reading(what: str, taken: str, because: str, error: str) -> Assumption:
    def effect(found: Checked, _: Any) -> str:
        moves = _moved(found, error)
        return worded("moves the reading to expect by ± {moves:.2f} % v/v; not the mixture", moves=moves)

    def share(found: Checked, _: Any) -> float:
        return _moved(found, error) / found.mixture.answer.value / BESIDE

    return Assumption(what, taken, because, effect, share, is_checked)


PLAIN_THERMOMETER = _of_the_reading(
    later("how sure the thermometer is"), "± 0.5 °C", later("a plain thermometer"), THERMOMETER
)
PLAIN_ALCOHOLOMETER = _of_the_reading(
    later("how fine the alcoholometer is"),
    later("divisions of 1 % v/v"),
    later("a plain alcoholometer"),
    READING_DOUBT,
)


def division_in(text: str, where: str) -> Answer:
    """What an alcoholometer may be off, from one of its divisions [% v/v]."""
    division = entry(text, "%", by_definition=Basis(ratio="v/v"), where=where)
    if division.basis.ratio != "v/v":
        raise BadEntry("An alcoholometer is divided in % v/v", repr(text[:40]), 'Write "0.5 %"', where=where)
    half = 100 * volume_fraction(division, where=where) / 2.0
    return doubt(READING_DOUBT, half, "%", "half a division either way", said=True)


def division_said() -> Answer | None:
    """The entry of how fine the alcoholometer is; ``plain_alcoholometer`` where nobody says it."""
    return maybe(
        Own(division_in, "figure", "% v/v"),
        label=later("One division of the alcoholometer"), short=later("Division"), folded=True,
        help='One division of the alcoholometer: "0.5 %".', unsaid=PLAIN_ALCOHOLOMETER,
    )  # fmt: skip


def plain_alcoholometer() -> Answer:
    """What an alcoholometer is taken to be off where nobody said [% v/v]."""
    return assumed_doubt("alcoholometer", name=READING_DOUBT)
