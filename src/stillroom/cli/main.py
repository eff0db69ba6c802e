"""The ``stillroom`` command: plain verbs, each loaded only when it is used.

Exit code 2 and one clear sentence on bad input; the same sentence the pages show.
"""

import importlib
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

import click

from stillroom import __version__
from stillroom.questions import VERBS as QUESTIONS

IN_A_BOOK_TOO = ("order", "offer", "dose", "factor")
"""Questions whose verb does more where a book is named."""
VERBS: dict[str, tuple[str, str]] = {
    "demo": (
        "stillroom.cli.demo",
        "Walk the whole job once on an invented laboratory, then serve its pages.",
    ),
    "new": ("stillroom.cli.book", "Begin an empty laboratory in a folder."),
    "enter": (
        "stillroom.cli.entering",
        "Write orders, procedures, people and scales from YAML files into the book.",
    ),
    "schema": (
        "stillroom.cli.entering",
        "What may stand in a file of an order, a procedure or a laboratory, for an editor.",
    ),
    "note": (
        "stillroom.cli.entering",
        "Room and site, or what something costs: room temperature, altitude, price of glycerin.",
    ),
    "export": (
        "stillroom.cli.export",
        "Take a table out of the book, as CSV or XLSX; or everything, as open files.",
    ),
    "import": ("stillroom.cli.export", 'Make a laboratory again from what "export everything" wrote.'),
    "buy": (
        "stillroom.cli.lots",
        "Write what was ordered from a supplier and when it comes; see what is under way.",
    ),
    "receive": ("stillroom.cli.lots", "Receive a lot: it waits until somebody decides about it."),
    "plan": ("stillroom.cli.planning", QUESTIONS["order"]),
    "offer": ("stillroom.cli.offering", QUESTIONS["offer"]),
    "offers": (
        "stillroom.cli.many",
        "Answer a table of enquiries at once, on this machine or on a cluster.",
    ),
    "procedure": (
        "stillroom.cli.procedures",
        "Ways of extracting: see them, and copy one for a plant and a marker of yours.",
    ),
    "make": ("stillroom.cli.making", "Begin a batch, do its next step, or print its sheet."),
    "day": (
        "stillroom.cli.day",
        "The day on the shared bench: lay it out, see what to do now, say what changed.",
    ),
    "deviation": (
        "stillroom.actions.making.deviations:note_deviation",
        "Write what was different at a step of a batch.",
    ),
    "test": (
        "stillroom.cli.acts",
        "Enter a test of a lot: identity, drying, titration, pH, precipitate, residue, density.",
    ),
    "own": (
        "stillroom.cli.own",
        "Enter a marker, plant, ingredient or ceiling that the tables here do not list.",
    ),
    "dose": ("stillroom.cli.dose", QUESTIONS["dose"]),
    "density": (
        "stillroom.actions.making.bulk_density:weigh_density",
        "The density of a bulk, which says how much to fill by mass.",
    ),
    "fill": ("stillroom.cli.bottling", "Bottles that were filled from a batch: they become a lot."),
    "stock": (
        "stillroom.cli.stock",
        "Count a lot, keep samples back, throw some away, read how strong a spirit is.",
    ),
    "release": (
        "stillroom.cli.lots",
        "Release, stop or reject a lot; show its release list and decide its lines.",
    ),
    "paper": (
        "stillroom.cli.lots",
        "Enter what the release list asks for: microbial count, safety report, stability, label check.",
    ),
    "deliver": ("stillroom.cli.bottling", "Bottles that leave on a customer's order."),
    "recall": (
        "stillroom.cli.acts",
        "Write what came back, who was told and when, and a recall that was rehearsed.",
    ),
    "correct": ("stillroom.cli.book", "Put an entry right: both values and the reason stay."),
    "trace": (
        "stillroom.cli.tracing",
        "From any code up to the plant and down to the bottles, with the mass account.",
    ),
    "spirit": (
        "stillroom.cli.spirit",
        "The account of spirit of a month, in kilograms of ethanol: it closes, or it asks.",
    ),
    **{
        name: (f"stillroom.questions.{name}", says)
        for name, says in QUESTIONS.items()
        if name not in IN_A_BOOK_TOO
    },
    "factor": ("stillroom.cli.factor", QUESTIONS["factor"]),
    "reagent": (
        "stillroom.cli.reagent",
        "What to detect, lowest hazard first, and the recipe of a reagent at an amount; needs no laboratory.",
    ),
    "plant": (
        "stillroom.cli.tracing",
        "What this laboratory knows of a plant: its lots, what each batch gave, what to expect next.",
    ),
    "why": ("stillroom.cli.tracing", "The reason of a number, down to reading, published row or assumption."),
    "print": ("stillroom.cli.printing", "Write a document as PDF and text."),
    "serve": ("stillroom.cli.serving", "Serve the pages on this machine."),
    "pin": ("stillroom.cli.pins", "Set or change the PIN a person signs with."),
    "duties": ("stillroom.cli.pins", "Say what a person does here: maker, checker, owner; everybody reads."),
    "password": (
        "stillroom.cli.pins",
        "Set the password a person comes in with from elsewhere, on a server.",
    ),
    "book": ("stillroom.cli.book", "Verify, back up, restore or fingerprint the book."),
}


BROKEN = 70
"""Exit code of what nobody foresaw, as the system's own list of codes has it (EX_SOFTWARE)."""
THREADS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
"""Nothing here multiplies large matrices: a pool of threads would only cost its start, and cores while serving."""


class Verbs(click.Group):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in VERBS:
            return None
        module, _, act = VERBS[name][0].partition(":")
        if act:
            from stillroom.cli.asked import command_of_act

            return command_of_act(getattr(importlib.import_module(module), act))
        if module == f"stillroom.questions.{name}":
            from stillroom.cli.asked import command_of
            from stillroom.questions import declared

            return command_of(declared(name))
        command: click.Command = getattr(importlib.import_module(module), f"{name}_command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Verbs"):
            formatter.write_dl([(name, says) for name, (_, says) in VERBS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in VERBS:
            from stillroom.errors import UnknownName

            deeper = self._deeper(ctx, args[0])
            unknown = UnknownName.among(args[0], "a verb", deeper or VERBS, near=0.0 if deeper else 0.5)
            raise click.UsageError(unknown.sentence)
        return super().resolve_command(ctx, args)

    def _deeper(self, ctx: click.Context, name: str) -> list[str]:
        """Where a name stands beneath another verb: "recall complaint"."""
        groups = (verb for verb, (module, _) in VERBS.items() if module.startswith("stillroom.cli."))
        return [
            f"{verb} {name}"
            for verb in groups
            if isinstance(group := self.get_command(ctx, verb), click.Group) and group.get_command(ctx, name)
        ]


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="stillroom %(version)s")
def stillroom() -> None:
    """From an order of bottles back to the plant, and from every bottle back to its reason.

    Every verb explains itself: stillroom plan --help
    """


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command; errors raised on purpose end with exit code 2 and their sentence."""
    from stillroom.errors import BadEntry, StillroomError

    for one in THREADS:
        os.environ.setdefault(one, "1")
    for out in (sys.stdout, sys.stderr):
        if isinstance(out, io.TextIOWrapper):  # a file may have a name that is no text
            out.reconfigure(errors="backslashreplace")
    try:
        if any("\0" in one for one in arguments or ()):  # no shell sends it, and no path takes it
            raise BadEntry("What is typed must be text", repr("\0"), "Type it again, letter by letter")
        stillroom.main(args=arguments, prog_name="stillroom", standalone_mode=True)
    except StillroomError as error:
        _end(error.sentence, 2)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except OSError as why:
        _end(_out_of_reach(why), 2)
    except UnicodeEncodeError as why:
        _end(_no_text(why), 2)
    except Exception as error:
        if sys.flags.dev_mode:
            raise
        _end(_unforeseen(error), BROKEN)


def _end(sentence: str, code: int) -> NoReturn:
    click.echo(f"stillroom: {sentence}", err=True)
    sys.exit(code)


def _out_of_reach(why: OSError) -> str:
    from stillroom.errors import BadEntry

    at = "" if why.filename is None else f": {os.fsencode(why.filename)[:80].decode('utf-8', 'replace')}"
    return BadEntry(
        "A file or folder must be one that can be read or written",
        f"{why.strerror or why}{at}",
        "Choose another name or place, or make room",
    ).sentence


def _no_text(why: UnicodeEncodeError) -> str:
    from stillroom.errors import BadEntry

    typed = why.object[:40].encode("utf-8", "backslashreplace").decode("utf-8")
    return BadEntry("What is typed must be text", repr(typed), "Type it again, letter by letter").sentence


def _unforeseen(error: Exception) -> str:
    """What broke and where, in words that can be passed on: nothing of what was typed or kept stands in them."""
    import traceback

    from stillroom.texts.catalogue import t

    here = Path(__file__).parents[1]
    ours = [one for one in traceback.extract_tb(error.__traceback__) if here in Path(one.filename).parents]
    where = f"{Path(ours[-1].filename).relative_to(here)}:{ours[-1].lineno}" if ours else ""
    return t(
        "Something went wrong in the program itself ({what}). Look whether it was written before it is asked again, "
        "and pass these words on: nothing of the book stands in them.",
        what=" ".join((type(error).__name__, where)).strip(),
    )


if __name__ == "__main__":
    main()
