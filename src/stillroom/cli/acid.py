"""Thin an acid or alkali: needs no laboratory and writes nothing."""

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("acid")
@click.argument("amount")
@click.option(
    "--of", "of", required=True, help='The bottle: "hydrochloric acid 37 %", "sodium hydroxide pellets".'
)
@click.option("--want", required=True, help='Strength wanted: "5 % w/w", "1 mol/L", "1 in 20".')
@click.option("--basis", default="", help="What a bare percentage means: w/w, w/v, v/v or label.")
@click.option(
    "--at-hand", is_flag=True, help="AMOUNT is what is taken from the bottle, not the solution wanted."
)
@click.option("--density", default="", help='Of the bottle at 20 °C: "1.184 g/mL".')
@click.option("--plus-minus", default="", help='How sure the label is, k = 2: "0.5 %".')
@click.option("--titrated", default="", help='Strength of the bottle by titration: "12.05 mol/L".')
@click.option("--titrated-plus-minus", default="", help='How sure that is, k = 2: "0.06 mol/L".')
@click.option(
    "--lesson", is_flag=True, help="The same as a lesson: asked again on paper, answer on the back."
)
@json_option
def acid_command(
    amount: str,
    of: str,
    want: str,
    basis: str,
    at_hand: bool,
    density: str,
    plus_minus: str,
    titrated: str,
    titrated_plus_minus: str,
    lesson: bool,
    as_json: bool,
) -> None:
    """Acid or alkali and water for AMOUNT ("1.000 L"). A bare "5 %" is answered in all its meanings, exit code 2."""
    from stillroom.actions.mix_acid import mix_acid

    found = mix_acid(
        {
            "of": of,
            "want": want,
            "basis": basis,
            "amount": amount,
            "amount-as": "at hand" if at_hand else "wanted",
            "density": density,
            "have-plus-minus": plus_minus,
            "titrated": titrated,
            "titrated-plus-minus": titrated_plus_minus,
        }
    )
    tell_page((lesson and found.lesson) or found.page, as_json=as_json)
    if found.ambiguous:
        raise found.must_say
