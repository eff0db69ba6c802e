"""What the first two questions ask: a few entries on one screen, and what else may be said, folded away.

An entry is a row of one to three controls under one label. Decides nothing about what may be entered.
"""

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from stillroom.actions.dilute_entries import AMOUNT_AS, KNOWN_BY
from stillroom.actions.dilute_seen import HOLDS, OF
from stillroom.actions.scale_entries import words_of_scales
from stillroom.products.dose_asked import KNOWN_HOW
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.reference.tables import table

ControlKind: TypeAlias = Literal["figure", "text", "choice", "list", "date"]
Choices: TypeAlias = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Control:
    """One field in a row.

    Attributes
    ----------
    name : str
    label : str
        What it is by itself, for whoever cannot see the row.
    kind : ControlKind
        "list": text with names to choose from.
    unit : str
    choices : tuple of (str, str)
    value : str
        Shown before anything was typed.
    """

    name: str
    label: str
    kind: ControlKind = "text"
    unit: str = ""
    choices: Choices = ()
    value: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One entry: a label and its controls.

    Attributes
    ----------
    label : str
    controls : tuple of Control
    hint : str
    when : str
        Style class of a row that is shown only while a choice stands.
    """

    label: str
    controls: tuple[Control, ...]
    hint: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """A question with its entries.

    Attributes
    ----------
    name, title, lead, button : str
    rows : tuple of Row
        All on one screen of a phone.
    more : tuple of Row
        Folded away.
    """

    name: str
    title: str
    lead: str
    button: str
    rows: tuple[Row, ...]
    more: tuple[Row, ...] = field(default=())

    @property
    def fields(self) -> tuple[str, ...]:
        """Names of every field."""
        return tuple(one.name for row in (*self.rows, *self.more) for one in row.controls)

    @property
    def entries(self) -> tuple[str, ...]:
        """Names of the fields that are asked."""
        return tuple(one.name for row in self.rows for one in row.controls)


def _same(*words: str) -> Choices:
    return tuple((one, one) for one in words)


def dilute_question() -> Question:
    """Dilute spirit: four entries."""
    ways = tuple(
        (key, words if key == "bottle" else f"{words}, {unit}") for key, (words, unit) in KNOWN_BY.items()
    )
    vessels = tuple(one.key for one in table("vessel_materials").rows)
    return Question(
        name="dilute",
        title="Dilute spirit",
        lead="How strong it is, what you want, how much, how warm it is now.",
        button="Work it out",
        rows=(
            Row(
                "Have, known by",
                (
                    Control("have", "Strength at hand", "figure"),
                    Control("known-by", "Known by", "choice", choices=ways, value="label"),
                ),
                when="have",
            ),
            Row(
                "Bottle empty, with water, with spirit, g",
                (
                    Control("bottle-empty", "Bottle empty, g", "figure"),
                    Control("bottle-water", "Bottle with water, g", "figure"),
                    Control("bottle-spirit", "Bottle with the spirit, g", "figure"),
                ),
                when="bottle",
            ),
            Row("Want", (Control("want", "Strength wanted", "figure", "% v/v"),)),
            Row(
                "How much",
                (
                    Control("amount", "Amount", "figure"),
                    Control("amount-as", "Of what", "choice", choices=_same(*AMOUNT_AS), value="L wanted"),
                ),
            ),
            Row("Temperature now", (Control("temperature", "Temperature now", "figure", "°C"),)),
        ),
        more=(
            Row(
                "How sure the strength is",
                (Control("have-plus-minus", "± of the strength", "figure"),),
                "± in the unit of the strength (k = 2)",
            ),
            Row(
                "How warm the spirit was when it was read",
                (Control("read-at", "Temperature at the reading", "figure", "°C"),),
                "For a density, an alcoholometer or a bottle",
            ),
            Row(
                "The temperature or scale the label means",
                (
                    Control(
                        "reference",
                        "Temperature the label means",
                        "choice",
                        choices=(("", "not said"), *words_of_scales()),
                    ),
                ),
            ),
            Row(
                "The measuring vessel: made of, called",
                (
                    Control(
                        "vessel", "Measuring vessel", "choice", choices=(("", "not said"), *_same(*vessels))
                    ),
                    Control("vessel-called", "What the vessel is called"),
                ),
            ),
            Row(
                "What the spirit holds",
                (
                    Control(
                        "holds", "What the spirit holds", "choice", choices=(("", "not said"), *_same(*HOLDS))
                    ),
                ),
                "With anything dissolved, density and alcoholometer are not believed",
            ),
            Row("One division of the alcoholometer", (Control("division", "Division", "figure", "% v/v"),)),
            Row(
                "How far the thermometer may be off",
                (Control("thermometer", "± of the thermometer", "figure", "°C"),),
            ),
            Row(
                "A dropper that was weighed: drops, their mass, of what",
                (
                    Control("drops-counted", "Drops counted", "figure"),
                    Control("drops-weigh", "Together they weigh", "figure", "g"),
                    Control("drops-of", "Drops of", "choice", choices=_same(*OF)),
                ),
                "Twenty drops onto the scale; spirit drops are far smaller than those of water",
            ),
            Row(
                "The mixture stands there: what the alcoholometer shows, and how warm it is",
                (
                    Control("shows", "The alcoholometer shows", "figure", "% v/v"),
                    Control("shows-at", "Temperature of the mixture", "figure", "°C"),
                ),
                "Leave it alone, or what to add",
            ),
        ),
    )


def dose_question() -> Question:
    """Dose from an extract: six entries."""
    markers = ("total alkaloids as quinine", *(one.key for one in table("markers").rows))
    return Question(
        name="dose",
        title="Dose from an extract",
        lead="",
        button="Work it out",
        rows=(
            Row(
                "Strength of the extract, of what",
                (
                    Control("strength", "Strength of the extract", "figure", "%"),
                    Control("matter", "Of the extract", "choice", choices=_same("as is", "dried"), value="as is"),
                    Control("of", "Of what", "list", choices=_same(*markers)),
                ),
                when="strength",
            ),
            Row(
                "Its ±, or how it was measured",
                (
                    Control("plus-minus", "± of the strength (k = 2)", "figure", "%"),
                    Control(
                        "measured-by",
                        "How it was measured",
                        "choice",
                        choices=tuple((key, words) for key, (_, words, _) in KNOWN_HOW.items()),
                        value="not known",
                    ),
                ),
            ),
            Row(
                "The product is to hold",
                (
                    Control("meets", "Which way", "choice", choices=_same("about", "at least"), value="about"),
                    Control("wanted", "Content wanted", "figure", "%"),
                ),
                when="wanted",
            ),
            Row("Bulk, or bottles × mL", (Control("amount", "Bulk, or bottles × mL"),)),
            Row(
                "Kind of product, market",
                (
                    Control("kind", "Kind of product", "choice", choices=_same(*KINDS_OF_PRODUCT)),
                    Control("market", "Market", "choice", choices=_same("EU", "another"), value="EU"),
                ),
                when="kind",
            ),
            Row("Smallest step of the scale", (Control("step", "Smallest step of the scale", "figure", "g"),)),
        ),
        more=(
            Row(
                "Loss on drying of the extract",
                (Control("loss-on-drying", "Loss on drying", "figure", "%"),),
                "When the strength is of the dried extract",
            ),
            Row("Density of the bulk", (Control("density", "Density", "figure", "g/mL"),), "When bottles are counted"),
            Row("Extract at hand", (Control("at-hand", "Extract at hand", "figure", "g"),), "Tells what is left"),
            Row("Strength of the next lot, as is", (Control("next-strength", "Next lot", "figure", "%"),)),
            Row(
                "Your usual share of extract",
                (Control("usual-share", "Usual share", "figure", "%"),),
                "Tells what a fixed share would make",
            ),
            Row("How sure “at least” is meant", (Control("how-sure", "How sure", "figure", "of 100"),)),
        ),
    )  # fmt: skip
