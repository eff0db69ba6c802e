"""What cannot be taken is refused in one clear sentence, and the book is the same afterwards, to the last byte.

Each slip is one a tired person makes. The same slips are made at the command line where it has a verb for them.
"""

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.actions.correcting.entries import correct_reading, correct_weighing
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.stock_movements import deliver, throw_away
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import release
from stillroom.cli.main import main
from stillroom.demo.story import practice_file
from stillroom.errors import BadEntry, NotAllowed, NotEnough, StillroomError, UnknownName
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.practice import ENDS, copied, later, noon, opened

TICK = "No flame and no open element in the room"


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laboratory]:
    """The told laboratory with a batch begun, a spirit that waits and a spirit past its date."""
    with opened(copied(tmp_path_factory.mktemp("kitchen"))) as lab:
        begin_batch(lab, "E2", "bark-extract", "100 g", by="TO", at=later(1))
        begin_batch(lab, "T3", "hair-tonic", "1.000 kg", order="ORD-1", by="TO", at=later(2))
        for code, use_by in (("SPI-02", None), ("SPI-03", "2026-11-23")):
            lot = Lot(
                code,
                LotKind.SPIRIT,
                "spirit 96 %",
                "spirit 96 %",
                stated="96.0 % v/v at 20 °C",
                use_by=use_by,
            )
            receive_lot(lab, lot, "2.000 kg", by="TO", at=ENDS - timedelta(days=4))
        release(lab, "SPI-03", meaning="papers agree", by="MA", at=ENDS - timedelta(days=3))
        yield lab


def mixed(spirit: str = "1178 g", lot: str = "SPI-01") -> list[Weighed]:
    return [
        Weighed("stock spirit", spirit, lot, "SCALE-1"),
        Weighed("water", "594 g", "WAT-01", "SCALE-1"),
    ]


def edited(name: str, *changes: tuple[str, str]) -> bytes:
    """A practice file with a slip in it, under a code or version that is free."""
    text = practice_file(name).decode()
    for old, new in changes:
        assert text.count(old) >= 1, old
        text = text.replace(old, new)
    return text.encode()


NEW_ORDER = ("order: ORD-1", "order: ORD-9")
SECOND = ("version: 1", "version: 2")


WHOLE_WATER = "role: q.s.,"
WHOLE_EXTRACT = "substance: cinchona alkaloid extract, role: dosed,"


def with_water_of(percent: str) -> bytes:
    """The formula with its water and its extract written as figures: every line adds to the sum."""
    return edited(
        "hair-tonic.yaml",
        SECOND,
        (WHOLE_WATER, f'percent: "{percent}",'),
        (WHOLE_EXTRACT, 'substance: cinchona alkaloid extract, percent: "0.50",'),
    )


def entering(data: Callable[[], bytes], name: str) -> Callable[[Laboratory], object]:
    return lambda lab: enter_text(lab, data(), name, by="MA", at=later(10))


def stepping(weighed: list[Weighed], *ticks: str, step: str = "mix spirit") -> Callable[[Laboratory], object]:
    return lambda lab: do_step(lab, "E2", step, weighed, ticks=ticks, by="TO", at=later(10))


def receiving(amount: str = "1.000 kg", **lot: str) -> Callable[[Laboratory], object]:
    plain = {"code": "NEW-01", "kind": LotKind.INGREDIENT, "substance": "glycerin", "name": "glycerin"} | lot
    return lambda lab: receive_lot(lab, Lot(**plain), amount, by="TO", at=later(10))


def correcting(
    mass: str, why: str, entry_no: int = 0, line: str = "glycerin"
) -> Callable[[Laboratory], object]:
    def slip(lab: Laboratory) -> object:
        with lab.look() as look:
            (right,) = [one for one in look.steps("T1") if one.body.step == "blend"]
            wrong = right.corrects
        return correct_weighing(lab, entry_no or wrong, line, mass, why=why, by="TO", at=later(10))

    return slip


SLIPS: dict[str, tuple[Callable[[Laboratory], object], type[StillroomError], tuple[str, ...]]] = {
    "a formula of 99.8 %": (
        entering(lambda: with_water_of("62.30"), "hair-tonic.yaml"),
        BadEntry, ("fills up to 100", "99.8 %"),
    ),
    "an unknown ingredient": (
        entering(
            lambda: edited("hair-tonic.yaml", SECOND, ("substance: panthenol,", "substance: panthenal,")),
            "hair-tonic.yaml",
        ),
        UnknownName, ("'panthenal'", "Did you mean", "'Panthenol'"),
    ),
    "an aim above the ceiling": (
        entering(lambda: edited("ORD-1.yaml", NEW_ORDER, ("aim: 0.100 %", "aim: 0.250 %")), "ORD-9.yaml"),
        NotAllowed, ("ceiling", "0.2 %", "0.250 %"),
    ),
    "a strength of 120 %": (
        entering(lambda: edited("ORD-1.yaml", NEW_ORDER, ("aim: 0.100 %", "aim: 120 %")), "ORD-9.yaml"),
        BadEntry, ("120 %", "100"),
    ),
    "more than certain": (
        entering(lambda: edited("ORD-1.yaml", NEW_ORDER, ("how sure: 95 %", "how sure: 120 %")), "ORD-9.yaml"),
        BadEntry, ("ORD-9.yaml:13", "120 %"),
    ),
    "a typo in a file": (
        entering(lambda: edited("ORD-1.yaml", NEW_ORDER, ("bottles:", "botles:")), "ORD-9.yaml"),
        StillroomError, ("ORD-9.yaml", "9", "botles", "bottles"),
    ),
    "a file that is no YAML": (
        entering(lambda: edited("ORD-1.yaml", NEW_ORDER, ("due: 2026-12-18", "due: [2026-12-18")), "ORD-9.yaml"),
        BadEntry, ("ORD-9.yaml",),
    ),
    "a negative mass": (receiving("-5 g"), BadEntry, ("-5 g",)),
    "no mass at all": (receiving("0 g"), BadEntry, ("above zero",)),
    "a comma that could be two things": (receiving("1,500 g"), BadEntry, ("1,500", "1500", "1.5")),
    "a strength in a mass field": (receiving("5 %"), BadEntry, ("mass",)),
    "a prohibited plant": (
        receiving(kind=LotKind.PLANT, substance="deadly nightshade"),
        NotAllowed, ("deadly nightshade", "Prohibited", "Annex II"),
    ),
    "a prohibited solvent": (
        entering(
            lambda: edited("bark-extract.yaml", SECOND, ("substance: ethyl acetate", "substance: chloroform")),
            "bark-extract.yaml",
        ),
        NotAllowed, ("chloroform", "Prohibited"),
    ),
    "a lot that waits": (
        stepping(mixed(lot="SPI-02"), TICK), NotAllowed, ("Only a released lot", "SPI-02", "waiting"),
    ),
    "a lot past its date": (
        stepping(mixed(lot="SPI-03"), TICK), NotAllowed, ("use-by", "SPI-03", "2026-11-23"),
    ),
    "another substance": (stepping(mixed(lot="GLY-01"), TICK), BadEntry, ("spirit 96 %", "GLY-01", "glycerin")),
    "a lot nobody received": (stepping(mixed(lot="SPI-1"), TICK), UnknownName, ("'SPI-1'", "'SPI-01'")),
    "a step out of its order": (
        stepping([Weighed("bark", "100.0 g", "CIN-01", "SCALE-2")], step="moisten"),
        NotAllowed, ("moisten before mix spirit",),
    ),
    "a tick that was not made": (stepping(mixed()), NotAllowed, ("tick", TICK)),
    "a line left out": (stepping(mixed()[:1], TICK), BadEntry, ("missing: water",)),
    "a mass far off without a word": (stepping(mixed("1300 g"), TICK), BadEntry, ("note", "1300 g", "1177 g")),
    "more than the scale takes": (
        stepping([Weighed("stock spirit", "1178 g", "SPI-01", "SCALE-2"), mixed()[1]], TICK),
        BadEntry, ("SCALE-2", "600 g", "1178 g"),
    ),
    "a lot code used twice": (receiving(code="CIN-01"), BadEntry, ("CIN-01", "in the book already")),
    "a batch code used twice": (
        lambda lab: begin_batch(lab, "E1", "bark-extract", "100 g", by="TO", at=later(10)),
        BadEntry, ("E1",),
    ),
    "an order code used twice": (
        entering(lambda: practice_file("ORD-1.yaml") + b"# once more\n", "ORD-1.yaml"), BadEntry, ("ORD-1", "taken"),
    ),
    "bottles filled a second time": (
        lambda lab: fill_units(
            lab, "T1", 60, left_over="5 g", check_weights=("95.9 g",), packaging={}, scale="SCALE-2",
            use_by="2028-11-16", by="TO", at=later(10),
        ),
        BadEntry, ("written once", "fill of T1", "done again"),
    ),
    "more than the shelf holds": (
        lambda lab: throw_away(lab, "E1", amount="10.00 g", why="spilt", by="TO", at=later(10)),
        NotEnough, ("E1", "6.18 g", "10 g", "3.82 g"),
    ),
    "more bottles than there are": (
        lambda lab: deliver(lab, "ORD-1", {"T1": "19 bottles"}, by="MA", at=later(10)),
        NotEnough, ("T1", "18", "19"),
    ),
    "a second correction of one entry": (correcting("49.00 g", "read again"), NotAllowed, ("corrected",)),
    "a correction without a reason": (correcting("49.00 g", "  ", entry_no=123), BadEntry, ("how the error happened",)),
    "a correction of a line that is not there": (
        correcting("49.00 g", "x", entry_no=123, line="honey"), UnknownName, ("mass honey", "entry 123"),
    ),
    "a reading put right that is none": (
        lambda lab: correct_reading(lab, 123, "5 g", why="slip", by="TO", at=later(10)),
        UnknownName, ("reading", "entry 123"),
    ),
    "done in the future": (
        lambda lab: throw_away(lab, "E1", amount="1.00 g", why="spilt", by="TO", at=ENDS.replace(day=26)),
        BadEntry, ("done already", "2026-11-26"),
    ),
    "signed by nobody known": (
        lambda lab: throw_away(lab, "E1", amount="1.00 g", why="spilt", by="T0", at=later(10)),
        UnknownName, ("'T0'", "'TO'"),
    ),
    "a throw-away without a reason": (
        lambda lab: throw_away(lab, "E1", amount="1.00 g", why="", by="TO", at=later(10)), BadEntry, ("reason",),
    ),
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_told_in_one_sentence_and_changes_nothing(kitchen: Laboratory, slip: str) -> None:
    act, kind, words = SLIPS[slip]
    before = kitchen.book.digest()

    with pytest.raises(kind, match=r"\S") as refused:
        act(kitchen)

    sentence = refused.value.sentence
    assert [word for word in words if word not in sentence] == [], sentence
    assert "\n" not in sentence
    assert len(sentence) < 420, sentence
    assert kitchen.book.digest() == before


def test_the_slips_are_refused_for_the_slip_alone(kitchen: Laboratory, tmp_path: Path) -> None:
    # The same acts without their slips are taken, in a copy.
    with opened(copied(tmp_path)) as lab:
        begin_batch(lab, "E2", "bark-extract", "100 g", by="TO", at=later(1))
        stepping(mixed(), TICK)(lab)
        receiving("1.000 kg")(lab)
        entering(lambda: edited("ORD-1.yaml", NEW_ORDER), "ORD-9.yaml")(lab)
        entering(lambda: edited("hair-tonic.yaml", SECOND), "hair-tonic.yaml")(lab)
        entering(lambda: edited("bark-extract.yaml", SECOND), "bark-extract.yaml")(lab)
        throw_away(lab, "E1", amount="1.00 g", why="spilt", by="TO", at=later(10))
        deliver(lab, "ORD-1", {"T1": "18 bottles"}, by="MA", at=later(10))
        correcting("49.00 g", "x", entry_no=123)(lab)

        assert lab.book.verify().troubles == ()


# ---- the same at the command line ----------------------------------------------------------------------------

SPIRIT = "stock spirit=1178 g@{}@SCALE-1"
MIX = ("make", "E2", "--step", "mix spirit", "--weighed", "water=594 g@WAT-01@SCALE-1", "--by", "TO")
GLYCERIN = ("--kind", "ingredient", "--substance", "glycerin", "--by", "TO")

COMMANDS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "a negative mass": (("receive", "NEW-01", "--by", "TO", *GLYCERIN[:4], "--", "-5 g"), ("-5 g",)),
    "a comma that could be two things": (("receive", "NEW-01", "1,500 g", *GLYCERIN), ("1,500", "1500", "1.5")),
    "a lot code used twice": (("receive", "CIN-01", "1 kg", *GLYCERIN), ("CIN-01", "in the book already")),
    "a prohibited plant": (
        ("receive", "NEW-01", "1 kg", "--kind", "plant material", "--substance", "deadly nightshade", "--by", "TO"),
        ("Prohibited", "deadly nightshade"),
    ),
    "a lot that waits": (
        (*MIX, "--weighed", SPIRIT.format("SPI-02"), "--all-ticks"), ("Only a released lot", "SPI-02"),
    ),
    "a lot past its date": ((*MIX, "--weighed", SPIRIT.format("SPI-03"), "--all-ticks"), ("use-by", "SPI-03")),
    "a tick that was not made": ((*MIX, "--weighed", SPIRIT.format("SPI-01")), ("tick", TICK)),
    "a step out of its order": (
        ("make", "E2", "--step", "moisten", "--weighed", "bark=100 g@CIN-01@SCALE-2", "--by", "TO"),
        ("moisten before mix spirit",),
    ),
    "a weighing written otherwise": ((*MIX, "--weighed", "stock spirit 1178 g"), ("--weighed", "stock spirit 1178 g")),
    "a step that nobody signs": (("make", "E2", "--step", "moisten"), ("signed", "--by")),
    "a second correction of one entry": (
        ("correct", "122", "49.00 g", "--line", "glycerin", "--why", "again", "--by", "TO"), ("corrected",),
    ),
    "a correction without a reason": (
        ("correct", "123", "49.00 g", "--line", "glycerin", "--why", " ", "--by", "TO"), ("how the error happened",),
    ),
    "done in the future": (
        ("receive", "NEW-01", "1 kg", *GLYCERIN, "--at", "2026-11-26 08:00"), ("done already", "2026-11-26"),
    ),
    "a batch of no size": (
        ("make", "NEW-01", "--procedure", "bark-extract", "--by", "TO"), ('--scale "250 g"', "keep a plan"),
    ),
    "a time that is none": (
        ("receive", "NEW-01", "1 kg", *GLYCERIN, "--at", "yesterday"), ("--at", "yesterday"),
    ),
    "signed by nobody known": (
        ("receive", "NEW-01", "1 kg", *GLYCERIN[:4], "--by", "T0"), ("'T0'", "'TO'"),
    ),
    "a dose of what does not reach": (("dose", "T3", "E1", "--scale", "SCALE-9"), ("SCALE-9",)),
    "a lot nobody knows": (("trace", "CIN-1"), ("'CIN-1'", "'CIN-01'")),
    "a reason nobody has": (("why", "plan/ORD-1/plan_g"), ("'plan_g'", "'plant_g'")),
    "an entry without a reason": (("why", "122"), ("read, not calculated",)),
    "a document nobody knows": (("print", "certificate-T9"), ("certificate-T9", "certificate-T1")),
    "a laboratory that is not there": (("trace", "E1", "--in", "nowhere"), ("laboratory.book", "nowhere")),
    "a test without its reagent": (
        ("test", "precipitate", "CIN-01", "--test", "dragendorff", "--reagent", "WAG-01", "--sample", "clear",
         "--blank", "clear", "--positive", "clear", "--by", "TO"),
        ("dragendorff", "WAG-01"),
    ),
}  # fmt: skip

FILES: dict[str, tuple[Callable[[], bytes], tuple[str, ...]]] = {
    "a formula of 99.8 %": (lambda: with_water_of("62.30"), ("99.8",)),
    "an unknown ingredient": (
        lambda: edited("hair-tonic.yaml", SECOND, ("substance: panthenol,", "substance: panthenal,")),
        ("Did you mean", "'Panthenol'"),
    ),
    "an aim above the ceiling": (
        lambda: edited("ORD-1.yaml", NEW_ORDER, ("aim: 0.100 %", "aim: 0.250 %")), ("ceiling", "0.250 %"),
    ),
    "a strength of 120 %": (
        lambda: edited("ORD-1.yaml", NEW_ORDER, ("aim: 0.100 %", "aim: 120 %")), ("slip.yaml", "120 %"),
    ),
    "a typo in a file": (
        lambda: edited("ORD-1.yaml", NEW_ORDER, ("bottles:", "botles:")), ("slip.yaml", "botles", "bottles"),
    ),
    "a prohibited solvent": (
        lambda: edited("bark-extract.yaml", SECOND, ("substance: ethyl acetate", "substance: chloroform")),
        ("chloroform",),
    ),
    "a file of nothing known": (lambda: b"recipe: tonic\n", ("order:", "slip.yaml")),
}  # fmt: skip


def run(arguments: tuple[str, ...], folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit code, what was said and what was complained, of one command."""
    where = () if "--in" in arguments or arguments[0] in ("dilute", "shake") else ("--in", str(folder))
    head, dashes, tail = arguments, (), ()
    if "--" in arguments:
        at = arguments.index("--")
        head, dashes, tail = arguments[:at], ("--",), arguments[at + 1 :]
    with pytest.raises(SystemExit, match=r"^\d$") as ended:
        main([*head, *where, *dashes, *tail])
    said = capsys.readouterr()
    return int(str(ended.value.code)), said.out, said.err


@pytest.fixture
def clock_at_noon(monkeypatch: pytest.MonkeyPatch) -> None:
    """The commands read the clock of the story."""
    monkeypatch.setitem(open_laboratory.__kwdefaults__, "clock", noon)


def refuses(
    arguments: tuple[str, ...],
    words: tuple[str, ...],
    kitchen: Laboratory,
    capsys: pytest.CaptureFixture[str],
) -> None:
    before = kitchen.book.digest()
    code, out, err = run(arguments, kitchen.folder, capsys)

    assert code == 2
    assert out == ""
    assert err.startswith("stillroom: ")
    assert err.count("\n") == 1
    assert [word for word in words if word not in err] == [], err
    assert kitchen.book.digest() == before


@pytest.mark.parametrize("slip", COMMANDS)
def test_a_slip_at_the_command_line_ends_with_2_and_its_sentence(
    kitchen: Laboratory, clock_at_noon: None, capsys: pytest.CaptureFixture[str], slip: str
) -> None:
    refuses(*COMMANDS[slip], kitchen, capsys)


@pytest.mark.parametrize("slip", FILES)
def test_a_slip_in_a_file_ends_with_2_and_its_sentence(
    kitchen: Laboratory, clock_at_noon: None, capsys: pytest.CaptureFixture[str], tmp_path: Path, slip: str
) -> None:
    data, words = FILES[slip]
    path = tmp_path / "slip.yaml"
    path.write_bytes(data())

    refuses(("enter", str(path), "--by", "MA"), words, kitchen, capsys)
