"""The factor of a titrant: an answer with no laboratory, or an entry in its book."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, in_option, json_option, pair_in


@click.command("factor")
@click.argument("replicates", nargs=-1, required=True, metavar='"MASS, TITRE"...')
@click.option("--standard", required=True, help='Primary standard: "potassium hydrogen phthalate".')
@click.option("--strength", required=True, help='Nominal: "0.1 mol/L"; "0.1 mol/kg" for a weighed titrant.')
@click.option("--blank", required=True, help='Titrant used without the standard: "0.04 mL".')
@click.option("--titrant", default="", help='"sodium hydroxide": which rule it keeps by.')
@click.option("--burette-at", default="", help='Temperature of the burette: "31 °C".')
@click.option("--content", default="", help='Of the standard by its certificate: "99.95 %".')
@click.option("--room", default="", help='Temperature of the room: "31 °C".')
@click.option("--scale-sure", default="", help='How far the scale may be off, k = 2: "0.0004 g".')
@click.option("--titre-sure", default="", help='How far a titre may be off, k = 2: "0.04 mL".')
@click.option("--last-factor", default="", help="Found before, to tell the drift.")
@click.option("--last-on", default="", help='Its day: "2026-11-04".')
@click.option(
    "--lot", default="", help="Titrant of the book: writes readings, and the factor where it is released."
)
@click.option("--scale", default="", help="Scale of the standard; with --lot.")
@click.option("--burette", default="", help="Burette, or the scale of a weighed titrant; with --lot.")
@click.option(
    "--note", default="", help="How a figure came that is asked about; with it, it is kept; with --lot."
)
@click.option("--by", default="", help="Code of the person who signs; with --lot.")
@in_option
@at_option
@json_option
def factor_command(
    replicates: tuple[str, ...],
    lot: str,
    scale: str,
    burette: str,
    note: str,
    by: str,
    folder: Path,
    at_text: str,
    as_json: bool,
    burette_at: str,
    scale_sure: str,
    titre_sure: str,
    **more: str,
) -> None:
    """Factor of a titrant from REPLICATES of its primary standard ("0.4085 g, 20.06 mL"); three at least."""
    from stillroom.errors import BadEntry, worded

    pairs = [pair_in(one) for one in replicates]
    if wrong := next((text for text, (_, titre) in zip(replicates, pairs, strict=True) if not titre), ""):
        raise BadEntry('A replicate is written "0.4085 g, 20.06 mL"', repr(wrong), "Mass, then titre")
    if lot:
        _write(pairs, lot, scale, burette, note, by, folder, at_text, as_json, burette_at, more)
        return
    from datetime import datetime

    from stillroom.asking.question import answer
    from stillroom.cli.asking import moment, tell_page
    from stillroom.questions.factor import MOST_REPLICATES, QUESTION

    if len(pairs) > MOST_REPLICATES:
        raise BadEntry(
            worded("At most {most_replicates} replicates are taken", most_replicates=MOST_REPLICATES),
            str(len(pairs)),
        )
    fields = {f"{what}-{at}": text for at, (mass, titre) in enumerate(pairs, 1)
              for what, text in (("mass", mass), ("titre", titre))}  # fmt: skip
    today = (moment(at_text) or datetime.now().astimezone()).date()
    found = answer(
        QUESTION,
        {**fields, **{name.replace("_", "-"): text for name, text in more.items()}, "at": burette_at,
         "scale-plus-minus": scale_sure, "titre-plus-minus": titre_sure},
        today,
    )  # fmt: skip
    tell_page(found.page, as_json=as_json)


def _write(
    pairs: list[tuple[str, str]],
    lot: str,
    scale: str,
    burette: str,
    note: str,
    by: str,
    folder: Path,
    at_text: str,
    as_json: bool,
    burette_at: str,
    more: dict[str, str],
) -> None:
    from stillroom.actions.testing.titrant_factors import find_factor
    from stillroom.cli.asking import moment, open_laboratory, tell_done
    from stillroom.errors import BadEntry, worded

    for name, text in (("--scale", scale), ("--burette", burette), ("--by", by)):
        if not text:
            raise BadEntry(
                worded("With --lot, {called} is needed", called=name),
                "nothing",
                "Say what it was measured with, and who signs",
            )
    with open_laboratory(folder) as lab:
        done = find_factor(
            lab,
            lot,
            pairs,
            standard=more["standard"],
            strength=more["strength"],
            blank=more["blank"],
            scale=scale,
            burette=burette,
            content=more["content"],
            temperature=burette_at,
            note=note,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)
