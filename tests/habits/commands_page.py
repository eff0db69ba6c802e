"""docs/commands.md: every verb with its options, and an example run on the practice laboratory.

``.venv/bin/python -m tests.habits.commands_page``, from the folder of the project, writes it again (about a
minute). What an example prints is what it printed then; a long answer is cut and says so.
"""

import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import click

from tests.habits.source_tree import ROOT, SRC
from tests.habits.test_docs_are_true import commands, group

PAGE = ROOT / "docs" / "commands.md"
HEAD = """\
# Commands

Plain verbs. `stillroom plan --help` explains one; `--json` gives the answer to a program. A verb that cannot do what is
asked says one sentence, writes nothing and ends with exit code 2. The laboratory is a folder: `--in`, or the variable
`STILLROOM`, or `stillroom-practice` when neither is given. Who writes signs with `--by`, and types their PIN where they
have one (a program gives it in `STILLROOM_PIN`); `--at` says when it was done, beside when it is entered.

After set-up the command is `.venv/bin/stillroom`; `python3 start.py VERB` does the same. The answers below were printed
in the practice laboratory, whose every name and figure is invented. Where an answer is cut, the last line says how many
lines follow.

Some things have a page and no verb yet: a bottle of reagent made, opened, tried or sold; timers; photographs
([pages](pages.md)).
"""


@dataclass(frozen=True)
class Example:
    """A command as it is written, how many lines of its answer are shown, and what it prints where it is not run."""

    line: str
    shown: int = 12
    prints: str = ""


EXAMPLES: dict[str, tuple[Example, ...]] = {
    "demo": (Example("stillroom demo --no-serve", 24),),
    "new": (Example('stillroom new our-lab --name "A small laboratory" --person "MA: Mira Anselm"'),),
    "enter": (
        Example(
            "stillroom enter laboratory.yaml bark-extract.yaml hair-tonic.yaml ORD-1.yaml --in our-lab --by MA"
        ),
    ),
    "schema": (Example("stillroom schema order", 14),),
    "day": (
        Example("stillroom day --lay-out --by TO", 6),
        Example("stillroom day --now", 12),
    ),
    "buy": (
        Example(
            'stillroom buy "cinchona bark" "2.5 kg" --from "Invented growers" --comes "4 March 2027" --by TO'
        ),
        Example("stillroom buy"),
    ),
    "receive": (
        Example(
            'stillroom receive SPI-02 "5.000 kg" --kind spirit --substance "spirit 96 %" '
            '--stated "96.0 % v/v at 20 °C" --supplier "Invented Distillers" --by TO'
        ),
    ),
    "plan": (
        Example("stillroom plan ORD-2", 34),
        Example('stillroom plan ORD-2 --charge "250 g"', 10),
    ),
    "offer": (
        Example(
            'stillroom offer --product "Rosemary tonic" --bottles "24 × 50 mL" --strength "0.10 % w/w rosmarinic acid" '
            '--plant "rosemary leaf" --way maceration --keep --by TO --at "2026-11-24 12:00"'
        ),
    ),
    "offers": (
        Example(
            "stillroom offers season.csv --workers 2 --today 2026-11-25",
            prints="3 of 3 answered\n3 enquiries answered, 0 not; season.answers.csv\ncinchona bark: 0.2403 kg\n"
            "rosemary leaf: 2.387 kg\nHours: 142.8 (93.70 to 191.9)\nCost: 3910.73 EUR (2677.09 to 5144.36)",
        ),
    ),
    "procedure ways": (Example("stillroom procedure ways", 16),),
    "procedure show": (Example("stillroom procedure show infusion", 24),),
    "procedure copy": (
        Example(
            'stillroom procedure copy infusion --plant "green tea leaf" --marker "total phenols" '
            "--code green-tea --by TO"
        ),
    ),
    "own marker": (
        Example(
            'stillroom own marker scopoletin --molar-mass "192.17 g/mol" --charge none --cas 92-61-5 '
            '--source "an invented certificate" --by TO'
        ),
    ),
    "own ceiling": (
        Example(
            'stillroom own ceiling scopoletin --kind "hair leave-on" --at-most "0.2 %" '
            '--source "letter of an invented assessor, 2026-11-20" --by MA'
        ),
    ),
    "own plant": (
        Example(
            'stillroom own plant "nettle root" --latin-name "Urtica dioica" --holds "scopoletin 0.002 to 0.01 %" '
            '--loss-on-drying "9 %" --by TO'
        ),
    ),
    "own ingredient": (
        Example(
            'stillroom own ingredient "sacha inchi oil" --label-name "Plukenetia Volubilis Seed Oil" '
            '--density "0.92 g/mL" --by TO'
        ),
    ),
    "make": (
        Example('stillroom make E2 --procedure bark-extract --scale "100 g" --by TO'),
        Example(
            'stillroom make E2 --step "mix spirit" --weighed "stock spirit=1177 g@SPI-01@SCALE-1" '
            '--weighed "water=594 g@WAT-01@SCALE-1" --all-ticks --temperature "20.0 °C" --by TO'
        ),
        Example("stillroom make E2", 36),
    ),
    "test precipitate": (
        Example(
            "stillroom test precipitate CIN-01 --test dragendorff --reagent DRA-01 --sample precipitate "
            "--blank clear --positive precipitate --by TO"
        ),
        Example(
            "stillroom test precipitate CIN-01 --test dragendorff --reagent DRA-01 --sample precipitate "
            "--blank precipitate --positive precipitate --by TO"
        ),
    ),
    "test titration": (
        Example(
            'stillroom test titration CIN-01 --portion "1.0150 g, 8.42 mL" --portion "1.0080 g, 8.51 mL" '
            '--blank "20.06 mL" --nominal "20.00 mL" --titrant NAOH-01 --scale SCALE-3 --burette BUR-1 --by TO '
            '--at "2026-11-05 11:00"'
        ),
    ),
    "test ph": (
        Example('stillroom test ph T1 5.2 --read-by strip --band "4.8 to 5.6" --by TO'),
        Example(
            'stillroom test ph T1 5.2 --read-by meter --meter-buffers "4.01, 6.86" --band "4.8 to 5.6" --by TO'
        ),
    ),
    "test describe": (
        Example(
            'stillroom test describe CIN-01 --state dry --grind coarse --place "the garden" --harvested 2026-8 --by TO'
        ),
    ),
    "test rack": (
        Example(
            'stillroom test rack SAL-01 "412 g" --by TO',
            prints="Noted. Weigh the same rack again tomorrow. Look into the middle of the layer for damp heat, a "
            "musty smell, a grey down; turn it.",
        ),
    ),
    "test identity": (
        Example(
            'stillroom test identity CIN-01 --evidence "compared with a voucher of the invented herbarium" --by TO'
        ),
    ),
    "test absorbance": (
        Example(
            'stillroom test absorbance CIN-01 --marker "total phenols" --counted-as "gallic acid" '
            '--portion "0.2000 g, 0.523" --made-up-to "10 mL" --diluted 100 --standard "10 mg/L, 0.118" '
            '--standard "20 mg/L, 0.235" --standard "30 mg/L, 0.342" --standard "40 mg/L, 0.459" '
            '--standard "50 mg/L, 0.566" --scale SCALE-3 --by TO'
        ),
    ),
    "test extractive": (
        Example(
            'stillroom test extractive CIN-01 --liquid water --sample "5.00 g" --poured "100 mL" --taken "20 mL" '
            '--dish "31.2040 g" --with-residue "31.4260 g" --scale SCALE-3 --by TO'
        ),
    ),
    "test drying": (
        Example(
            'stillroom test drying CIN-01 --dish "31.2040 g" --with-sample "33.2040 g" --dried "33.0216 g" '
            '--dried "33.0210 g" --scale SCALE-3 --by TO'
        ),
    ),
    "test weigh-again": (
        Example(
            'stillroom test weigh-again CIN-01 "33.0208 g" --scale SCALE-3 --by TO',
            prints="The last two weighings differ by 0.2 mg; 5.0 mg is allowed on 2 g: the mass is constant.",
        ),
    ),
    "test residue": (
        Example(
            'stillroom test residue E2 --solvent "ethyl acetate" --found "310 mg/kg" --uncertainty "31 mg/kg" '
            "--report R-88 --by TO",
            prints="310 mg/kg found, upper bound 361, limit 5000 mg/kg (the figure of medicines as a house limit): "
            "within.",
        ),
    ),
    "test untested": (
        Example(
            'stillroom test untested E2 --why "No laboratory was asked in time" --by TO',
            prints="The certificate of E2 will say: residue not tested.",
        ),
    ),
    "test density": (
        Example(
            'stillroom test density T2 --empty "38.41 g" --water "138.14 g" --bulk "133.12 g" --temperature "20.0 °C" '
            "--scale SCALE-2 --by TO"
        ),
    ),
    "test crest": (
        Example(
            'stillroom test crest E2 --crest "85 mL" --heel "25 mL" --by TO',
            prints="Nothing can fall faster than to 0.29 from one siphoning to the next.",
        ),
    ),
    "test warm": (Example('stillroom test warm E2 --record "0 21 / 20 62 / 45 78 / 160 81" --by TO'),),
    "test marc": (
        Example(
            'stillroom test marc E2 --portion "5.00 g" --residue "62 mg" --marc "38.2 g" --collected "9.61 g" --by TO',
            prints="4.7 % was still inside.",
        ),
    ),
    "test log": (
        Example(
            "stillroom test log E2 --log $'time,vial\\n2026-11-24 09:00,0\\n2026-11-24 09:12,2' --by TO",
            prints="2 rows of the log are entered.",
        ),
    ),
    "test siphoned": (
        Example(
            "stillroom test siphoned E2 --by TO",
            prints="Tap 1 of E2 is noted. Not yet: the slow share does not show. What comes is still what "
            "washes out at once.",
        ),
    ),
    "test watched": (
        Example(
            'stillroom test watched E2 --residue "34 mg" --volume "10 mL" --vial 3 --by TO',
            prints="It is noted.",
        ),
    ),
    "test not-siphoned": (
        Example(
            "stillroom test not-siphoned E2 --by TO",
            prints="The last tap is taken back. Nothing siphoned yet. Tap when it does.",
        ),
    ),
    "test looked": (
        Example('stillroom test looked M1 --residue "34 mg" --volume "10 mL" --by TO', prints="It is noted."),
    ),
    "test outside": (
        Example(
            'stillroom test outside CIN-01 --marker "total alkaloids" --counted-as quinine '
            '--found "7.40 % w/w ± 0.30 (k = 2)" --matter "as is" --laboratory "an invented laboratory" '
            '--certificate C-77 --method "liquid chromatography" --by TO'
        ),
    ),
    "dose": (
        Example('stillroom make T3 --procedure hair-tonic --scale "2.000 kg" --order ORD-2 --by TO'),
        Example('stillroom dose T3 E1 --scale SCALE-2 --next-strength "29.7 %"', 14),
    ),
    "deviation": (
        Example(
            'stillroom deviation E2 "mix spirit" "the funnel dripped" --done "wiped up and weighed again" --by TO'
        ),
    ),
    "density": (
        Example(
            'stillroom density T2 --empty "38.41 g" --water "138.14 g" --bulk "133.12 g" --temperature "20.0 °C" '
            "--scale SCALE-2 --by TO"
        ),
    ),
    "fill": (
        Example(
            'stillroom fill T4 26 --left-over "9.80 g" --check "50.4 g" --check "50.3 g" --check "50.5 g" '
            "--pack BOT-01=26 --scale SCALE-2 --use-by 2027-05-29 --by TO",
            prints="26 bottles of 26.7 possible. Mean 50.32 ± 0.25 mL of 3 bottles, nominal 50 mL; 0 short by more "
            "than 4.5 mL.",
        ),
    ),
    "stock keep-back": (Example('stillroom stock keep-back T2 "1 bottles" --by TO'),),
    "stock waste": (
        Example('stillroom stock waste GLY-01 "5.0 g" --why "spilled, into the water waste" --by TO'),
    ),
    "stock count": (Example('stillroom stock count GLY-01 "1.800 kg" --scale SCALE-1 --by TO'),),
    "stock table": (
        Example("stillroom stock table lots.csv", prints="A table of lots … 3 lots. Nothing is taken yet. …"),
        Example(
            "stillroom stock table lots.csv --take --by MA", prints="3 lots are on the shelf and waiting."
        ),
    ),
    "stock template": (
        Example(
            "stillroom stock template lots.csv",
            prints="lots.csv: fill it in, then: stillroom stock table lots.csv",
        ),
    ),
    "stock strength": (Example('stillroom stock strength SPI-02 "98.9 %" --temperature "30 °C" --by TO'),),
    "deliver": (Example("stillroom deliver ORD-2 T2=1 --by MA"),),
    "release": (
        Example("stillroom release T1 --by JU", 24),
        Example('stillroom release SPI-02 --meaning "papers and label agree, seal whole" --by MA'),
    ),
    "correct": (
        Example("stillroom correct E1", 22),
        Example('stillroom correct 73 "8.45 mL" --why "read from above the line" --by TO'),
    ),
    "paper": (
        Example(
            'stillroom paper T2 "safety report" --document "SR-1, invented assessor" --dated 2026-11-10 '
            "--every-batch --by MA"
        ),
    ),
    "recall told": (
        Example('stillroom recall told T2 "the shop" --how "by telephone" --order ORD-2 --by MA'),
    ),
    "recall complaint": (
        Example('stillroom recall complaint T2 "the shop" --what "smells of vinegar" --order ORD-2 --by MA'),
    ),
    "recall returned": (
        Example('stillroom recall returned T2 "1 bottles" --order ORD-2 --why "its cap leaks" --by MA'),
    ),
    "recall rehearse": (
        Example('stillroom recall rehearse CIN-01 --minutes 12 --found "every bottle was found" --by JU'),
    ),
    "trace": (Example("stillroom trace T1", 34),),
    "dilute": (
        Example('stillroom dilute "5.000 L" --have "96.0 % v/v" --want "70.0 % v/v" --at "20 °C"', 26),
    ),
    "reagent": (Example('stillroom reagent wagner --amount "250 mL" --step "0.01 g"', 24),),
    "acid": (Example('stillroom acid "1.000 L" --of "hydrochloric acid 37 %" --want "5 % w/w"', 24),),
    "spirit": (Example("stillroom spirit --month 2026-11", 30),),
    "blend": (
        Example(
            'stillroom blend "5 L" --stock "4 L of 96 % v/v" --stock "3 L of 83 % v/v, recovered" --want "70 % v/v" '
            '--at "20 °C"',
            22,
        ),
    ),
    "recover": (Example('stillroom recover "5.00 L" --have "70 % v/v" --at "20 °C" --stop "91 %"', 20),),
    "buffer": (
        Example('stillroom buffer "1 L" --pair phosphate --ph 7.0 --total "0.05 mol/L" --at "25 °C"', 20),
    ),
    "factor": (
        Example(
            'stillroom factor "0.4085 g, 20.06 mL" "0.4120 g, 20.22 mL" "0.4061 g, 19.94 mL" --blank "0.04 mL" '
            '--standard "potassium hydrogen phthalate" --strength "0.1 mol/L" --titrant "sodium hydroxide" '
            '--room "31 °C" --at "2026-11-24 10:00"',
            24,
        ),
    ),
    "strengthen": (
        Example(
            'stillroom strengthen "E1 36.2 ± 0.8 % 120 g; E2 41.0 % 60 g" --want "38 %" --native 5.2', 16
        ),
    ),
    "kinetics": (
        Example('stillroom kinetics "0 0; 10 6.32; 20 8.65; 40 9.82; 80 10.0" --unit mg/g --at "30 min"', 16),
    ),
    "siphon": (
        Example('stillroom siphon 310 190 118 74 --collected "9.61 g" --cycle "12 min" --remain "0.1 %"', 20),
    ),
    "cooling": (
        Example(
            'stillroom cooling "ethanol 12 mL/min" "ethanol 12 mL/min" --inlet "24 °C" --flow "0.5 L/min"', 20
        ),
    ),
    "note": (Example('stillroom note "room temperature" "31 °C" --by TO'),),
    "season": (
        Example(
            'stillroom season --month "3 kg" --price "40 EUR/kg" --short "90 EUR/kg" --varies "30 %"', 20
        ),
    ),
    "compare": (
        Example(
            'stillroom compare "rosemary leaf" --of "rosmarinic acid" --charge "100 g" --flask "1 L"', 24
        ),
    ),
    "shake": (
        Example(
            'stillroom shake --pka 8.52 --partition-ratio 60 --ph 9.5 --water "100 mL" --solvent "90 mL"', 14
        ),
    ),
    "plant": (
        Example("stillroom plant cinchona-bark", 24),
        Example("stillroom plant cinchona-bark --ways", 24),
    ),
    "why": (
        Example("stillroom why plan/ORD-1/plant_g", 22),
        Example("stillroom why 76", 22),
    ),
    "print": (Example("stillroom print certificate-T1 --into paper"),),
    "serve": (
        Example(
            "stillroom serve",
            prints="The pages are at http://127.0.0.1:8017/ on this machine only. Ctrl-C ends them.",
        ),
    ),
    "pin": (
        Example(
            "stillroom pin TO",
            prints="New PIN of TO:\nOnce more:\nTO signs with a PIN from now on.",
        ),
    ),
    "password": (
        Example(
            "stillroom password TO --by MA",
            prints="Password of TO:\nOnce more:\n"
            "TO signs in with the new password from now on, and is signed out everywhere.",
        ),
    ),
    "duties": (Example("stillroom duties TO --maker --by MA", prints="TO is from now on: maker."),),
    "export": (
        Example("stillroom export stock stock.xlsx", prints="stock.xlsx: stock, 8 kB."),
        Example("stillroom export spirit november.csv --month 2026-11", prints="november.csv: spirit, 5 kB."),
        Example(
            "stillroom export everything our-book-2026", prints="our-book-2026: 153 entries as JSON lines, …"
        ),
    ),
    "import": (
        Example(
            "stillroom import our-book-2026 another-lab",
            prints="The laboratory stands in another-lab. Its fingerprint, as 'book digest --tables' prints it: 5f0c…",
        ),
    ),
    "book verify": (Example("stillroom book verify"),),
    "book mend": (Example("stillroom book mend"),),
    "book backup": (Example("stillroom book backup copy.book"),),
    "book restore": (Example("stillroom book restore copy.book elsewhere --by MA"),),
    "book digest": (
        Example(
            "stillroom book digest",
            prints="signed head of the book book 5f0c… entry 153 sha256 81d2… at 2026-11-24T12:00:00+00:00 "
            "key 9b1e… signature 4c77…",
        ),
    ),
    "book check": (
        Example(
            'stillroom book check "$LINE" copy.book',
            prints="The copy is the book that was signed, up to entry 153, on 2026-11-24T12:00:00+00:00, key 9b1e…",
        ),
    ),
}


def options(path: tuple[str, ...], command: click.Command) -> Iterator[str]:
    """Usage and options of a command, as its own help has them."""
    context = click.Context(command, info_name=" ".join(("stillroom", *path)))
    yield f"{' '.join((command.help or '').split())}\n"
    if isinstance(command, click.Group):
        return
    yield f"Usage: `{command.get_usage(context).removeprefix('Usage: ')}`\n".replace("\n  ", " ")
    lines = []
    for one in command.get_params(context):
        record = one.get_help_record(context)
        if record and isinstance(one, click.Option) and "--help" not in one.opts:
            lines.append(f"- `{record[0]}`: {record[1]}" if record[1] else f"- `{record[0]}`")
    yield "\n".join(lines) + "\n"


def answer(example: Example, folder: Path) -> str:
    """What the command prints, cut to the lines that are shown."""
    if example.prints:
        return example.prints
    words = shlex.split(example.line)[1:]
    done = subprocess.run(
        [sys.executable, "-m", "stillroom", *words],
        cwd=folder,
        capture_output=True,
        text=True,
        env=environment(),
    )
    lines = (done.stderr + done.stdout).rstrip().splitlines()
    more = len(lines) - example.shown
    return "\n".join(lines if more <= 1 else [*lines[: example.shown], f"… {more} more lines"])


def environment() -> dict[str, str]:
    """Nothing of the surroundings but the source."""
    return {"PYTHONPATH": str(ROOT / "src"), "PATH": "", "TZ": "UTC", "LANG": "C.UTF-8"}


def page(folder: Path) -> str:
    """The whole page, with its examples run in a folder that holds nothing yet."""
    for one in (SRC / "demo" / "practice").glob("*.yaml"):
        (folder / one.name).write_bytes(one.read_bytes())
    parts = [HEAD]
    for path, command in commands(group()):
        name = " ".join(path)
        parts.append(f"{'##' if len(path) == 1 else '###'} stillroom {name}\n")
        parts += options(path, command)
        for example in EXAMPLES.get(name, ()):
            parts.append(f"```\n$ {example.line}\n{answer(example, folder)}\n```\n")
    return "\n".join(parts)


def with_moments_of(before: str, written: str) -> str:
    """The page; a line that differs from one that stood there by a moment or a digest alone stays as it stood."""
    stood = {_MOMENT.sub("", line): line for line in before.splitlines()}
    return "\n".join(stood.get(_MOMENT.sub("", line), line) for line in written.splitlines()) + "\n"


_MOMENT = re.compile(r"\b\d{4}-\d\d-\d\d \d\d:\d\d\b|\b[0-9a-f]{16}(?:[0-9a-f]{48})?\b")


if __name__ == "__main__":
    with TemporaryDirectory() as made:
        PAGE.write_text(with_moments_of(PAGE.read_text(), page(Path(made))))
