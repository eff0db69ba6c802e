"""The verb that walks the whole job once on an invented laboratory."""

import shutil
from pathlib import Path

import click

from stillroom.cli.asking import PRACTICE_FOLDER


@click.command("demo")
@click.option(
    "--into",
    type=click.Path(path_type=Path, file_okay=False),
    default=PRACTICE_FOLDER,
    show_default=True,
    help="Folder for the practice laboratory; made again each time.",
)
@click.option("--no-serve", is_flag=True, help="End after the documents are written.")
@click.option(
    "--port",
    default=0,
    type=click.IntRange(0, 65535),
    help="Port of the pages; the first free one from 8017 when left out.",
)
def demo_command(into: Path, no_serve: bool, port: int) -> None:
    """Walk the whole job once on an invented laboratory, print the plan, write the documents, serve the pages."""
    from stillroom.actions.book.laboratory import open_laboratory
    from stillroom.cli.serving import serve
    from stillroom.demo.story import tell
    from stillroom.documents.as_text import page_text
    from stillroom.pages.plans import show_plan
    from stillroom.pages.printing import print_all

    _make_room(into)
    click.echo("The practice laboratory: every name and figure in it is invented.", err=True)
    with tell(into, lambda chapter: click.echo(f"  … {chapter}", err=True), under_way=True) as lab:
        plan = show_plan(lab, "ORD-1")
    click.echo(page_text(plan))
    documents = into / "documents"
    click.echo("Documents, each as PDF and as text:")
    with open_laboratory(into) as lab:
        for pdf, _ in print_all(lab, documents):
            click.echo(f"  {pdf}")
    if no_serve:
        click.echo(f"Next: stillroom serve --in {into}")
        return
    serve(into, port)


def _make_room(folder: Path) -> None:
    """Take away an earlier practice laboratory, and nothing else."""
    from stillroom.actions.book.laboratory import BOOK_FILE, open_laboratory
    from stillroom.errors import BookTrouble

    if not folder.exists() or not any(folder.iterdir()):
        return
    trouble = BookTrouble(
        "The practice laboratory is made again only over an earlier practice laboratory",
        str(folder),
        "Name another folder with --into",
    )
    if not (folder / BOOK_FILE).exists():
        raise trouble
    with open_laboratory(folder) as lab, lab.look() as look:
        if not look.book().practice:
            raise trouble
    shutil.rmtree(folder)
