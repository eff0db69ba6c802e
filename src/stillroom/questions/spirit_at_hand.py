"""The strength of a spirit, as every question asks it: the figure, how it is known, and all that it refers to.

``spirit: AtHand = together(StrengthSaid, at_hand)`` in the record of a question asks for one; ``spirit_in_words`` reads
one that is said in a single entry. A figure without a unit takes the one printed beside its field, and a strength on
another basis than its field says is asked back. The temperature of the liquid is asked beside it (``temperature_now``),
never filled in, and makes the answer of it: ``AtHand.stated``.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.answers.budget import Stated
from stillroom.answers.spirit_stated import stated_strength, way_of
from stillroom.answers.spirit_strength import KnownBy, doubt, strength_by_bottle
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Sentence
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Part
from stillroom.errors import BadEntry, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import degrees_apart, entry, several, step_of, sureness_of
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.strength_words import read_strength
from stillroom.quantities.strengths import SCALES, USUAL_C, Strength
from stillroom.quantities.units import Ratio, convert
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import later

KNOWN_BY: Mapping[str, str] = {
    "label": later("label, % v/v"), "certificate": later("certificate, % v/v"), "mass": later("certificate, % w/w"),
    "density": later("density, g/mL"), "alcoholometer": later("alcoholometer, % v/v"),
    "bottle": later("bottle and scale"),
}  # fmt: skip
"""Ways to know a strength, with the unit of a figure that has none."""
READ_IN_IT: tuple[KnownBy, ...] = ("density", "alcoholometer", "bottle")
"""Ways that read the strength off the liquid itself."""
TEMPERATURES_C = (-20.0, 40.0)
ANOTHER_ALCOHOL = ("methanol", "methyl", "isopropanol", "isopropyl", "propanol", "rubbing alcohol")
WEIGHED_THREE_TIMES = later("A bottle is weighed three times: empty, full of water, full of the spirit")


@dataclass(frozen=True, slots=True)
class AtHand:
    """A spirit as somebody said how strong it is."""

    known_by: KnownBy
    strength: Strength | None
    """In words; None where only a bottle was weighed. A reading whose temperature nobody said has a usual one."""
    bottle: tuple[Answer, Answer, Answer] | None = None
    """Empty, with water, with the spirit. [g]"""
    read_at: Answer | None = None
    """Temperature of the bottle, where it was said. [°C]"""
    where: str = "have"
    """The entry its errors stand at."""

    @property
    def is_read(self) -> bool:
        """Whether it was read off the liquid, and not stated by somebody else."""
        return self.known_by in READ_IN_IT

    def stated(self, temperature: Answer, thermometer: Answer) -> Stated:
        """Its strength by volume at 20 °C, with its doubt.

        Parameters
        ----------
        temperature : Answer
            Of the liquid: that of a reading where nobody said another. [°C]
        thermometer : Answer
            What the thermometer may be off. [°C]

        Raises
        ------
        OutsideModel
            No spirit is that strong, or has that density or reading at that temperature.
        BadEntry
            What is stated and what the bottle weighs cannot both be true.
        """
        in_words = None
        if self.strength is not None:
            try:
                in_words = stated_strength(
                    self._at(self.strength, temperature), thermometer, temperature=temperature
                )
            except StillroomError as error:
                raise error.at(self.where) from error
        if self.bottle is None and in_words is not None:
            return in_words
        return self._weighed(in_words, self.read_at or temperature, thermometer)

    def words(self, temperature: Answer) -> str:
        """What was said, in words that hold all it refers to."""
        if self.bottle is not None:
            empty, water, spirit = (one.value for one in self.bottle)
            return worded(
                "{empty:g} g empty, {water:g} g with water, {spirit:g} g with the spirit",
                empty=empty, water=water, spirit=spirit,
            )  # fmt: skip
        if self.strength is None:
            return ""
        strength = self._at(self.strength, temperature)
        if not strength.is_stated:
            return strength.words
        return worded("{strength}, by its {way}", strength=strength.words, way=strength.known_by)

    @staticmethod
    def _at(strength: Strength, temperature: Answer) -> Strength:
        if strength.is_stated or strength.temperature_said:
            return strength
        return replace(strength, temperature_c=temperature.value)

    def _weighed(self, in_words: Stated | None, read_at: Answer, thermometer: Answer) -> Stated:
        if self.bottle is None:
            raise BadEntry(
                WEIGHED_THREE_TIMES, "nothing", "Weigh it at one temperature", where="bottle-spirit"
            )
        try:
            weighed = strength_by_bottle(*self.bottle, read_at, thermometer)
        except StillroomError as error:
            raise error.at("bottle-spirit") from error
        if in_words is None:
            return weighed
        allowed = math.hypot(weighed.expanded_uncertainty, in_words.expanded_uncertainty)
        if abs(weighed.answer.value - in_words.answer.value) > allowed:
            raise BadEntry(
                "What is stated of a spirit and what its bottle weighs must agree within their doubts",
                worded(
                    "{stated:.2f} % v/v stated, {weighed:.2f} % v/v by weighing, ± {allowed:.2f} together",
                    stated=in_words.answer.value, weighed=weighed.answer.value, allowed=allowed,
                ),
                "Weigh again, or leave out what is not believed", where=self.where,
            )  # fmt: skip
        return weighed


# ---- what is asked


def as_written(text: str, where: str) -> str:  # noqa: ARG001
    """A figure that is read together with what stands beside it."""
    return text


def scales() -> Mapping[str, str]:
    """The scales a label may mean, with what each is."""
    return {name: f"{name}: {one.because}" if one.because else name for name, one in SCALES.items()}


def weighed_in(text: str, where: str) -> Answer:
    """A weighing, doubted by its last figure [g]."""
    called = {"bottle-empty": "bottle empty", "bottle-water": "bottle with water"}.get(
        where, "bottle with the spirit"
    )
    written = entry(text, "g", where=where)
    return reading(
        called, written.in_unit("g"), "g", "as asked, doubted by its last figure",
        standard_uncertainty=step_of(written, "g") / 12.0**0.5, shape="rectangular",
    )  # fmt: skip


def thermometer_in(text: str, where: str) -> Answer:
    """How far a thermometer may be off either way [°C]."""
    limits = degrees_apart(text, where=where)
    if not limits > 0:
        raise BadEntry("A doubt lies above zero", repr(text[:40]), "Nothing is known exactly", where=where)
    return doubt("error of the thermometer", limits, "°C", ASKED, said=True)


def plain_thermometer() -> Answer:
    """What a thermometer is taken to be off where nobody said [°C]."""
    limits = rule("thermometer-limits").value
    return doubt("error of the thermometer", limits, "°C", "a plain thermometer", said=False)


def temperature_in(text: str, where: str) -> Answer:
    """The temperature of spirit, as far as its density is known [°C]."""
    value = entry(text, "°C", where=where).in_unit("°C")
    low, high = TEMPERATURES_C
    if not low <= value <= high:
        raise OutsideModel(
            worded("Spirit is calculated from {low:g} to {high:g} °C", low=low, high=high),
            f"{value:g} °C", "Bring it into that range, and read again", where=where,
        )  # fmt: skip
    return reading("temperature", value, "°C", ASKED)


def temperature_now(option: str = "at") -> Answer:
    """The entry of the temperature now: asked, never filled in."""
    return needed(
        Own(temperature_in, "figure", "°C"),
        must=later("The temperature is asked, never filled in"), do=later("Hold the thermometer in the spirit"),
        label=later("Temperature now"), house="room temperature", option=option,
        help='Temperature of the liquids: "20 °C". Asked, never filled in.',
    )  # fmt: skip


def thermometer_said(unsaid: Assumption | None = None) -> Answer | None:
    """The entry of how far the thermometer may be off; ``plain_thermometer`` where nobody says it."""
    return maybe(
        Own(thermometer_in, "figure", "°C"),
        label=later("How far the thermometer may be off"), short=later("± of the thermometer"), folded=True,
        help='How far the thermometer may be off: "0.2".', unsaid=unsaid,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthSaid(Part):
    """How strong a spirit is and how that is known, as a question asks it."""

    have: str | None = maybe(
        Own(as_written, "figure"), label=later("Have, known by"), short=later("Strength at hand"), when="have",
        help='Strength at hand: "96.0 % v/v", "93.8 % w/w", "83 % v/v at 31 °C by alcoholometer".',
    )  # fmt: skip
    known_by: str | None = maybe(
        OneOf(
            KNOWN_BY,
            must=worded("A strength is known by one of {known_by}", known_by=", ".join(KNOWN_BY)),
        ),
        label=later("Known by"), beside=True, chosen="label",
        help="How it is known; told by its unit where it is left out.",
    )  # fmt: skip
    bottle_empty: Answer | None = maybe(
        Own(weighed_in, "figure"), label=later("Bottle empty, with water, with spirit, g"),
        short=later("Bottle empty, g"), when="bottle",
    )  # fmt: skip
    bottle_water: Answer | None = maybe(
        Own(weighed_in, "figure"), label=later("Bottle with water, g"), beside=True
    )
    bottle_spirit: Answer | None = maybe(
        Own(weighed_in, "figure"), label=later("Bottle with the spirit, g"), beside=True
    )
    have_plus_minus: str = taken(
        "", Own(as_written, "figure"), label=later("How sure the strength is"), short=later("± of the strength"),
        hint=later("± in the unit of the strength (k = 2)"), folded=True, option="plus-minus",
        help="How sure the strength is (k = 2), in its unit.",
    )  # fmt: skip
    read_at: Answer | None = maybe(
        Figure(of="temperature at the reading", symbol="°C", unit="°C"),
        label=later("How warm the spirit was when it was read"), short=later("Temperature at the reading"),
        hint=later("For a density, an alcoholometer or a bottle"), folded=True,
        help="Temperature at which the strength was read.",
    )  # fmt: skip
    reference: str = taken(
        "", Own(as_written, "choice", named=scales),
        label=later("The temperature or scale the label means"), short=later("Temperature the label means"),
        folded=True, help='Temperature or scale the label means: "15.56 °C", "Tralles".',
    )  # fmt: skip


def at_hand(said: StrengthSaid) -> AtHand:
    """The spirit of these entries.

    Raises
    ------
    BadEntry
        A strength is missing, cannot be read, lacks what it refers to, or two entries contradict each other.
    """
    refuse_another_alcohol(said.have or "", "have")
    weighings = {
        "bottle-empty": said.bottle_empty,
        "bottle-water": said.bottle_water,
        "bottle-spirit": said.bottle_spirit,
    }
    if said.known_by != "bottle" and not any(weighings.values()):
        if not said.have:
            raise BadEntry(
                "The strength of the spirit at hand is needed", "nothing",
                "Read its label, or hold an alcoholometer in it", where="have",
            )  # fmt: skip
        strength = _strength(said.have, said.known_by or "", said, read_at=said.read_at)
        return AtHand(way_of(strength), strength)
    missing = next((name for name, one in weighings.items() if one is None), "")
    if said.bottle_empty is None or said.bottle_water is None or said.bottle_spirit is None:
        raise BadEntry(WEIGHED_THREE_TIMES, "nothing here", "Weigh it at one temperature", where=missing)
    by_weighing = said.known_by in (None, "bottle")
    known_by, read_at, printed = ("", None, "v/v") if by_weighing else (said.known_by or "", said.read_at, "")
    in_words = _strength(said.have, known_by, said, read_at=read_at, printed=printed) if said.have else None
    weighed = said.bottle_empty, said.bottle_water, said.bottle_spirit
    return AtHand("bottle", in_words, weighed, said.read_at)


def spirit_in_words(text: str, where: str) -> AtHand:
    """A spirit whose strength is said in one entry, by volume where it says no ratio.

    Parameters
    ----------
    text : str
        "96 ± 0.3", "83 % v/v at 31 °C by alcoholometer". [text]
    where : str
        The entry. [text]
    """
    refuse_another_alcohol(text, where)
    strength = read_strength(text, otherwise_at_c=USUAL_C, bare_ratio="v/v", where=where)
    return AtHand(way_of(strength), strength, where=where)


def refuse_another_alcohol(text: str, where: str) -> None:
    """Refuse a liquid that is not ethanol: the density table does not hold for it."""
    other = next((one for one in ANOTHER_ALCOHOL if one in text.casefold()), "")
    if other:
        raise BadEntry(
            "Spirit is ethanol and water here, and nothing else",
            worded(
                "{other}; methanol blinds and kills, and neither alcoholometer nor density tells it from ethanol",
                other=other,
            ),
            "Buy ethanol with a certificate, and keep the other bottle away",
            where=where,
        )


def weighed_bottle(text: str, _: int) -> dict[str, str]:
    """The entries of a bottle, from "24.31, 74.12, 64.60 g"."""
    weighed = [one.as_written for one in several(text, "g", where="--bottle")]
    if len(weighed) != 3:
        raise BadEntry(
            "A bottle is weighed three times: empty, with water, with the spirit", repr(text),
            'Write "24.31, 74.12, 64.60 g"', where="--bottle",
        )  # fmt: skip
    return dict(zip(BOTTLE.says, weighed, strict=True))


BOTTLE = Sentence(
    "bottle",
    help='Weighed empty, with water, with spirit: "24.31, 74.12, 64.60 g".',
    says=("bottle-empty", "bottle-water", "bottle-spirit"),
    reads=weighed_bottle,
)
"""How a command says the three weighings of a bottle."""


def _strength(
    have: str, known_by: str, said: StrengthSaid, *, read_at: Answer | None, printed: str = ""
) -> Strength:
    strength = read_strength(
        have,
        known_by=known_by,
        read_at_c=None if read_at is None else read_at.value,
        otherwise_at_c=USUAL_C,
        means=said.reference,
        bare_ratio=_bare_ratio(known_by, printed),
        where="have",
    )
    return _with_doubt(strength, said.have_plus_minus)


def _bare_ratio(known_by: str, printed: str) -> Ratio | None:
    """The ratio of a figure that says none: the one its way has, or the one printed beside its field."""
    if known_by == "mass":
        return "w/w"
    by_volume = known_by in ("label", "certificate", "alcoholometer") or printed == "v/v"
    return "v/v" if by_volume else None


def _with_doubt(strength: Strength, text: str) -> Strength:
    """The strength with the doubt of the field beside it, k = 2, in the unit of the strength."""
    if not text:
        return strength
    own = strength.unit_written or "%"
    unit = own if strength.unit == "°" else strength.unit
    beside = Quantity(
        convert(strength.value, unit, own),
        own,
        Basis(ratio=strength.ratio),
        standard_uncertainty=None
        if strength.standard_uncertainty is None
        else strength.standard_uncertainty * convert(1.0, unit, own),
        as_written=strength.as_written,
    )
    sure = sureness_of(beside, text.replace("°", ""), unit, where="have-plus-minus")
    within = strength.within_limits or sure.within_limits
    return replace(strength, standard_uncertainty=sure.half_width / 2.0, within_limits=within)
