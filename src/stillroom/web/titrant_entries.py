"""What the factor of a titrant asks: titrant, standard, three weighings with their titres, a blank.

Decides nothing about what may be entered.
"""

from stillroom.reference.tables import table
from stillroom.substances.acids import STANDARDS
from stillroom.substances.titrants import titrant_names
from stillroom.web.ask_entries import Control, Question, Row

SHOWN, FOLDED = (1, 2, 3), (4, 5, 6)


def factor_question() -> Question:
    """Find the factor of a titrant."""
    standards = tuple((one.key, one.key) for one in table(STANDARDS).rows)
    return Question(
        name="factor",
        title="Find the factor of a titrant",
        lead="A primary standard weighed three times, what each took of the titrant, and a blank.",
        button="Work it out",
        rows=(
            Row(
                "Titrant, nominal strength",
                (
                    Control(
                        "titrant", "Titrant", "list", choices=tuple((one, one) for one in titrant_names())
                    ),
                    Control("strength", "Nominal strength"),
                ),
                "Such as sodium hydroxide, 0.1 mol/L; mol/kg when it is weighed",
            ),
            Row("Primary standard", (Control("standard", "Primary standard", "choice", choices=standards),)),
            *(_replicate(at) for at in SHOWN),
            Row("Blank, without the standard", (Control("blank", "Blank", "figure", "mL or g"),)),
        ),
        more=(
            *(_replicate(at) for at in FOLDED),
            Row("How warm the burette was", (Control("at", "Burette", "figure", "°C"),)),
            Row(
                "The last factor, and its day",
                (Control("last-factor", "Last factor", "figure"), Control("last-on", "Its day", "date")),
            ),
            Row("How warm the room is", (Control("room", "Room", "figure", "°C"),)),
            Row(
                "Content of the standard",
                (Control("content", "Content", "figure", "%"),),
                "By its certificate",
            ),
            Row(
                "How sure the scale is",
                (Control("scale-plus-minus", "± of the scale (k = 2)", "figure", "g"),),
            ),
            Row(
                "How sure a titre is",
                (Control("titre-plus-minus", "± of a titre (k = 2)", "figure", "mL or g"),),
            ),
        ),
    )


def _replicate(at: int) -> Row:
    return Row(
        f"Standard {at}, titrant used",
        (
            Control(f"mass-{at}", f"Standard {at}", "figure", "g"),
            Control(f"titre-{at}", f"Titre {at}", "figure", "mL or g"),
        ),
    )
