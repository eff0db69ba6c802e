"""A product goes by the command from its blend to the customer, and what a batch makes is on the shelf."""

from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.demo.bottling import T1
from tests.cli.test_verbs import clock_at_noon, run  # noqa: F401
from tests.practice import copied, extracted_folder

pytestmark = pytest.mark.usefixtures("clock_at_noon")


def test_a_product_is_filled_kept_back_and_delivered_by_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path, extracted_folder)
    here = ("--in", str(folder))

    def done(*words: str) -> str:
        code, out, trouble = run(*words, *here, capsys=capsys)
        assert (code, trouble) == (0, "")
        return out

    to = ("--by", "TO")
    done("make", "B-1", "--procedure", "hair-tonic", "--scale", T1.bulk, "--order", T1.order, *to)
    done("dose", "B-1", "E1", "--scale", "SCALE-2", "--keep", "--by", "MA")
    weighed = [f"{one.line}={one.mass}@{one.lot}@{one.apparatus}" for one in T1.weighed]
    lines = [word for one in weighed for word in ("--weighed", one)]
    done("make", "B-1", "--step", "blend", *lines, "--all-ticks", *to)
    done("deviation", "B-1", "blend", "the stirrer stopped", "--done", "stirred by hand", *to)
    for wrong in ("2.5 bottles", "26 g", "none", "0"):
        kept = run("fill", "B-1", wrong, "--left-over", "0 g", "--use-by", "2027-09-30", "--scale", "SCALE-2", *here,
                   *to, capsys=capsys)  # fmt: skip
        assert (kept[0], kept[2].startswith("stillroom: units: ")) == (2, True), (wrong, kept)
    bottle = ("--empty", "38,41 g", "--water", "138,14 g", "--bulk", "133,12 g", "--temperature", "20 °C")
    done("density", "B-1", *bottle, "--scale", "SCALE-2", *to)
    checks = [word for one in T1.check_weights for word in ("--check", one)]
    filled = (
        "--left-over",
        T1.left_over,
        *checks,
        "--pack",
        f"BOT-01={T1.units} bottles",
        "--use-by",
        "2027-09-30",
    )
    done("fill", "B-1", f"{T1.units} bottles", *filled, "--scale", "SCALE-2", *to)
    done("stock", "keep-back", "B-1", "2 bottles", *to)
    refused = run("deliver", T1.order, "B-1=1", *here, "--by", "MA", capsys=capsys)
    said = "label read against the list of ingredients and the order"
    done("release", "B-1", "--meaning", "all was read", "--decide", f"paper/label check={said}", "--by", "JU")
    done("deliver", T1.order, "B-1=3", "--by", "MA")
    done("stock", "waste", "B-1", "1 bottle", "--why", "it fell", *to)
    done("stock", "count", "B-1", f"{T1.units - 6} bottles", *to)

    assert refused[0] == 2
    assert "Only a released lot" in refused[2]
    with open_laboratory(folder) as lab, lab.look() as look:
        assert look.balance_pieces("B-1") == T1.units - 6


def test_a_strength_is_read_by_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here = ("--in", str(copied(tmp_path)), "--by", "TO")
    code, out, trouble = run(
        "stock", "strength", "SPI-01", "98,9 %", "--temperature", "30 °C", *here, capsys=capsys
    )

    assert (code, trouble) == (0, "")
    assert out.startswith("SPI-01 holds 97")


def test_what_an_extraction_makes_is_on_the_shelf_when_nobody_says_its_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path)
    here = ("--in", str(folder), "--by", "TO")
    copy = ("--plant", "green tea leaf", "--marker", "total phenols", "--code", "tea")
    assert run("procedure", "copy", "infusion", *copy, *here, capsys=capsys)[0] == 0
    assert run("make", "E-9", "--procedure", "tea", "--scale", "200 g", *here, capsys=capsys)[0] == 0
    last = ("--step", "set a sample aside", "--note", "only this was weighed", "--all-ticks")
    weighed = ("--weighed", "extract=51,6 g@@SCALE-2", "--weighed", "sample=0,5 g@@SCALE-2")
    assert run("make", "E-9", *last, *weighed, *here, capsys=capsys)[0] == 0

    with open_laboratory(folder) as lab, lab.look() as look:
        assert look.balance_ug("E-9") == 51_600_000


def test_a_plan_without_an_order_is_kept_when_it_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path)
    asked = (
        "plan", "--product", "Hand gel", "--kind", "skin rinse-off", "--bottles", "6 × 100 mL",
        "--strength", "0,05 % w/w rosmarinic acid", "--plant", "rosemary leaf", "--way", "infusion",
        "--due", "2027-03-01", "--keep", "--in", str(folder),
    )  # fmt: skip
    unsigned = run(*asked, capsys=capsys)
    code, out, _ = run(*asked, "--by", "MA", capsys=capsys)

    assert unsigned[0] == 2
    assert (code, "is order ORD-" in out) == (0, True)
    with open_laboratory(folder) as lab, lab.look() as look:
        assert look.orders()[-1].product == "Hand gel"
