"""What a blend asks: what is at hand, row by row, the strength wanted and how much, how warm."""

from stillroom.actions.blend_entries import MOST_ROWS, WHAT, field_of
from stillroom.science.liquids.blending import AIMS
from stillroom.texts.catalogue import t
from stillroom.web.ask_entries import Control, Question, Row

FIRST_ROWS = 2
"""Rows that stand open; the others unfold."""


def _row(row: int) -> Row:
    name = t("blend_form.at_hand", row=row)
    return Row(
        t("blend_form.strength_amount", called=name),
        (
            Control(field_of(row), t("blend_form.strength_called", called=name), "text"),
            Control(field_of(row, "amount"), t("blend_form.amount_called", called=name), "text"),
            Control(
                field_of(row, "what"),
                t("blend_form.what_it_is", called=name),
                "choice",
                choices=tuple((one, one) for one in WHAT),
                value=WHAT[0] if row == 1 else WHAT[1],
            ),
        ),
        t("blend_form.such_fresh_plant_water") if row == 1 else "",
        when="stock",
    )


def blend_question() -> Question:
    """Blend spirits: two rows open, four to unfold."""
    prices = tuple(
        Control(field_of(row, "price"), t("blend_form.price_of", row=row), "text")
        for row in range(1, MOST_ROWS + 1)
    )
    return Question(
        name="blend",
        title=t("blend_form.blend_spirits"),
        lead=t("blend_form.hand_you_want_how"),
        button=t("blend_form.work_it_out"),
        rows=(
            *(_row(row) for row in range(1, FIRST_ROWS + 1)),
            Row(
                t("blend_form.want_and_how_much"),
                (
                    Control("want", t("blend_form.strength_wanted"), "figure", "% v/v"),
                    Control("amount", t("blend_form.amount_wanted"), "text"),
                ),
                t("blend_form.such_no_amount_all"),
            ),
            Row(
                t("blend_form.temperature_now"),
                (Control("temperature", t("blend_form.temperature_now"), "figure", "°C"),),
            ),
        ),
        more=(
            *(_row(row) for row in range(FIRST_ROWS + 1, MOST_ROWS + 1)),
            Row(
                t("blend_form.chosen_for"),
                (
                    Control(
                        "aim", t("blend_form.chosen_for"), "choice", choices=tuple((one, one) for one in AIMS)
                    ),
                ),
            ),
            Row(
                t("blend_form.prices_of_the_first_three"),
                prices[:3],
                t("blend_form.such_eur_recovered_spirit"),
            ),
            Row(t("blend_form.prices_of_the_last_three"), prices[3:]),
            Row(
                t("blend_form.division_alcoholometer"),
                (Control("division", t("blend_form.division"), "figure", "% v/v"),),
            ),
            Row(
                t("blend_form.how_far_thermometer_may"),
                (Control("thermometer", t("blend_form.of_the_thermometer"), "figure", "°C"),),
            ),
        ),
    )
