"""Verbs for sums at the bench: they need no laboratory and write nothing."""

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("dilute")
@click.argument("volume")
@click.option("--have", required=True, help='Strength at hand: "96.0 % v/v".')
@click.option("--want", required=True, help='Strength wanted: "70.0 % v/v".')
@click.option(
    "--at", "temperature", required=True, help='Temperature of the liquids: "20 °C". Asked, never filled in.'
)
@json_option
def dilute_command(volume: str, have: str, want: str, temperature: str, as_json: bool) -> None:
    """Spirit and water for VOLUME ("5.000 L"): masses first, contraction, and what adding volumes would give."""
    from stillroom.actions.bench_sums import work_out_dilution
    from stillroom.documents.benching import sum_page

    found = work_out_dilution(have, want, volume, temperature)
    decimals = (1, 1, 1, 1, 1, 2, 1)
    answers = tuple(
        (answer, places, answer is found.naive_strength)
        for answer, places in zip(found.answers, decimals, strict=True)
    )
    advice = "Weigh both; do not fill up to a volume. Cool to 20 °C before a last check. Neither alcoholometer nor density can tell methanol from ethanol."  # noqa: E501
    tell_page(
        sum_page(
            f"{volume} of {want} from {have} at {temperature}",
            answers,
            advice=advice,
            cautions=("spirit-law", "flammable-vapour", "methanol"),
        ),
        as_json=as_json,
    )


@click.command("shake")
@click.option("--pka", required=True, help="Of the base.")
@click.option("--partition-ratio", required=True, help="Of the uncharged base, solvent over water.")
@click.option("--ph", required=True, help="Of the water.")
@click.option("--water", required=True, help='"100 mL".')
@click.option("--solvent", required=True, help='In all: "90 mL".')
@click.option(
    "--portions", default="3", show_default=True, help="Equal portions the solvent is divided into."
)
@json_option
def shake_command(
    pka: str, partition_ratio: str, ph: str, water: str, solvent: str, portions: str, as_json: bool
) -> None:
    """What shaking a base out of water recovers, all at once and in portions."""
    from stillroom.actions.bench_sums import work_out_shaking
    from stillroom.documents.benching import sum_page

    found = work_out_shaking(pka, partition_ratio, ph, water, solvent, portions)
    answers = (
        (found.distribution, 3, False),
        (found.one_portion, 2, True),
        (found.several_portions, 3, True),
    )
    tell_page(
        sum_page(
            f"Shaking {water} out with {solvent} at pH {ph}",
            answers,
            advice=found.advice,
            cautions=("pressure-in-funnel", "ammonia-and-solvent"),
        ),
        as_json=as_json,
    )
