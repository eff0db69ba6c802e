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
from stillroom.substances.markers import marker_names
from stillroom.texts.catalogue import t

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
        title=t("ask_form.dilute_spirit"),
        lead=t("ask_form.how_strong_you_want"),
        button=t("ask_form.work_it_out"),
        rows=(
            Row(
                t("ask_form.have_known_by"),
                (
                    Control("have", t("ask_form.strength_at_hand"), "figure"),
                    Control("known-by", t("ask_form.known_by"), "choice", choices=ways, value="label"),
                ),
                when="have",
            ),
            Row(
                t("ask_form.bottle_empty_water_spirit"),
                (
                    Control("bottle-empty", t("ask_form.bottle_empty"), "figure"),
                    Control("bottle-water", t("ask_form.bottle_with_water"), "figure"),
                    Control("bottle-spirit", t("ask_form.bottle_with_the_spirit"), "figure"),
                ),
                when="bottle",
            ),
            Row(t("ask_form.want"), (Control("want", t("ask_form.strength_wanted"), "figure", "% v/v"),)),
            Row(
                t("ask_form.how_much"),
                (
                    Control("amount", t("ask_form.amount"), "figure"),
                    Control(
                        "amount-as",
                        t("ask_form.of_what"),
                        "choice",
                        choices=_same(*AMOUNT_AS),
                        value="L wanted",
                    ),
                ),
            ),
            Row(
                t("ask_form.temperature_now"),
                (Control("temperature", t("ask_form.temperature_now"), "figure", "°C"),),
            ),
        ),
        more=(
            Row(
                t("ask_form.how_sure_strength"),
                (Control("have-plus-minus", t("ask_form.of_the_strength"), "figure"),),
                t("ask_form.unit_strength"),
            ),
            Row(
                t("ask_form.how_warm_spirit_read"),
                (Control("read-at", t("ask_form.temperature_at_the_reading"), "figure", "°C"),),
                t("ask_form.density_alcoholometer_bottle"),
            ),
            Row(
                t("ask_form.temperature_scale_label_means"),
                (
                    Control(
                        "reference",
                        t("ask_form.temperature_the_label_means"),
                        "choice",
                        choices=(("", t("ask_form.not_said")), *words_of_scales()),
                    ),
                ),
            ),
            Row(
                t("ask_form.measuring_vessel_made_called"),
                (
                    Control(
                        "vessel",
                        t("ask_form.measuring_vessel"),
                        "choice",
                        choices=(("", t("ask_form.not_said")), *_same(*vessels)),
                    ),
                    Control("vessel-called", t("ask_form.vessel_called")),
                ),
            ),
            Row(
                t("ask_form.what_the_spirit_holds"),
                (
                    Control(
                        "holds",
                        t("ask_form.what_the_spirit_holds"),
                        "choice",
                        choices=(("", t("ask_form.not_said")), *_same(*HOLDS)),
                    ),
                ),
                t("ask_form.anything_dissolved_density_alcoholometer"),
            ),
            Row(
                t("ask_form.division_alcoholometer"),
                (Control("division", t("ask_form.division"), "figure", "% v/v"),),
            ),
            Row(
                t("ask_form.how_far_thermometer_may"),
                (Control("thermometer", t("ask_form.of_the_thermometer"), "figure", "°C"),),
            ),
            Row(
                t("ask_form.dropper_weighed_drops_mass"),
                (
                    Control("drops-counted", t("ask_form.drops_counted"), "figure"),
                    Control("drops-weigh", t("ask_form.together_they_weigh"), "figure", "g"),
                    Control("drops-of", t("ask_form.drops_of"), "choice", choices=_same(*OF)),
                ),
                t("ask_form.twenty_drops_onto_scale"),
            ),
            Row(
                t("ask_form.mixture_stands_alcoholometer_shows"),
                (
                    Control("shows", t("ask_form.the_alcoholometer_shows"), "figure", "% v/v"),
                    Control("shows-at", t("ask_form.temperature_of_the_mixture"), "figure", "°C"),
                ),
                t("ask_form.leave_alone_add"),
            ),
        ),
    )


def dose_question() -> Question:
    """Dose from an extract: six entries."""
    markers = ("total alkaloids as quinine", *marker_names())
    return Question(
        name="dose",
        title=t("ask_form.dose_from_an_extract"),
        lead="",
        button=t("ask_form.work_it_out"),
        rows=(
            Row(
                t("ask_form.strength_extract"),
                (
                    Control("strength", t("ask_form.strength_of_the_extract"), "figure", "%"),
                    Control(
                        "matter",
                        t("ask_form.of_the_extract"),
                        "choice",
                        choices=_same("as is", "dried"),
                        value="as is",
                    ),
                    Control("of", t("ask_form.of_what"), "list", choices=_same(*markers)),
                ),
                when="strength",
            ),
            Row(
                t("ask_form.how_measured"),
                (
                    Control("plus-minus", t("ask_form.of_the_strength_at_k_2"), "figure"),
                    Control(
                        "measured-by",
                        t("ask_form.how_it_was_measured"),
                        "choice",
                        choices=tuple((key, words) for key, (_, words, _) in KNOWN_HOW.items()),
                        value="not known",
                    ),
                ),
            ),
            Row(
                t("ask_form.product_hold"),
                (
                    Control(
                        "meets",
                        t("ask_form.which_way"),
                        "choice",
                        choices=_same("about", "at least"),
                        value="about",
                    ),
                    Control("wanted", t("ask_form.content_wanted"), "figure", "%"),
                ),
                when="wanted",
            ),
            Row(t("ask_form.bulk_or_bottles"), (Control("amount", t("ask_form.bulk_or_bottles")),)),
            Row(
                t("ask_form.kind_of_product_market"),
                (
                    Control(
                        "kind", t("ask_form.kind_of_product"), "choice", choices=_same(*KINDS_OF_PRODUCT)
                    ),
                    Control(
                        "market", t("ask_form.market"), "choice", choices=_same("EU", "another"), value="EU"
                    ),
                ),
                when="kind",
            ),
            Row(
                t("ask_form.smallest_step_scale"),
                (Control("step", t("ask_form.smallest_step_scale"), "figure", "g"),),
            ),
        ),
        more=(
            Row(
                t("ask_form.loss_drying_extract"),
                (Control("loss-on-drying", t("ask_form.loss_on_drying"), "figure", "%"),),
                t("ask_form.strength_dried_extract"),
            ),
            Row(
                t("ask_form.density_of_the_bulk"),
                (Control("density", t("ask_form.density"), "figure", "g/mL"),),
                t("ask_form.when_bottles_are_counted"),
            ),
            Row(
                t("ask_form.extract_at_hand"),
                (Control("at-hand", t("ask_form.extract_at_hand"), "figure", "g"),),
                t("ask_form.tells_what_is_left"),
            ),
            Row(
                t("ask_form.strength_next_lot"),
                (Control("next-strength", t("ask_form.next_lot"), "figure", "%"),),
            ),
            Row(
                t("ask_form.your_usual_share_extract"),
                (Control("usual-share", t("ask_form.usual_share"), "figure", "%"),),
                t("ask_form.tells_fixed_share_would"),
            ),
            Row(
                t("ask_form.how_sure_least_meant"),
                (Control("how-sure", t("ask_form.how_sure"), "figure", "of 100"),),
            ),
        ),
    )
