"""The verb of the day: show it, lay it out, tap it, say what changed."""

from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import Sign, perhaps_in_the_book

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory
    from stillroom.documents.blocks import Page

SURPRISES = ("water", "power", "water and power", "broken", "late", "again")


@click.command("day")
@click.option("--now", "is_now", is_flag=True, help="What to do this minute, what runs, when you are free.")
@click.option("--fortnight", is_flag=True, help="Two weeks, a row a day.")
@click.option("--on", "on", default="", help="Another day: 2026-11-25.")
@click.option("--lay-out", is_flag=True, help="Lay out everything that is to be done, and keep it (--by).")
@click.option("--days", default=14, show_default=True, help="How far it is laid out.")
@click.option("--begin", nargs=2, default=None, metavar="JOB STEP", help="A step begins (--by).")
@click.option(
    "--done",
    nargs=2,
    default=None,
    metavar="JOB STEP",
    help="Work that is no step of a batch is done (--by).",
)
@click.option(
    "--surprise",
    type=click.Choice(SURPRISES, case_sensitive=False),
    default=None,
    help="What changed (--by).",
)
@click.option("--of", "subject", default="", help="Of what or whom: a place, a person, a job.")
@click.option("--minutes", default="", help='For how long: "40", "2 h"; left out where nobody knows.')
@click.option("--why", default="", help="In a few words.")
@click.option(
    "--take-back", "entry_no", type=int, default=0, help="A tap or a surprise was not so: its entry (--by)."
)
@perhaps_in_the_book
def day_command(
    lab: "Laboratory",
    sign: Sign,
    is_now: bool,
    fortnight: bool,
    on: str,
    lay_out: bool,
    days: int,
    begin: tuple[str, str] | None,
    done: tuple[str, str] | None,
    surprise: str | None,
    subject: str,
    minutes: str,
    why: str,
    entry_no: int,
) -> "Done | Page":
    """The day on the shared bench: who does what when, what runs, what there is of water and watts."""
    from stillroom.actions.day.planning import note_surprise, plan_day, take_back, tap
    from stillroom.errors import BadEntry
    from stillroom.pages.day import show_day, show_fortnight
    from stillroom.pages.now import show_now
    from stillroom.quantities.entry import entry

    if (lay_out or begin or done or surprise or entry_no) and not sign["by"]:
        raise BadEntry("Somebody must sign", "nobody", "Give --by and the code of who does it")
    if lay_out:
        return plan_day(lab, days=days, **sign)
    if begin:
        return tap(lab, *begin, "begun", **sign)
    if done:
        return tap(lab, *done, "done", **sign)
    if surprise:
        lasts = entry(minutes, "min", zero_allowed=True, where="minutes").in_unit("min") if minutes else 0.0
        return note_surprise(lab, surprise, subject, lasts, why=why, **sign)  # type: ignore[arg-type]
    if entry_no:
        return take_back(lab, entry_no, **sign)
    if is_now:
        return show_now(lab)
    return show_fortnight(lab) if fortnight else show_day(lab, on)
