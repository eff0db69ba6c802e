"""What the sums of the bench ask: spirit back, an acid, a buffer, a Soxhlet, cooling; the rest folded away.

Decides nothing about what may be entered.
"""

from stillroom.actions.acid_entries import BASES
from stillroom.actions.ask_recover import HOLDS, STOP_AS
from stillroom.actions.dilute_entries import KNOWN_BY
from stillroom.actions.ph_readings import READ_BY
from stillroom.reference.tables import table
from stillroom.substances.acids import buffer_pairs
from stillroom.web.ask_entries import Choices, Control, Question, Row

NOT_SAID: Choices = (("", "not said"),)


def recover_question() -> Question:
    """Get spirit back: what is in the flask, how much, how warm, where to stop."""
    ways = tuple((key, f"{words}, {unit}") for key, (words, unit) in KNOWN_BY.items() if key != "bottle")
    stops = tuple((key, f"{unit} {words}") for key, (words, unit) in STOP_AS.items())
    return Question(
        name="recover",
        title="Get spirit back",
        lead="How strong it is in the flask, how much, how warm it is now, where you stop.",
        button="What comes over?",
        rows=(
            Row(
                "In the flask, known by",
                (
                    Control("have", "Strength in the flask", "figure"),
                    Control("known-by", "Known by", "choice", choices=ways, value="label"),
                ),
                "With extract in it: the strength it had before the plant",
            ),
            Row("How much", (Control("amount", "Amount"),), "Such as 5 L or 4.4 kg"),
            Row("Temperature now", (Control("temperature", "Temperature now", "figure", "°C"),)),
            Row(
                "Stop when",
                (
                    Control("stop", "Stop when", "figure"),
                    Control("stop-as", "What is meant", "choice", choices=stops, value="share"),
                ),
            ),
        ),
        more=(
            Row("Heater", (Control("power", "Heater", "figure", "W"),)),
            Row("How much of its power arrives", (Control("share", "Share that arrives", "figure", "%"),)),
            Row("Altitude", (Control("altitude", "Altitude", "figure", "m"),)),
            Row(
                "Or the pressure in the still", (Control("pressure", "Pressure in the still"),),
                "Under a vacuum, such as 400 hPa, 400 mbar or 40 kPa, counted from empty",
            ),
            Row("What gets past the condenser", (Control("escapes", "Past the condenser", "figure", "%"),)),
            Row("How warm the distillate is", (Control("distillate-at", "Distillate at", "figure", "°C"),)),
            Row(
                "What else is in the flask",
                (Control("holds", "It holds", "choice", choices=(*NOT_SAID, *((one, one) for one in HOLDS))),),
            ),
            Row("How sure the strength is", (Control("have-plus-minus", "± of the strength", "figure"),), "k = 2"),
            Row("Temperature when it was read", (Control("read-at", "Read at", "figure", "°C"),)),
        ),
    )  # fmt: skip


def acid_question() -> Question:
    """Thin an acid or alkali: of what, wanted, how much."""
    sold = tuple((one.key, one.key) for one in table("commercial_reagents").rows)
    return Question(
        name="acid",
        title="Thin an acid or alkali, dissolve a salt",
        lead="What the bottle says, the strength you want, how much of it.",
        button="Work it out",
        rows=(
            Row("The bottle", (Control("of", "The bottle", "list", choices=sold),), "Such as hydrochloric acid 37 %"),
            Row(
                "Strength wanted",
                (
                    Control("want", "Strength wanted"),
                    Control("basis", "What a percentage means", "choice", choices=(*NOT_SAID, *BASES.items())),
                ),
                "Such as 5 %, 0.1 mol/L or 1 in 20",
            ),
            Row(
                "How much",
                (
                    Control("amount", "Amount"),
                    Control(
                        "amount-as", "Of what", "choice",
                        choices=(("wanted", "wanted"), ("at hand", "at hand, from the bottle")),
                        value="wanted",
                    ),
                ),
                "Such as 1 L or 250 g",
            ),
        ),
        more=(
            Row(
                "How sure the label is", (Control("have-plus-minus", "± of the label", "figure", "%"),),
                "± in % w/w (k = 2)",
            ),
            Row("Density of the bottle at 20 °C", (Control("density", "Density", "figure", "g/mL"),)),
            Row(
                "Strength of the bottle by titration",
                (
                    Control("titrated", "By titration"),
                    Control("titrated-plus-minus", "± of the titration (k = 2)", "figure", "mol/L"),
                ),
                "Such as 12.05 mol/L; in place of the label",
            ),
        ),
    )  # fmt: skip


def buffer_question() -> Question:
    """Weigh a buffer: pair, pH, strength, volume."""
    return Question(
        name="buffer",
        title="Weigh a buffer",
        lead="Which pair of salts, the pH you want, how strong, how much.",
        button="Work it out",
        rows=(
            Row(
                "Pair of salts",
                (Control("pair", "Pair of salts", "choice", choices=tuple((one, one) for one in buffer_pairs())),),
            ),
            Row("pH wanted, at 25 °C", (Control("ph", "pH wanted", "figure"),)),
            Row("Both salts together", (Control("total", "Both salts together"),), "Such as 0.05 mol/L"),
            Row("How much", (Control("amount", "Amount"),), "Such as 1 L"),
            Row(
                "Read with",
                (
                    Control(
                        "read-by", "Read with", "choice", choices=(("", "not said"), *READ_BY.items())
                    ),
                ),
            ),
        ),
        more=(
            Row("The meter was calibrated with", (Control("meter-buffers", "Calibrated with"),), "Such as 4.01, 6.86"),
            Row("How far the reading may be off", (Control("plus-minus", "± of the reading", "figure"),)),
            Row("Temperature of the room", (Control("at", "Temperature of the room", "figure", "°C"),)),
            Row(
                "Or the pH of a mixture", (Control("holds", "It holds"),),
                "In place of all above: citric acid 10 mmol/L; sodium 12 mmol/L",
            ),
        ),
    )  # fmt: skip


def siphon_question() -> Question:
    """When a Soxhlet may stop: residues of the last siphonings."""
    return Question(
        name="siphon",
        title="When may the Soxhlet stop",
        lead="The dry residue of each of the last siphonings tells how much is left, and how many more it takes.",
        button="May it stop?",
        rows=(
            Row("Dry residues in mg, in order", (Control("residues", "Residues"),), "Such as 310; 190; 118"),
            Row("Collected so far, these included", (Control("collected", "Collected", "figure", "g"),)),
            Row("From one siphoning to the next", (Control("cycle", "A cycle", "figure", "min"),)),
        ),
        more=(
            Row("Share that may remain", (Control("remain", "May remain", "figure", "%"),)),
            Row("How sure each residue is", (Control("sure", "± of a residue (k = 2)", "figure", "mg"),)),
        ),
    )


def cooling_question() -> Question:
    """Cool condensers: what boils, the water in, its flow."""
    return Question(
        name="cooling",
        title="Cool what boils",
        lead="What boils, in the order of the water; the water today; how long.",
        button="May it run?",
        rows=(
            Row(
                "Set-ups, in the order of the water", (Control("set-ups", "Set-ups"),),
                "Such as 2 × ethanol 12 mL/min; acetone 300 W",
            ),
            Row("Water coming in, measured today", (Control("inlet", "Water coming in", "figure", "°C"),)),
            Row("Flow of a line", (Control("flow", "Flow of a line", "figure", "L/min"),)),
            Row(
                "Hoses, and for how long",
                (
                    Control(
                        "hoses", "Hoses", "choice",
                        choices=(("series", "in series"), ("parallel", "in parallel")), value="series",
                    ),
                    Control("hours", "For how long", "figure", "h"),
                ),
            ),
        ),
        more=(
            Row("Everything on the breaker", (Control("heaters", "Heaters"),), "Such as 2 × 300 W; 1000 W"),
            Row(
                "Breaker, mains",
                (Control("breaker", "Breaker", "figure", "A"), Control("mains", "Mains", "figure", "V")),
            ),
            Row(
                "Bucket, ice in it, pump",
                (
                    Control("bucket", "Bucket", "figure", "L"), Control("ice", "Ice", "figure", "kg"),
                    Control("pump", "Pump", "figure", "W"),
                ),
                "In place of the tap",
            ),
            Row("Altitude", (Control("altitude", "Altitude", "figure", "m"),)),
            Row("How much of a heater boils the liquid", (Control("share", "Share", "figure", "%"),)),
            Row("How far below boiling water may leave", (Control("margin", "Margin", "figure", "K"),)),
            Row("Water standing in a condenser", (Control("jacket", "Water in a condenser", "figure", "mL"),)),
        ),
    )  # fmt: skip
