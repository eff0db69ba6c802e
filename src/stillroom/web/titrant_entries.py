"""What the factor of a titrant asks: titrant, standard, three weighings with their titres, a blank.

Decides nothing about what may be entered.
"""

from stillroom.asking.form import AskForm, Control, Row
from stillroom.reference.tables import table
from stillroom.substances.acids import STANDARDS
from stillroom.substances.titrants import titrant_names
from stillroom.texts.catalogue import t

SHOWN, FOLDED = (1, 2, 3), (4, 5, 6)


def factor_question() -> AskForm:
    """Find the factor of a titrant."""
    standards = tuple((one.key, one.key) for one in table(STANDARDS).rows)
    return AskForm(
        name="factor",
        title=t("Standardise a titrant"),
        lead=t("A primary standard weighed three times, what each took of the titrant, and a blank."),
        button=t("Calculate"),
        rows=(
            Row(
                t("Titrant, nominal strength"),
                (
                    Control(
                        "titrant",
                        t("Titrant"),
                        "list",
                        choices=tuple((one, one) for one in titrant_names()),
                    ),
                    Control("strength", t("Nominal strength")),
                ),
                t("Such as sodium hydroxide, 0.1 mol/L; mol/kg when it is weighed"),
            ),
            Row(
                t("Primary standard"),
                (Control("standard", t("Primary standard"), "choice", choices=standards),),
            ),
            *(_replicate(at) for at in SHOWN),
            Row(
                t("Blank, without the standard"),
                (Control("blank", t("Blank"), "figure", t("mL or g")),),
            ),
        ),
        more=(
            *(_replicate(at) for at in FOLDED),
            Row(
                t("How warm the burette was"),
                (Control("at", t("Burette"), "figure", "°C"),),
            ),
            Row(
                t("The last factor, and its day"),
                (
                    Control("last-factor", t("Last factor"), "figure"),
                    Control("last-on", t("Its day"), "date"),
                ),
            ),
            Row(t("How warm the room is"), (Control("room", t("Room"), "figure", "°C"),)),
            Row(
                t("Content of the standard"),
                (Control("content", t("Content"), "figure", "%"),),
                t("By its certificate"),
            ),
            Row(
                t("How sure the scale is"),
                (Control("scale-plus-minus", t("± of the scale (k = 2)"), "figure", "g"),),
            ),
            Row(
                t("How sure a titre is"),
                (
                    Control(
                        "titre-plus-minus",
                        "± of a titre (k = 2)",
                        "figure",
                        t("mL or g"),
                    ),
                ),
            ),
        ),
    )


def _replicate(at: int) -> Row:
    return Row(
        t("Standard {at}, titrant used", at=at),
        (
            Control(f"mass-{at}", t("Standard {at}", at=at), "figure", "g"),
            Control(
                f"titre-{at}",
                t("Titre {at}", at=at),
                "figure",
                t("mL or g"),
            ),
        ),
    )
