"""The launcher sets up once, mends what was interrupted or broken, and then stands out of the way.

It runs here as a person runs it, in a folder of its own with empty lists of pins. A stand-in for uv notes
each call, so nothing is fetched.
"""

import ast
import hashlib
import os
import resource
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
UV = """#!/bin/sh
echo "$@" >> "{calls}"
[ ! -e "{broken}" ]
"""


class Place:
    """A fresh clone, as far as the launcher can tell."""

    def __init__(self, folder: Path) -> None:
        self.root = folder / "clone with a space"
        (self.root / "requirements").mkdir(parents=True)
        (self.root / "src" / "stillroom").mkdir(parents=True)
        for name in ("start.py", "launcher.py"):
            shutil.copy(ROOT / name, self.root)
        (self.root / "pyproject.toml").write_text("")
        for name in ("run", "everything"):
            (self.root / "requirements" / f"{name}.txt").write_text("")
        (self.root / "requirements" / "size.toml").write_text(
            "[run]\nbytes = 12345678\n[everything]\nbytes = 9e7\n"
        )
        (self.root / "src" / "stillroom" / "__init__.py").write_text("")
        (self.root / "src" / "stillroom" / "__main__.py").write_text(
            "import sys; print('stillroom', sys.argv[1:])"
        )
        self.venv = self.root / ".venv"
        self.calls_file, self.broken = folder / "calls", folder / "broken"
        (folder / "bin").mkdir()
        (folder / "bin" / "uv").write_text(UV.format(calls=self.calls_file, broken=self.broken))
        (folder / "bin" / "uv").chmod(0o755)
        self.around = os.environ | {"PATH": f"{folder / 'bin'}:{os.environ['PATH']}", "HOME": ""}

    def command(self, *words: str) -> list[str]:
        return [sys.executable, str(self.root / "start.py"), *words]

    def start(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(self.command(*words), env=self.around, capture_output=True, text=True)

    @property
    def calls(self) -> int:
        return len(self.calls_file.read_text().splitlines()) if self.calls_file.exists() else 0


@pytest.fixture
def place(tmp_path: Path) -> Place:
    return Place(tmp_path)


def test_the_first_start_tells_the_size_sets_up_and_passes_the_words_on(place: Place) -> None:
    done = place.start("dilute", "--json")

    assert done.stdout == "stillroom ['dilute', '--json']\n"
    assert "about 12 MB to download" in done.stderr
    assert place.calls == 1


def test_the_second_start_sets_nothing_up_and_says_nothing(place: Place) -> None:
    place.start("dilute")

    again = place.start("dilute")

    assert (again.stdout, again.stderr) == ("stillroom ['dilute']\n", "")
    assert place.calls == 1


def test_the_command_in_the_venv_works_from_anywhere(place: Place, tmp_path: Path) -> None:
    place.start("dilute")

    done = subprocess.run(
        [place.venv / "bin" / "stillroom", "a b"], cwd=tmp_path, capture_output=True, text=True
    )

    assert done.stdout == "stillroom ['a b']\n"


def test_an_interrupted_set_up_is_done_again_from_the_start(place: Place) -> None:
    place.start("dilute")
    (place.venv / "stillroom-stamp").unlink()
    leftover = place.venv / "half-unpacked"
    leftover.touch()

    done = place.start("dilute")

    assert done.returncode == 0
    assert place.calls == 2
    assert not leftover.exists()


def test_a_stamped_venv_whose_python_is_gone_is_built_again(place: Place) -> None:
    place.start("dilute")
    (place.venv / "bin" / "python").unlink()

    done = place.start("dilute")

    assert done.stdout == "stillroom ['dilute']\n"
    assert place.calls == 2


@pytest.mark.parametrize("changed", ["requirements/run.txt", "pyproject.toml"])
def test_changed_pins_are_installed_into_the_same_venv(place: Place, changed: str) -> None:
    place.start("dilute")
    mine = place.venv / "mine"
    mine.touch()
    (place.root / changed).write_text("# changed\n")

    place.start("dilute")
    place.start("dilute")

    assert place.calls == 2
    assert mine.exists()


def test_a_set_up_for_the_tests_serves_the_demo_too(place: Place) -> None:
    place.start("check")

    place.start("demo")

    assert place.calls == 1


def test_a_set_up_for_the_demo_does_not_serve_the_tests(place: Place) -> None:
    place.start("demo")

    place.start("check")

    assert place.calls == 2


def test_two_set_ups_at_once_become_one(place: Place) -> None:
    both = [
        subprocess.Popen(
            place.command("dilute"), env=place.around, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        for _ in range(2)
    ]

    assert [one.wait() for one in both] == [0, 0]
    assert place.calls == 1


@pytest.mark.parametrize("name", ["Gärten und 庭", "a 'b' $(c)", "two\nlines"])
@pytest.mark.parametrize("letters", ["C", "C.UTF-8"])
def test_the_name_of_the_folder_and_the_letters_of_the_terminal_do_not_matter(
    place: Place, name: str, letters: str
) -> None:
    moved = place.root.rename(place.root.with_name(name))
    around = {
        key: value for key, value in place.around.items() if not key.startswith(("LC_", "LANG", "HOME"))
    }
    for words in ([sys.executable, str(moved / "start.py")], [str(moved / ".venv" / "bin" / "stillroom")]):
        done = subprocess.run(
            [*words, "a b"], env=around | {"LC_ALL": letters}, capture_output=True, text=True
        )

        assert (done.returncode, done.stdout) == (0, "stillroom ['a b']\n"), done.stderr


def test_a_folder_that_was_moved_is_set_up_where_it_now_stands(place: Place, tmp_path: Path) -> None:
    place.start("dilute")
    place.root = place.root.rename(tmp_path / "moved")

    done = place.start("dilute")

    assert done.stdout == "stillroom ['dilute']\n"
    assert place.calls == 2


def test_a_copied_folder_runs_and_checks_what_stands_in_it(place: Place, tmp_path: Path) -> None:
    """The command and the checks named the folder they were set up in, and went on with its source."""
    place.start("check")
    first, copy = place.root, tmp_path / "copied"
    shutil.copytree(first, copy, symlinks=True)
    tells = "import os, stillroom; print(os.path.realpath(stillroom.__file__))"
    source = copy / "src" / "stillroom"
    (source / "__main__.py").write_text(tells)
    packages = next(copy.glob(".venv/lib/*/site-packages"))
    for name in ("ruff", "mypy", "pytest"):
        (packages / f"{name}.py").write_text(tells)
    (packages / "importlinter").mkdir()
    (packages / "importlinter" / "cli.py").write_text(f"def lint_imports_command(): {tells}")
    (tmp_path / "linked").symlink_to(copy / ".venv" / "bin" / "stillroom")

    at_once = [
        subprocess.run([word], capture_output=True, text=True).stdout
        for word in (copy / ".venv" / "bin" / "stillroom", tmp_path / "linked")
    ]
    place.root = copy
    set_up, checked = place.start("dilute"), place.start("check")

    its_own = f"{source.resolve() / '__init__.py'}\n"
    assert [*at_once, set_up.stdout] == [its_own] * 3
    assert (checked.stdout, checked.stderr.splitlines()[-1]) == (its_own * 5, "All checks passed.")


def test_a_python_without_pip_is_told_what_to_install_and_then_goes_on(place: Place, tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text("import sys; sys.modules['ensurepip'] = None")
    place.around["PYTHONPATH"] = str(tmp_path)
    place.broken.touch()

    failed = place.start("dilute")
    place.broken.unlink()
    done = place.start("dilute")

    assert failed.returncode == 1
    assert "apt-get install python3-venv" in failed.stderr.splitlines()[-1]
    assert done.stdout == "stillroom ['dilute']\n"


def test_without_words_it_explains_itself_and_sets_nothing_up(place: Place) -> None:
    done = place.start()

    assert "python3 start.py demo" in done.stdout
    assert not place.venv.exists()


def test_every_older_python_can_read_the_file_far_enough_to_be_told() -> None:
    """It says nothing but what Python 2 said in the same words."""
    plain = (
        ast.Module, ast.Expr, ast.Constant, ast.Import, ast.ImportFrom, ast.alias, ast.If, ast.Compare, ast.Lt,
        ast.Eq, ast.Call, ast.Attribute, ast.Name, ast.Load, ast.Store, ast.Tuple, ast.Starred, ast.Subscript,
        ast.Slice, ast.Assign, ast.BoolOp, ast.Or,
    )  # fmt: skip
    read = ast.parse((ROOT / "start.py").read_bytes().decode("ascii"))

    assert [one for one in ast.walk(read) if not isinstance(one, plain)] == []


@pytest.mark.parametrize("older", ["python2.7", "python3.6", "python3.9", "python3.10"])
def test_an_older_python_is_told_in_one_sentence(place: Place, older: str) -> None:
    python = shutil.which(older)
    if not python or subprocess.run([python, "-c", ""], capture_output=True).returncode:
        pytest.skip(f"no {older} here")
    done = subprocess.run([python, place.root / "start.py", "demo"], capture_output=True, text=True)

    said = f"stillroom needs Python 3.11 or newer, and this is Python {older.removeprefix('python')}.\n"
    assert (done.returncode, done.stdout, done.stderr) == (1, "", said)


def test_a_folder_in_whose_path_nothing_can_be_set_up_is_told_so(place: Place) -> None:
    place.root = place.root.rename(place.root.with_name("our:clone"))
    done = place.start("demo")

    assert done.returncode == 1
    assert done.stderr.splitlines()[-1].startswith(
        "Python sets nothing up where ':' stands in the path. Rename "
    )
    assert not (place.root / ".venv").exists()


def a_wheel(folder: Path) -> str:
    """A small wheel, and the line that pins it."""
    about, name = "carried-1.0.dist-info", "carried-1.0-py3-none-any.whl"
    folder.mkdir()
    with zipfile.ZipFile(folder / name, "w") as wheel:
        wheel.writestr("carried.py", "")
        wheel.writestr(f"{about}/METADATA", "Metadata-Version: 2.1\nName: carried\nVersion: 1.0\n")
        tagged = "Wheel-Version: 1.0\nGenerator: by hand\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        wheel.writestr(f"{about}/WHEEL", tagged)
        wheel.writestr(
            f"{about}/RECORD", f"carried.py,,\n{about}/METADATA,,\n{about}/WHEEL,,\n{about}/RECORD,,\n"
        )
    return f"carried==1.0 --hash=sha256:{hashlib.sha256((folder / name).read_bytes()).hexdigest()}\n"


NOWHERE = "http://127.0.0.1:9"


def test_wheels_that_were_carried_here_are_installed_without_a_network(place: Place) -> None:
    (place.root / "requirements" / "run.txt").write_text(a_wheel(place.root / "wheels"))
    place.broken.touch()  # pip does it alone
    place.around |= {
        "PIP_INDEX_URL": NOWHERE,
        "PIP_FIND_LINKS": "",
        "https_proxy": NOWHERE,
        "http_proxy": NOWHERE,
    }
    done = place.start("demo")

    assert done.stdout == "stillroom ['demo']\n"
    assert "once: from wheels." in done.stderr
    assert len(list(place.venv.glob("lib/*/site-packages/carried.py"))) == 1
    assert f"--no-index --find-links {place.root / 'wheels'}" in place.calls_file.read_text()


def test_without_a_network_one_sentence_says_how_the_wheels_are_carried(place: Place) -> None:
    (place.root / "requirements" / "run.txt").write_text(a_wheel(place.root.parent / "elsewhere"))
    place.broken.touch()
    place.around |= {"PIP_INDEX_URL": NOWHERE, "PIP_FIND_LINKS": "", "PIP_RETRIES": "0"}
    done = place.start("demo")

    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert done.stderr.splitlines()[-1].endswith("carry the wheels here: python3 start.py says how.")
    assert "pip download" in place.start().stdout


def test_a_folder_that_cannot_be_written_is_told_in_one_sentence(place: Place) -> None:
    (place.root / ".venv-lock").mkdir()  # refuses to be opened for writing, whoever asks
    done = place.start("demo")

    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "Set-up did not finish: " in done.stderr
    assert "copy this folder to where you may write" in done.stderr


def test_a_full_disk_is_told_in_one_sentence(place: Place) -> None:
    """No file may grow beyond nothing, as on a disk without room."""

    def no_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))

    around = place.around | {"PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        place.command("demo"), env=around, capture_output=True, text=True, preexec_fn=no_room
    )

    assert done.returncode == 1
    assert "Traceback" not in done.stderr.splitlines()[-1]
    assert not (place.venv / "stillroom-stamp").exists()
