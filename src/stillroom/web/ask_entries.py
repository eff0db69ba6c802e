"""What the first two questions ask: a few entries on one screen, and what else may be said, folded away.

An entry is a row of one to three controls under one label. Decides nothing about what may be entered.
"""

from stillroom.actions.dilute_entries import AMOUNT_AS, KNOWN_BY
from stillroom.actions.dilute_seen import HOLDS, OF
from stillroom.actions.scale_entries import words_of_scales
from stillroom.asking.form import AskForm, Choices, Control, Row
from stillroom.reference.tables import table
from stillroom.texts.catalogue import t


def _same(*words: str) -> Choices:
    return tuple((one, one) for one in words)


def dilute_question() -> AskForm:
    """Dilute spirit: four entries."""
    ways = tuple(
        (key, words if key == "bottle" else f"{words}, {unit}") for key, (words, unit) in KNOWN_BY.items()
    )
    vessels = tuple(one.key for one in table("vessel_materials").rows)
    return AskForm(
        name="dilute",
        title=t("Dilute spirit"),
        lead=t("How strong it is, what you want, how much, how warm it is now."),
        button=t("Calculate"),
        rows=(
            Row(
                t("Have, known by"),
                (
                    Control("have", t("Strength at hand"), "figure"),
                    Control("known-by", t("Known by"), "choice", choices=ways, value="label"),
                ),
                when="have",
            ),
            Row(
                t("Bottle empty, with water, with spirit, g"),
                (
                    Control("bottle-empty", t("Bottle empty, g"), "figure"),
                    Control("bottle-water", t("Bottle with water, g"), "figure"),
                    Control("bottle-spirit", t("Bottle with the spirit, g"), "figure"),
                ),
                when="bottle",
            ),
            Row(t("Want"), (Control("want", t("Strength wanted"), "figure", "% v/v"),)),
            Row(
                t("How much"),
                (
                    Control("amount", t("Amount"), "figure"),
                    Control(
                        "amount-as",
                        t("Of what"),
                        "choice",
                        choices=_same(*AMOUNT_AS),
                        value="L wanted",
                    ),
                ),
            ),
            Row(
                t("Temperature now"),
                (Control("temperature", t("Temperature now"), "figure", "°C"),),
            ),
        ),
        more=(
            Row(
                t("How sure the strength is"),
                (Control("have-plus-minus", t("± of the strength"), "figure"),),
                t("± in the unit of the strength (k = 2)"),
            ),
            Row(
                t("How warm the spirit was when it was read"),
                (Control("read-at", t("Temperature at the reading"), "figure", "°C"),),
                t("For a density, an alcoholometer or a bottle"),
            ),
            Row(
                t("The temperature or scale the label means"),
                (
                    Control(
                        "reference",
                        t("Temperature the label means"),
                        "choice",
                        choices=(("", t("not said")), *words_of_scales()),
                    ),
                ),
            ),
            Row(
                t("The measuring vessel: made of, called"),
                (
                    Control(
                        "vessel",
                        t("Measuring vessel"),
                        "choice",
                        choices=(("", t("not said")), *_same(*vessels)),
                    ),
                    Control("vessel-called", t("What the vessel is called")),
                ),
            ),
            Row(
                t("What the spirit holds"),
                (
                    Control(
                        "holds",
                        t("What the spirit holds"),
                        "choice",
                        choices=(("", t("not said")), *_same(*HOLDS)),
                    ),
                ),
                t("With anything dissolved, density and alcoholometer are not believed"),
            ),
            Row(
                t("One division of the alcoholometer"),
                (Control("division", t("Division"), "figure", "% v/v"),),
            ),
            Row(
                t("How far the thermometer may be off"),
                (Control("thermometer", t("± of the thermometer"), "figure", "°C"),),
            ),
            Row(
                t("A dropper that was weighed: drops, their mass, of what"),
                (
                    Control("drops-counted", t("Drops counted"), "figure"),
                    Control("drops-weigh", t("Together they weigh"), "figure", "g"),
                    Control("drops-of", t("Drops of"), "choice", choices=_same(*OF)),
                ),
                t("Twenty drops onto the scale; spirit drops are far smaller than those of water"),
            ),
            Row(
                t("The mixture stands there: what the alcoholometer shows, and how warm it is"),
                (
                    Control("shows", t("The alcoholometer shows"), "figure", "% v/v"),
                    Control("shows-at", t("Temperature of the mixture"), "figure", "°C"),
                ),
                t("Leave it alone, or what to add"),
            ),
        ),
    )
