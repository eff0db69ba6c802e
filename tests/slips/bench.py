"""A laboratory in which batches are begun at random, and a hand that makes every slip a person makes.

Each act is tried as a person would: what is asked about is answered by a note; what was entered wrongly is put right.
After each act every page that shows the batch is asked for. A refusal that a note or another field cannot lift, and a
page that does not open, is a finding.
"""

import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random
from typing import Any
from urllib.parse import quote

from sqlalchemy import event

from stillroom.actions.bench.form_choices import next_up
from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.actions.correcting.entries import fields_of, may_be_put_right, put_right
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step, leave_out
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.deviations import note_deviation
from stillroom.actions.making.giving_up import give_up
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.ordering import take_order
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.reagents import make_reagent
from stillroom.demo.clock import StoryClock
from stillroom.demo.extracting import extract
from stillroom.demo.shelves import fill_shelves, receive_bark
from stillroom.demo.story import BEGINS, begin_practice
from stillroom.errors import StillroomError
from stillroom.records.entries import Entry, StepDone
from stillroom.records.formula_starters import BASES, starting_formula
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.reagent_recipes import recipe
from stillroom.records.starters import starters
from stillroom.web.app import make_app
from tests.pages_in_process import Pages

NOW = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
PAPERS = ("label", "certificate")
PLANT, MARKER = "cinchona bark", "quinine"
OVER_WITH_STEAM = ("rosemary leaf", "1,8-cineole")
RECIPES = ("wagner", "ferric-chloride", "aluminium-chloride", "gelatin", "tannic-acid")
MOST = 1e8
FACTORS = (10.0, 0.1, 1000.0, 0.001)


@cache
def shelves() -> Path:
    """The folder of a laboratory with every way of the starters, every formula and a full shelf. Never written."""
    folder = Path(tempfile.mkdtemp(prefix="slips-")) / "shelves"
    clock = StoryClock(BEGINS)
    lab = begin_practice(folder, clock)
    fill_shelves(lab, clock)
    receive_bark(lab, clock)
    extract(lab, clock)
    at = clock.at("2026-11-14 08:00")
    for one in starters():
        plant, marker = OVER_WITH_STEAM if one.name == "hydrodistillation" else (PLANT, MARKER)
        copy_procedure(lab, one.name, plant, marker, f"own-{one.name}"[:24], by="TO", at=at)
    with lab.look() as look:
        order = look.order("ORD-1")
        extracts = {one.code: one.makes for one in look.procedures() if one.purpose == "extraction"}
    for base in BASES:
        made = starting_formula(
            base,
            code=f"own-{base}",
            title=f"own {base} tonic",
            product_type=order.product_type,
            extract=extracts["bark-extract"],
            extract_label="Cinchona Succirubra Bark Extract",
        )
        write_procedure(lab, made, by="TO", at=at)
        take_order(
            lab, replace(order, code=f"ORD-{base}", formula=made.code, product=made.title), by="TO", at=at
        )
    _stock(lab, at)
    lab.book.close()
    return folder


def _stock(lab: Laboratory, at: datetime) -> None:
    """Some of everything any line wants, released; and lots that may not be used."""
    with lab.look() as look:
        wanted = {line.substance for one in look.procedures() for line in one.lines}
        for name in RECIPES:
            wanted |= {line.substance for line in recipe(name).lines}
        held = {lot.substance for lot in look.lots()}
    for number, substance in enumerate(sorted(wanted - held)):
        kind = LotKind.SPIRIT if substance.startswith("spirit") else LotKind.INGREDIENT
        lot = Lot(f"ANY-{number:02d}", kind, substance, substance, stated=_stated(substance))
        receive_lot(lab, lot, "3000 g", by="TO", at=at)
        release(lab, lot.code, meaning="papers read", by="MA", at=at)
    receive_lot(lab, Lot("WAIT-01", LotKind.INGREDIENT, "glycerin", "glycerin"), "500 g", by="TO", at=at)
    bark = Lot("CIN-09", LotKind.PLANT, PLANT, "bark that is little")
    receive_lot(lab, bark, "12 g", by="TO", at=at)
    decide_identity(
        lab,
        "CIN-09",
        accepted=True,
        evidence="quills and fracture compared with the voucher specimen",
        voucher="V-1",
        by="MA",
        at=at,
    )
    release(lab, "CIN-09", meaning="looked at", by="MA", at=at)


def _stated(substance: str) -> str:
    return f"{substance.removeprefix('spirit ')} v/v at 20 °C" if substance.startswith("spirit") else ""


@dataclass
class Finding:
    """Something that should not have happened."""

    seed: int
    what: str
    error: str
    before: tuple[str, ...]

    def __str__(self) -> str:
        return f"seed {self.seed}: {self.what}\n    {self.error}\n    after {'; '.join(self.before[-4:])}"


@dataclass
class Tally:
    """How much was tried."""

    batches: int = 0
    tries: int = 0
    pages: int = 0
    corrections: int = 0
    findings: list[Finding] = field(default_factory=list)


class Bench:
    """One copy of the laboratory with a client at its pages."""

    def __init__(self, folder: Path) -> None:
        shutil.copytree(shelves(), folder)
        self.lab = open_laboratory(folder, clock=self._clock)
        event.listen(self.lab.book._writer, "connect", _without_waiting_for_the_disk)
        self.now = NOW
        self.client = Pages(make_app(self.lab))

    def _clock(self) -> datetime:
        return self.now

    def close(self) -> None:
        self.client.close()
        self.lab.book.close()


def _without_waiting_for_the_disk(connection: Any, _: object) -> None:
    connection.execute("PRAGMA synchronous = OFF").close()


@dataclass
class Hand:
    """One batch in the hands of somebody who slips.

    Attributes
    ----------
    bench : Bench
    seed : int
    tally : Tally
    sheets : bool
        Whether a PDF is made of every fifth page.
    """

    bench: Bench
    seed: int
    tally: Tally
    sheets: bool = False
    chance: Random = field(init=False)
    said: list[str] = field(default_factory=list)
    right: dict[tuple[str, str], str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.chance = Random(self.seed)
        self.code = f"B{self.seed}"
        self.lab = self.bench.lab

    def make(self, acts: int) -> None:
        """One batch from its beginning to its end, with this many acts at most."""
        self.tally.batches += 1
        if not self.begins():
            return
        for _ in range(acts):
            with self.lab.knowing_its_own():
                name, act = self.chance.choice(self.what_may_be_done())
            self.tries(name, act)
            self.every_page_opens()
            if next_up(self.lab, self.code).does == "done":
                break
        self.puts_everything_right()
        self.ends()

    def tries(self, name: str, act: Callable[[str], Any]) -> bool:
        """Do something without a note, and with one where it is asked about; a refusal of that is a finding."""
        self.bench.now += timedelta(minutes=self.chance.choice((5, 60, 600)))
        self.tally.tries += 1
        self.said.append(name)
        try:
            act("")
            return True
        except StillroomError:
            pass
        except Exception as error:  # noqa: BLE001
            self.found(name, error)
            return False
        try:
            act("it happened so")
            return True
        except Exception as error:  # noqa: BLE001
            self.found(name, error)
            return False

    def found(self, what: str, error: object) -> None:
        text = error.sentence if isinstance(error, StillroomError) else repr(error)
        self.tally.findings.append(Finding(self.seed, what, text, tuple(self.said)))

    # Beginning and ending

    def begins(self) -> bool:
        with self.lab.look() as look:
            procedures = [one for one in look.procedures() if one.purpose != "reagent"]
        if self.chance.random() < 0.12:
            return self.makes_a_reagent()
        procedure = self.chance.choice(procedures)
        scale_g = self.chance.choice((50.0, 100.0, 250.0, 2000.0, 1e9, 0.01))
        order = ""
        if procedure.purpose == "formula":
            order = {"hair-tonic": "ORD-1"}.get(procedure.code, procedure.code.replace("own", "ORD"))
        elif self.chance.random() < 0.8:
            order = "ORD-1"

        def act(_: str) -> Any:
            return begin_batch(self.lab, self.code, procedure.code, f"{scale_g:g} g", order=order, by="TO")

        done = self.tries(f"begin {procedure.code} at {scale_g:g} g for {order or 'nobody'}", act)
        self.every_page_opens()
        return done

    def makes_a_reagent(self) -> bool:
        name = self.chance.choice(RECIPES)
        procedure = recipe(name)
        masses = {
            line.name: self.chance.choice(("2.00 g", "0 g", "20 g", "9000 g")) for line in procedure.lines
        }
        weighed = [
            Weighed(line.name, masses[line.name], self.lot_for(line.substance), "")
            for line in procedure.lines
        ]

        def act(note: str) -> Any:
            ticks = procedure.steps[0].ticks
            return make_reagent(
                self.lab,
                name,
                code=self.code,
                amount="100 mL",
                weighed=weighed,
                ticks=ticks,
                note=note,
                by="TO",
            )

        done = self.tries(f"make {name} of {', '.join(masses.values())}", act)
        if done:
            self.every_page_opens()
        return done

    def ends(self) -> None:
        """Give the batch up, whatever it is; then it must be over and the book must hold."""
        with self.lab.look() as look:
            ended = look.given_up(self.code)
        if ended is None:
            self.tries("give up", lambda _: give_up(self.lab, self.code, why="a slip too many", by="TO"))
        self.every_page_opens()
        if next_up(self.lab, self.code).does != "done":
            self.found("a batch given up is over", next_up(self.lab, self.code).does)

    # What a hand does

    def what_may_be_done(self) -> Sequence[tuple[str, Callable[[str], Any]]]:
        coming = next_up(self.lab, self.code)
        acts: list[tuple[str, Callable[[str], Any]]] = []
        if coming.step:
            acts += [self.a_step(coming.step)] * 6
            acts.append((f"leave out {coming.step}", lambda _: self.leaves_out(coming.step)))
            acts.append(self.a_step(self.chance.choice(self.steps())))
        if coming.does == "dose":
            acts += [("dose", self.doses())] * 6
        if coming.does == "density":
            acts += [("weigh the density", self.weighs_density())] * 4
        acts.append(
            (
                "note a deviation",
                lambda _: note_deviation(self.lab, self.code, step=self.steps()[0], what="x", by="TO"),
            )
        )
        acts += [self.puts_one_right() for _ in range(3)]
        if self.chance.random() < 0.1:
            acts.append(("give up and take up again", self.gives_up_and_on))
        return acts

    def steps(self) -> list[str]:
        with self.lab.look() as look:
            begun = look.batch(self.code)
            return [one.name for one in look.procedure(begun.procedure, begun.version).steps]

    def kind_of(self, step: str) -> str:
        with self.lab.look() as look:
            begun = look.batch(self.code)
            return look.procedure(begun.procedure, begun.version).step(step).kind

    def lot_for(self, substance: str) -> str:
        with self.lab.look() as look:
            lots = [lot.code for lot in look.lots()]
            fitting = [lot.code for lot in look.lots() if lot.substance == substance]
        if not fitting or self.chance.random() < 0.08:
            return self.chance.choice(lots)
        return self.chance.choice(fitting)

    def a_step(self, step: str) -> tuple[str, Callable[[str], Any]]:
        if self.kind_of(step) == "fill":
            return ("fill", self.fills())
        in_hand = step_in_hand(self.lab, self.code, step)
        assert in_hand is not None
        weighed, slips = [], []
        for one in in_hand.lines:
            mass_g = min(one.planned_g or 0.0, MOST) or self.chance.choice((20.0, 300.0))
            lot = self.lot_for(one.substance) if one.direction == "in" else ""
            if one.direction == "out" and one.line == in_hand.step.gives[0] and in_hand.number == in_hand.of:
                lot = self.code
            right = f"{mass_g:.6g} g"
            self.right[step, one.line] = right
            slip = self.chance.random()
            if slip < 0.12:
                factor = self.chance.choice(FACTORS)
                right = f"{mass_g * factor:.6g} g"
                slips.append(f"{one.line} × {factor:g}")
            elif slip < 0.17:
                right = "0 g"
                slips.append(f"{one.line} nothing")
            elif slip < 0.2:
                right = ""
                slips.append(f"{one.line} not weighed")
            weighed.append(Weighed(one.line, right, lot, self.chance.choice(("", "SCALE-1", "SCALE-2"))))
        if len(weighed) > 1 and self.chance.random() < 0.1:
            first, second = weighed[0].mass, weighed[1].mass
            weighed[:2] = [replace(weighed[0], mass=second), replace(weighed[1], mass=first)]
            slips.append("two lines swapped")
        ticks = in_hand.step.ticks if self.chance.random() < 0.9 else ()
        late = self.bench.now - timedelta(hours=self.chance.choice((0, 0, 0, 30)))
        warm = self.chance.choice(("", "", "31 °C", "210 °C"))

        def act(note: str) -> Any:
            return do_step(
                self.lab,
                self.code,
                step,
                weighed,
                ticks=ticks,
                temperature=warm,
                note=note,
                by="TO",
                at=late,
            )

        return (f"{step}{' with ' if slips else ''}{', '.join(slips)}", act)

    def leaves_out(self, step: str) -> Any:
        return leave_out(self.lab, self.code, step, "not needed", by="TO")

    def doses(self) -> Callable[[str], Any]:
        scale = self.chance.choice(("SCALE-1", "SCALE-2"))
        with self.lab.look() as look:
            begun = look.batch(self.code)
            procedure = look.procedure(begun.procedure, begun.version)
        dosed = {one.name for one in procedure.lines if one.role == "dosed"}
        blending = self.a_step(next(one.name for one in procedure.steps if dosed & set(one.weighs)))[1]

        def act(note: str) -> Any:
            if note:  # a limit may refuse a plan; then it is blended without a decided dose
                return blending("blended without a dose")
            return decide_dose(self.lab, self.code, "E1", scale=scale, by="MA")

        return act

    def weighs_density(self) -> Callable[[str], Any]:
        warm = self.chance.choice(("20.0 °C", "22 °C", "31 °C", "45 °C"))
        bulk = self.chance.choice(("133.12 g", "133.12 g", "433.1 g"))
        return lambda _: weigh_density(
            self.lab,
            self.code,
            empty="38.41 g",
            water="138.14 g",
            bulk=bulk,
            temperature=warm,
            scale="SCALE-2",
            thermometer="THERM-1",
            by="TO",
        )

    def fills(self) -> Callable[[str], Any]:
        weights = self.chance.choice(((), ("95.9 g", "96.1 g"), ("9.59 g",), ("959 g", "96 g")))
        units = self.chance.choice((1, 20, 51, 510))
        left_over = self.chance.choice(("0 g", "86.2 g", "900 g", "86.2 kg"))
        packaging = self.chance.choice(({}, {"BOT-01": 51}, {"BOT-01": 99999}))
        return lambda note: fill_units(
            self.lab,
            self.code,
            units,
            left_over=left_over,
            check_weights=weights,
            packaging=packaging,
            scale="SCALE-2",
            use_by="2028-01-01",
            note=note,
            by="TO",
        )

    def gives_up_and_on(self, _: str) -> Any:
        give_up(self.lab, self.code, why="by mistake", by="TO")
        self.every_page_opens()
        with self.lab.look() as look:
            entry = look.given_up(self.code)
        assert entry is not None
        return put_right(self.lab, entry.entry_no, {"given up": "no"}, why="it goes on", by="TO")

    # Putting right

    def own_entries(self) -> list[Entry[Any]]:
        with self.lab.look() as look:
            return [one for one in look.entries(subject=self.code) if may_be_put_right(one)]

    def puts_one_right(self) -> tuple[str, Callable[[str], Any]]:
        # A dose is a plan: limits may refuse another one.
        entries = [one for one in self.own_entries() if one.kind != "dose decided"]
        entry = self.chance.choice(entries)
        with self.lab.look() as look:
            fields = fields_of(look, entry)
        one = self.chance.choice(fields)
        said = self.another(one.name, one.says, one.choices) or one.says
        name = f"put right {entry.kind} {entry.entry_no}: {one.name} {one.says!r} as {said!r}"

        def act(_: str) -> Any:
            self.tally.corrections += 1
            return put_right(self.lab, entry.entry_no, {one.name: said}, why="a slip", by="TO")

        return (name, act)

    def another(self, name: str, says: str, choices: Sequence[tuple[str, str]]) -> str | None:
        """Something else that field may say."""
        if choices:
            others = [one for one, _ in choices if one != says]
            return self.chance.choice(others) if others else None
        match name.split()[0]:
            case "mass":
                return f"{self.chance.choice((0, 0.5, 13.02, 4310.0, 1e6)):g} g"
            case "lot":
                mine = says.startswith(self.code) and self.chance.random() < 0.5
                return f"NEW-{self.tally.tries}" if mine else self.lot_for(PLANT)
            case "scale":
                return self.chance.choice(("250 g", "1e9 g", "0.01 g")) if " g" in says else "SCALE-1"
            case "done" if name == "done at":
                return "2026-11-19 07:15"
            case "temperature" | "reading" | "apparatus":
                return None
            case "units" | "pack":
                return "17"
            case "left":
                return "55 g"
            case "check":
                return "95.8 g; 96.2 g"
            case "use":
                return "2027-12-31"
            case "amount":
                return "4000 g"
        return "otherwise"

    def puts_everything_right(self) -> None:
        """Every mass that was typed wrongly is put right at the end."""
        with self.lab.look() as look:
            entries = look.steps(self.code)
        for entry in entries:
            said = self.as_it_should_be(entry)
            if not said:
                continue
            self.tally.corrections += 1
            number = entry.entry_no
            self.tries(
                f"put {entry.body.step} right",
                lambda _, number=number, said=said: put_right(
                    self.lab, number, said, why="as it should have been", by="TO"
                ),
            )
        with self.lab.look() as look:
            wrong = [
                f"{entry.body.step}: {name} still wrong"
                for entry in look.steps(self.code)
                for name in self.as_it_should_be(entry)
            ]
        for one in wrong:
            self.found("every slip can be put right", one)
        self.every_page_opens()

    def as_it_should_be(self, entry: Entry[StepDone]) -> dict[str, str]:
        if entry.body.not_done:
            return {}
        weighed = {one.line: one.as_written for one in entry.body.weighings}
        return {
            f"mass {line}": self.right[entry.body.step, line]
            for line, text in weighed.items()
            if (entry.body.step, line) in self.right and text != self.right[entry.body.step, line]
        }

    # Looking

    def addresses(self) -> Iterator[str]:
        batch = quote(self.code)
        yield f"/make/{batch}"
        yield f"/make/{batch}/step"
        with self.lab.look() as look:
            lots = [lot.code for lot in look.lots() if lot.made_by == self.code]
            bottled = [one.body.lot.code for one in look.fillings(self.code)]
            number = look.head.entry_no
        others = [
            f"/trace/{batch}",
            "/bench",
            "/make",
            "/stock",
            "/products",
            "/orders/ORD-1",
            "/spirit/2026-11",
            f"/make/{batch}/sheet",
            f"/make/{batch}/other-step",
            f"/make/{batch}/deviation",
            f"/make/{batch}/give-up",
            f"/entries/{number}",
            "/bench/timers",
            "/bench/power-or-water-off",
            *(f"/make/{batch}/step?step={quote(one)}" for one in self.steps()[:2]),
            *(f"/stock/{quote(lot)}" for lot in lots),
            *(f"/trace/{quote(lot)}" for lot in lots),
            *(f"/products/{quote(lot)}/release" for lot in lots),
            *(f"/products/{quote(lot)}/label" for lot in bottled),
            *(f"/products/{quote(lot)}/certificate" for lot in bottled),
        ]
        yield from self.chance.sample(others, 1)
        entry = self.chance.choice(self.own_entries() or [None])
        if entry is not None and self.chance.random() < 0.3:
            yield f"/entries/{entry.entry_no}/correct"

    def every_page_opens(self) -> None:
        for address in list(self.addresses()):
            if self.sheets and address.count("/") == 2 and "?" not in address and self.chance.random() < 0.05:
                address += ".pdf"
            self.tally.pages += 1
            try:
                answer = self.bench.client.get(address)
            except Exception as error:  # noqa: BLE001
                self.found(f"open {address}", error)
                continue
            if answer.status_code == 409 and address.rpartition("/")[2] in PAPERS:
                continue  # what may not leave is not printed, and the page says why
            if answer.status_code != 200:
                self.found(f"open {address}", f"{answer.status_code}: {_words(answer.text)[:400]}")


def _words(html: str) -> str:
    import re
    from html import unescape

    body = html[html.find("<main") :] if "<main" in html else html
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


def slip(seeds: Sequence[int], *, acts: int = 14, sheets: bool = False, together: int = 4) -> Tally:
    """Make a batch for each seed, a few in one laboratory, and tell what was found.

    Parameters
    ----------
    seeds : sequence of int
    acts : int
        At most so many in a batch.
    sheets : bool
        Whether PDFs are made now and then.
    together : int
        Batches in one laboratory.
    """
    tally = Tally()
    for first in range(0, len(seeds), together):
        with tempfile.TemporaryDirectory(prefix="slips-") as folder:
            bench = Bench(Path(folder) / "book")
            try:
                for seed in seeds[first : first + together]:
                    Hand(bench, seed, tally, sheets=sheets).make(acts)
                report = bench.lab.book.verify()
                if not report.holds:
                    tally.findings.append(
                        Finding(seeds[first], "the book holds", "; ".join(report.troubles), ())
                    )
            finally:
                bench.close()
    return tally
