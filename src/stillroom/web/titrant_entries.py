"""What the factor of a titrant asks: titrant, standard, three weighings with their titres, a blank.

Decides nothing about what may be entered.
"""

from stillroom.reference.tables import table
from stillroom.substances.acids import STANDARDS
from stillroom.substances.titrants import titrant_names
from stillroom.texts.catalogue import t
from stillroom.web.ask_entries import Control, Question, Row

SHOWN, FOLDED = (1, 2, 3), (4, 5, 6)


def factor_question() -> Question:
    """Find the factor of a titrant."""
    standards = tuple((one.key, one.key) for one in table(STANDARDS).rows)
    return Question(
        name="factor",
        title=t("titrants_form.find_factor_titrant"),
        lead=t("titrants_form.primary_standard_weighed_three"),
        button=t("titrants_form.work_it_out"),
        rows=(
            Row(
                t("titrants_form.titrant_nominal_strength"),
                (
                    Control(
                        "titrant",
                        t("titrants_form.titrant"),
                        "list",
                        choices=tuple((one, one) for one in titrant_names()),
                    ),
                    Control("strength", t("titrants_form.nominal_strength")),
                ),
                t("titrants_form.such_sodium_hydroxide_weighed"),
            ),
            Row(
                t("titrants_form.primary_standard"),
                (Control("standard", t("titrants_form.primary_standard"), "choice", choices=standards),),
            ),
            *(_replicate(at) for at in SHOWN),
            Row(
                t("titrants_form.blank_without_the_standard"),
                (
                    Control(
                        "blank", t("titrants_form.blank"), "figure", t("titrants_form.millilitres_or_grams")
                    ),
                ),
            ),
        ),
        more=(
            *(_replicate(at) for at in FOLDED),
            Row(
                t("titrants_form.how_warm_burette"),
                (Control("at", t("titrants_form.burette"), "figure", "°C"),),
            ),
            Row(
                t("titrants_form.last_factor_day"),
                (
                    Control("last-factor", t("titrants_form.last_factor"), "figure"),
                    Control("last-on", t("titrants_form.its_day"), "date"),
                ),
            ),
            Row(
                t("titrants_form.how_warm_room"), (Control("room", t("titrants_form.room"), "figure", "°C"),)
            ),
            Row(
                t("titrants_form.content_of_the_standard"),
                (Control("content", t("titrants_form.content"), "figure", "%"),),
                t("titrants_form.by_its_certificate"),
            ),
            Row(
                t("titrants_form.how_sure_scale"),
                (Control("scale-plus-minus", t("titrants_form.of_the_scale"), "figure", "g"),),
            ),
            Row(
                t("titrants_form.how_sure_titre"),
                (
                    Control(
                        "titre-plus-minus",
                        "± of a titre (k = 2)",
                        "figure",
                        t("titrants_form.millilitres_or_grams"),
                    ),
                ),
            ),
        ),
    )


def _replicate(at: int) -> Row:
    return Row(
        t("titrants_form.standard_titrant_used", at=at),
        (
            Control(f"mass-{at}", t("titrants_form.standard_at_with_at", at=at), "figure", "g"),
            Control(
                f"titre-{at}",
                t("titrants_form.titre_at", at=at),
                "figure",
                t("titrants_form.millilitres_or_grams"),
            ),
        ),
    )
