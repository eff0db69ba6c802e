"""What the sums of the bench ask: spirit back, an acid, a buffer, a Soxhlet, cooling; the rest folded away.

Decides nothing about what may be entered.
"""

from stillroom.actions.acid_entries import BASES
from stillroom.actions.ask_recover import HOLDS, STOP_AS
from stillroom.actions.dilute_entries import KNOWN_BY
from stillroom.asking.form import AskForm, Control, Row
from stillroom.reference.tables import table
from stillroom.texts.catalogue import t


def recover_question() -> AskForm:
    """Get spirit back: what is in the flask, how much, how warm, where to stop."""
    ways = tuple((key, f"{words}, {unit}") for key, (words, unit) in KNOWN_BY.items() if key != "bottle")
    stops = tuple((key, f"{unit} {words}") for key, (words, unit) in STOP_AS.items())
    return AskForm(
        name="recover",
        title=t("Recover spirit"),
        lead=t("How strong it is in the flask, how much, how warm it is now, where you stop."),
        button=t("What comes over?"),
        rows=(
            Row(
                t("In the flask, known by"),
                (
                    Control("have", t("Strength in the flask"), "figure"),
                    Control("known-by", t("Known by"), "choice", choices=ways, value="label"),
                ),
                t("With extract in it: the strength it had before the plant"),
            ),
            Row(
                t("How much"),
                (Control("amount", t("Amount")),),
                t("Such as 5 L or 4.4 kg"),
            ),
            Row(
                t("Temperature now"),
                (Control("temperature", t("Temperature now"), "figure", "°C"),),
            ),
            Row(
                t("Stop when"),
                (
                    Control("stop", t("Stop when"), "figure"),
                    Control("stop-as", t("What is meant"), "choice", choices=stops, value="share"),
                ),
            ),
        ),
        more=(
            Row(t("Heater"), (Control("power", t("Heater"), "figure", "W"),)),
            Row(
                t("How much of its power arrives"),
                (Control("share", t("Share that arrives"), "figure", "%"),),
            ),
            Row(t("Altitude"), (Control("altitude", t("Altitude"), "figure", "m"),)),
            Row(
                t("Or the pressure in the still"),
                (Control("pressure", t("Pressure in the still")),),
                t(
                    "Under a vacuum, such as 400 hPa, 400 mbar or 40 kPa: absolute pressure, zero is a "
                    "full vacuum"
                ),
            ),
            Row(
                t("What gets past the condenser"),
                (Control("escapes", t("Past the condenser"), "figure", "%"),),
            ),
            Row(
                t("How warm the distillate is"),
                (Control("distillate-at", t("Distillate at"), "figure", "°C"),),
            ),
            Row(
                t("What else is in the flask"),
                (
                    Control(
                        "holds",
                        t("It holds"),
                        "choice",
                        choices=(("", t("not said")), *((one, one) for one in HOLDS)),
                    ),
                ),
            ),
            Row(
                t("How sure the strength is"),
                (Control("have-plus-minus", t("± of the strength"), "figure"),),
                "k = 2",
            ),
            Row(t("Temperature when it was read"), (Control("read-at", t("Read at"), "figure", "°C"),)),
        ),
    )


def acid_question() -> AskForm:
    """Thin an acid or alkali: of what, wanted, how much."""
    sold = tuple((one.key, one.key) for one in table("commercial_reagents").rows)
    return AskForm(
        name="acid",
        title=t("Dilute an acid or alkali, dissolve a salt"),
        lead=t("What the bottle says, the strength you want, how much of it."),
        button=t("Calculate"),
        rows=(
            Row(
                t("The bottle"),
                (Control("of", t("The bottle"), "list", choices=sold),),
                t("Such as hydrochloric acid 37 %"),
            ),
            Row(
                t("Strength wanted"),
                (
                    Control("want", t("Strength wanted")),
                    Control(
                        "basis",
                        t("What a percentage means"),
                        "choice",
                        choices=(("", t("not said")), *BASES.items()),
                    ),
                ),
                t("Such as 5 %, 0.1 mol/L or 1 in 20"),
            ),
            Row(
                t("How much"),
                (
                    Control("amount", t("Amount")),
                    Control(
                        "amount-as",
                        t("Of what"),
                        "choice",
                        choices=(("wanted", "wanted"), ("at hand", t("at hand, from the bottle"))),
                        value="wanted",
                    ),
                ),
                t("Such as 1 L or 250 g"),
            ),
        ),
        more=(
            Row(
                t("How sure the label is"),
                (Control("have-plus-minus", t("± of the label"), "figure", "%"),),
                "± in % w/w (k = 2)",
            ),
            Row(t("Density of the bottle at 20 °C"), (Control("density", t("Density"), "figure", "g/mL"),)),
            Row(
                t("Strength of the bottle by titration"),
                (
                    Control("titrated", t("By titration")),
                    Control("titrated-plus-minus", t("± of the titration (k = 2)"), "figure", "mol/L"),
                ),
                t("Such as 12.05 mol/L; in place of the label"),
            ),
        ),
    )
