"""The verb that answers a table of enquiries, with progress, on this machine or on a cluster."""

import csv
import io
import json
import sys
from contextlib import nullcontext
from dataclasses import asdict, fields
from datetime import date
from pathlib import Path

import click

from stillroom.cli.asking import json_option, open_laboratory
from stillroom.errors import BadEntry

UNDER_WAY = ".under-way"
"""What the file of answers is called while not every row has ended."""


@click.command("offers")
@click.argument("table", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), default=None,
              help="Where the answers go, as CSV; beside TABLE where left out.")  # fmt: skip
@click.option(
    "--seed", default=7, show_default=True, help="Of the draws: the same seed gives the same answers."
)
@click.option(
    "--draws", default=4096, show_default=True, type=click.IntRange(64, 1_000_000), help="Of each enquiry."
)
@click.option("--workers", default=0, show_default=True, type=click.IntRange(0, 256),
              help="Processes on this machine; 0 works them one after the other.")  # fmt: skip
@click.option(
    "--on", "cluster", default="", help='Address of the scheduler of a Dask cluster: "tcp://bench:8786".'
)
@click.option("--today", default="", help="Day the days are counted from: 2027-01-31.")
@click.option("--in", "directory", default=None, type=click.Path(path_type=Path, file_okay=False),
              help="Folder of a laboratory: each is answered with its shelf, its prices and its bench.")  # fmt: skip
@json_option
def offers_command(
    table: Path,
    out: Path | None,
    seed: int,
    draws: int,
    workers: int,
    cluster: str,
    today: str,
    directory: Path | None,
    as_json: bool,
) -> None:
    """Answer every enquiry of TABLE (CSV or XLSX): a row each, its columns the options of "stillroom offer".

    Each stands alone, with its own draws; with --in it waits for that bench as it is. Begun again after a
    stop, it goes on where it was.
    """
    from stillroom.actions.lots.table_read import read_table
    from stillroom.documents.numbers_shown import number
    from stillroom.in_python.many import Answered, in_all, many_offers
    from stillroom.quantities.money import amount_text
    from stillroom.texts.catalogue import between, t

    try:
        read = read_table(table.read_bytes())
    except FileNotFoundError:
        raise BadEntry("A table of enquiries is a file", str(table), "Name one that is there") from None
    rows = [dict(zip(read.head, row, strict=True)) for row in read.rows]
    to = out or table.with_suffix(".answers.csv")
    under_way = to.with_name(to.name + UNDER_WAY)

    def tell(ended: int, of: int) -> None:
        click.echo(f"\r{t('{ended} of {of} answered', ended=ended, of=of)}", err=True, nl=ended == of)

    with open_laboratory(directory) if directory else nullcontext() as lab:
        found = many_offers(
            rows, seed=seed, draws=draws, today=date.fromisoformat(today) if today else None,
            workers=workers, on=cluster, under_way=under_way, tell=tell, lab=lab,
        )  # fmt: skip
    text = io.StringIO()
    writer = csv.DictWriter(text, [one.name for one in fields(Answered)], lineterminator="\n")
    writer.writeheader()
    writer.writerows(asdict(one) for one in found)
    to.write_text(text.getvalue(), encoding="utf-8")
    under_way.unlink(missing_ok=True)
    whole = in_all(found)
    if as_json:
        json.dump(
            {"answers": [asdict(one) for one in found], "in_all": asdict(whole)},
            sys.stdout,
            ensure_ascii=False,
        )
        return
    click.echo(t("{answered} enquiries answered, {refused} not; {file}",
                 answered=whole.answered, refused=whole.refused, file=to.name))  # fmt: skip
    for plant, kg in sorted(whole.plant_kg.items()):
        click.echo(t("{plant}: {kg} kg", plant=plant, kg=number(kg)))
    low, mean, high = whole.hours
    click.echo(t("Hours: {hours} ({span})", hours=number(mean), span=between(number(low), number(high))))
    if whole.currency:
        least, middle, most = (amount_text(one, whole.currency) for one in whole.cost)
        click.echo(
            t(
                "Cost: {cost} {currency} ({span})",
                cost=middle,
                currency=whole.currency,
                span=between(least, most),
            )
        )
    for one in found:
        if one.refused:
            click.echo(t("Row {row}: {why}", row=one.row, why=one.refused.replace("\n", " ")))
