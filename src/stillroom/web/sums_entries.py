"""What the sums of the bench ask: spirit back; the rest folded away.

Decides nothing about what may be entered.
"""

from stillroom.actions.ask_recover import HOLDS, STOP_AS
from stillroom.actions.dilute_entries import KNOWN_BY
from stillroom.asking.form import AskForm, Control, Row
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
