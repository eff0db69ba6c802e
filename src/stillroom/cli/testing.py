"""Verbs for tests and titrations."""

from pathlib import Path

import click

from stillroom.cli.asking import (
    at_option,
    by_option,
    in_option,
    json_option,
    moment,
    tell_done,
)

SEEN = click.Choice(["precipitate", "clear", "unclear", "not done"], case_sensitive=False)


class Tests(click.Group):
    """The kinds of test, each loaded when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        from stillroom.actions.testing.kinds import KINDS

        return sorted({*KINDS, *super().list_commands(ctx)})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        from stillroom.actions.testing.kinds import KINDS, kind_of_test
        from stillroom.cli.asked import command_of_act

        return (
            command_of_act(kind_of_test(cmd_name))
            if cmd_name in KINDS
            else super().get_command(ctx, cmd_name)
        )


@click.group("test", cls=Tests)
def test_command() -> None:
    """Enter a precipitate test, a titration, or what another laboratory found, as read."""


@test_command.command("precipitate")
@click.argument("lot")
@click.option("--test", "test_name", required=True, help="Key of the reagent.")
@click.option("--reagent", required=True, help="Lot of the reagent.")
@click.option("--sample", type=SEEN, required=True, help="Seen in the sample.")
@click.option("--blank", type=SEEN, required=True, help="Seen without sample.")
@click.option("--positive", type=SEEN, required=True, help="Seen in what surely holds some.")
@in_option
@by_option
@at_option
@json_option
def precipitate_command(
    lot: str,
    test_name: str,
    reagent: str,
    sample: str,
    blank: str,
    positive: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """A test on LOT that counts only with blank, positive control and a reagent in date."""
    from stillroom.actions.testing.precipitate_tests import read_test
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = read_test(
            lab,
            lot,
            test_name,
            reagent,
            sample=sample,
            blank=blank,
            positive_control=positive,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)


@test_command.command("drying")
@click.argument("lot")
@click.option("--dish", required=True, help='Empty: "31.2040 g".')
@click.option("--with-sample", required=True, help="Dish with the sample.")
@click.option(
    "--dried", multiple=True, required=True, help="Dish after each drying, in order; give it again."
)
@click.option("--scale", required=True, help="Scale they were weighed on.")
@in_option
@by_option
@at_option
@json_option
def drying_command(
    lot: str,
    dish: str,
    with_sample: str,
    dried: tuple[str, ...],
    scale: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """The loss on drying of LOT; it counts once the last two weighings agree, and another sample is a new series."""
    from stillroom.actions.testing.drying import weigh_drying
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = weigh_drying(
            lab,
            lot,
            dish=dish,
            with_sample=with_sample,
            dried=dried,
            apparatus=scale,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)


@test_command.command("ph")
@click.argument("subject")
@click.argument("ph")
@click.option("--read-by", default="", help="strip or meter: asked, never filled in.")
@click.option("--meter-buffers", default="", help='What the meter was calibrated with: "4.01, 6.86".')
@click.option("--band", default="", help='Wanted: "4.5 to 5.5".')
@in_option
@by_option
@at_option
@json_option
def ph_command(
    subject: str,
    ph: str,
    read_by: str,
    meter_buffers: str,
    band: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """The pH of a lot or batch, and whether that reading can decide the band that is wanted."""
    from stillroom.actions.testing.ph_readings import read_ph
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = read_ph(
            lab,
            subject,
            ph,
            read_by=read_by,
            meter_buffers=meter_buffers,
            band=band,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)


@test_command.command("identity")
@click.argument("lot")
@click.option("--evidence", required=True, help="What was compared with which reference.")
@click.option("--voucher", default="", help="Voucher specimen.")
@click.option("--not", "is_not", is_flag=True, help="It is not what it is called.")
@in_option
@by_option
@at_option
@json_option
def identity_command(
    lot: str,
    evidence: str,
    voucher: str,
    is_not: bool,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """Whether the plant LOT is the species and part it is called, and on what evidence."""
    from stillroom.actions.lots.receiving import decide_identity
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = decide_identity(
            lab, lot, accepted=not is_not, evidence=evidence, voucher=voucher, by=by, at=moment(at_text)
        )
        tell_done(lab, done, as_json=as_json)


@test_command.command("outside")
@click.argument("lot")
@click.option("--marker", required=True, help="What was counted: rosmarinic acid, total phenols.")
@click.option("--found", required=True, help='As the certificate has it: "12.3 % w/w ± 0.4 (k = 2)".')
@click.option(
    "--matter",
    type=click.Choice(["as is", "dried"], case_sensitive=False),
    required=True,
    help="What the share is of.",
)
@click.option("--laboratory", required=True, help="Who found it.")
@click.option("--certificate", required=True, help="Number of the certificate.")
@click.option("--method", required=True, help="By which method: HPLC.")
@click.option(
    "--counted-as", "--reckoned-as", "reckoned_as", default="", help="Counted as which compound: gallic acid."
)
@in_option
@by_option
@at_option
@json_option
def outside_command(
    lot: str,
    marker: str,
    found: str,
    matter: str,
    laboratory: str,
    certificate: str,
    method: str,
    reckoned_as: str,
    folder: Path,
    by: str,
    at_text: str,
    as_json: bool,
) -> None:
    """The content of LOT as another laboratory found it, with its certificate."""
    from stillroom.actions.testing.outside_results import enter_outside_result
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        done = enter_outside_result(
            lab,
            lot,
            marker,
            found,
            matter=matter,
            laboratory=laboratory,
            certificate=certificate,
            method=method,
            reckoned_as=reckoned_as,
            by=by,
            at=moment(at_text),
        )
        tell_done(lab, done, as_json=as_json)
