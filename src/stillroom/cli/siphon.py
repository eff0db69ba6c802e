"""When a Soxhlet may stop: needs no laboratory and writes nothing."""

import click

from stillroom.cli.asking import json_option, tell_page


@click.command("siphon")
@click.argument("residues", nargs=-1, required=True)
@click.option("--collected", required=True, help='Dry, so far, these siphonings included: "18.42 g".')
@click.option("--cycle", required=True, help='From one siphoning to the next: "14 min".')
@click.option("--remain", default="", help='Share of all that can be washed out that may stay: "0.1 %".')
@click.option("--sure", default="", help='How far a residue may be off, k = 2: "1 mg".')
@json_option
def siphon_command(residues: tuple[str, ...], as_json: bool, **more: str) -> None:
    """Siphonings a Soxhlet still needs, from the dry RESIDUES of its last ones (mg, in order, three at least)."""
    from stillroom.actions.ask_siphon import work_out_siphon

    tell_page(work_out_siphon({"residues": "; ".join(residues), **more}), as_json=as_json)
