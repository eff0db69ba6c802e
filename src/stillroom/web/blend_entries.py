"""What a blend asks: what is at hand, row by row, the strength wanted and how much, how warm."""

from stillroom.actions.blend_entries import MOST_ROWS, WHAT, field_of
from stillroom.asking.form import AskForm, Control, Row
from stillroom.science.liquids.blending import AIMS
from stillroom.texts.catalogue import t

FIRST_ROWS = 2
"""Rows that stand open; the others unfold."""


def _row(row: int) -> Row:
    name = t("At hand, {row}", row=row)
    return Row(
        t("{called}: strength, amount, what it is", called=name),
        (
            Control(field_of(row), t("{called}, strength", called=name), "text"),
            Control(field_of(row, "amount"), t("{called}, amount", called=name), "text"),
            Control(
                field_of(row, "what"),
                t("{called}, what it is", called=name),
                "choice",
                choices=tuple((one, one) for one in WHAT),
                value=WHAT[0] if row == 1 else WHAT[1],
            ),
        ),
        t("Such as 96 ± 0.3 and 2 L; fresh plant: its water in %, and g") if row == 1 else "",
        when="stock",
    )


def blend_question() -> AskForm:
    """Blend spirits: two rows open, four to unfold."""
    prices = tuple(
        Control(field_of(row, "price"), t("Price of {row}", row=row), "text")
        for row in range(1, MOST_ROWS + 1)
    )
    return AskForm(
        name="blend",
        title=t("Blend spirits"),
        lead=t("What is at hand, what you want of it, how warm it is now."),
        button=t("Calculate"),
        rows=(
            *(_row(row) for row in range(1, FIRST_ROWS + 1)),
            Row(
                t("Want, and how much"),
                (
                    Control("want", t("Strength wanted"), "figure", "% v/v"),
                    Control("amount", t("Amount wanted"), "text"),
                ),
                t("Such as 5 L. No amount: all that can be made. Neither: all is poured together"),
            ),
            Row(
                t("Temperature now"),
                (Control("temperature", t("Temperature now"), "figure", "°C"),),
            ),
        ),
        more=(
            *(_row(row) for row in range(FIRST_ROWS + 1, MOST_ROWS + 1)),
            Row(
                t("Chosen for"),
                (Control("aim", t("Chosen for"), "choice", choices=tuple((one, one) for one in AIMS)),),
            ),
            Row(
                t("Prices of 1, 2 and 3"),
                prices[:3],
                t("Such as 14 EUR/L; recovered spirit may cost 0 EUR/L"),
            ),
            Row(t("Prices of 4, 5 and 6"), prices[3:]),
            Row(
                t("One division of the alcoholometer"),
                (Control("division", t("Division"), "figure", "% v/v"),),
            ),
            Row(
                t("How far the thermometer may be off"),
                (Control("thermometer", t("± of the thermometer"), "figure", "°C"),),
            ),
        ),
    )
