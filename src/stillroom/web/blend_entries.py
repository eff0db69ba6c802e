"""What a blend asks: what is at hand, row by row, the strength wanted and how much, how warm."""

from stillroom.actions.blend_entries import MOST_ROWS, WHAT, field_of
from stillroom.science.liquids.blending import AIMS
from stillroom.web.ask_entries import Control, Question, Row

FIRST_ROWS = 2
"""Rows that stand open; the others unfold."""


def _row(row: int) -> Row:
    name = f"At hand, {row}"
    return Row(
        f"{name}: strength, amount, what it is",
        (
            Control(field_of(row), f"{name}, strength", "text"),
            Control(field_of(row, "amount"), f"{name}, amount", "text"),
            Control(
                field_of(row, "what"),
                f"{name}, what it is",
                "choice",
                choices=tuple((one, one) for one in WHAT),
                value=WHAT[0] if row == 1 else WHAT[1],
            ),
        ),
        "Such as 96 ± 0.3 and 2 L; fresh plant: its water in %, and g" if row == 1 else "",
        when="stock",
    )


def blend_question() -> Question:
    """Blend spirits: two rows open, four to unfold."""
    prices = tuple(
        Control(field_of(row, "price"), f"Price of {row}", "text") for row in range(1, MOST_ROWS + 1)
    )
    return Question(
        name="blend",
        title="Blend spirits",
        lead="What is at hand, what you want of it, how warm it is now.",
        button="Work it out",
        rows=(
            *(_row(row) for row in range(1, FIRST_ROWS + 1)),
            Row(
                "Want, and how much",
                (
                    Control("want", "Strength wanted", "figure", "% v/v"),
                    Control("amount", "Amount wanted", "text"),
                ),
                "Such as 5 L. No amount: all that can be made. Neither: all is poured together",
            ),
            Row("Temperature now", (Control("temperature", "Temperature now", "figure", "°C"),)),
        ),
        more=(
            *(_row(row) for row in range(FIRST_ROWS + 1, MOST_ROWS + 1)),
            Row(
                "Chosen for",
                (Control("aim", "Chosen for", "choice", choices=tuple((one, one) for one in AIMS)),),
            ),
            Row("Prices of 1, 2 and 3", prices[:3], "Such as 14 EUR/L; recovered spirit may cost 0 EUR/L"),
            Row("Prices of 4, 5 and 6", prices[3:]),
            Row("One division of the alcoholometer", (Control("division", "Division", "figure", "% v/v"),)),
            Row(
                "How far the thermometer may be off",
                (Control("thermometer", "± of the thermometer", "figure", "°C"),),
            ),
        ),
    )
