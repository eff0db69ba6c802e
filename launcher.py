"""What start.py does once it runs on a Python that is new enough: set up in .venv, and hand on to it."""

import fcntl
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import time
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
STAMP = VENV / "stillroom-stamp"
WHEELS = ROOT / "wheels"
LOCKS = {"run": ROOT / "requirements" / "run.txt", "everything": ROOT / "requirements" / "everything.txt"}
CHECKS = (
    ("format", ("-m", "ruff", "format", "--check", ".")),
    ("lint", ("-m", "ruff", "check", ".")),
    ("types", ("-m", "mypy")),
    (
        "order of the rooms",
        ("-c", "from importlinter.cli import lint_imports_command as do; do()", "--no-logo"),
    ),
    ("documents", ("-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/habits/test_docs_are_true.py")),
)


def begun(words: list[str], about: str) -> int:
    """Set up what the words need, then do what they ask; what keeps it from that, in one sentence.

    Parameters
    ----------
    words : list of str
        What was written after ``start.py``.
    about : str
        What is told where nothing was.

    Returns
    -------
    int
        The exit code: 0 when all went well.
    """
    try:
        return main(words, about)
    except KeyboardInterrupt:
        sys.exit("\nStopped. Start again, and it goes on.")
    except OSError as why:  # a folder that is only read, a disk that is full
        sys.exit(
            f"Set-up did not finish: {why.strerror or why}, {why.filename or ROOT}. Make room, or copy this folder "
            "to where you may write, and start again."
        )


def main(words: list[str], about: str) -> int:
    """The same as ``begun``, with what keeps it from that raised."""
    if not words:
        print(about.strip())
        return 0
    wants = "everything" if words[0] in ("selftest", "check") else "run"
    if not is_set_up(wants):
        set_up(wants)
    if words[0] == "selftest":
        os.chdir(ROOT)
        if "--all" in words:
            os.environ["STILLROOM_ALL"] = "1"
        elif words == ["selftest"]:
            os.environ["STILLROOM_SHORT"] = "1"
        to_pytest = (one for one in words[1:] if one != "--all")
        go("-m", "pytest", "-n", "2", "--dist", "worksteal", *to_pytest)
    if words[0] == "check":
        return check()
    go("-m", "stillroom", *words)
    return 1  # never reached: go() does not come back


def stamps() -> dict[str, str]:
    """What a finished set-up leaves behind: one digest for each list of pins."""
    version = ".".join(map(str, sys.version_info[:3]))
    beside = (ROOT / "pyproject.toml").read_bytes() + f"{version} {ROOT}".encode()
    return {
        name: hashlib.sha256(name.encode() + lock.read_bytes() + beside).hexdigest()
        for name, lock in LOCKS.items()
    }


def is_set_up(wants: str) -> bool:
    """Whether .venv was finished from these very pins and its Python still starts."""
    try:
        done = STAMP.read_text().split()
    except OSError:
        return False
    return stamps()[wants] in done and os.access(PYTHON, os.X_OK)


def set_up(wants: str) -> None:
    """Make or mend .venv; one at a time, and stamped only when it is whole."""
    if os.pathsep in str(ROOT):
        sys.exit(
            f"Python sets nothing up where '{os.pathsep}' stands in the path. Rename {ROOT}, and start again."
        )
    with (ROOT / ".venv-lock").open("w") as lock:  # the system lets go of it even when we are killed
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            say("Another set-up is at work here; waiting for it.")
            fcntl.flock(lock, fcntl.LOCK_EX)
        if is_set_up(wants):
            return
        began = time.monotonic()
        fetched = f"from {WHEELS.name}" if WHEELS.is_dir() else f"about {megabytes(wants)} MB to download"
        say(f"Setting up in {VENV.name}, once: {fetched}.")
        if not (STAMP.exists() and _starts(PYTHON) and _same_python()):
            _empty_venv()
        STAMP.unlink(missing_ok=True)
        _install(LOCKS[wants])
        _put_in_place()
        found = stamps()
        STAMP.write_text("\n".join(found.values() if wants == "everything" else [found["run"]]) + "\n")
        say(f"Ready after {time.monotonic() - began:.0f} s.")


def megabytes(wants: str) -> int:
    """Size of the download, as measured from the wheels themselves."""
    with (ROOT / "requirements" / "size.toml").open("rb") as file:
        size: int = tomllib.load(file)[wants]["bytes"]
    return round(size / 1e6)


def check() -> int:
    """Run every check, and say at the end which ones failed."""
    os.chdir(ROOT)
    failed = []
    for name, words in CHECKS:  # by our own Python: what stands in bin names the folder it was installed in
        say(f"— {name}")
        if subprocess.run([PYTHON, *words], stdin=subprocess.DEVNULL).returncode:
            failed.append(name)
    say("Failed: " + ", ".join(failed) + "." if failed else "All checks passed.")
    return 1 if failed else 0


def go(*words: str) -> None:
    """Become the Python of .venv with these words."""
    try:
        os.execv(PYTHON, [str(PYTHON), *words])
    except OSError as why:
        sys.exit(f"The Python in {VENV.name} does not start ({why}). Delete {VENV} and start again.")


def say(line: str) -> None:
    """Speak beside the output, so that what a command prints stays its own."""
    print(line, file=sys.stderr, flush=True)


def _base_python() -> str:
    """The Python that .venv is made from, also when this one stands inside a virtual environment."""
    return str(getattr(sys, "_base_executable", "") or sys.executable)


def _starts(python: Path) -> bool:
    try:
        return (
            subprocess.run([python, "-c", ""], stdin=subprocess.DEVNULL, capture_output=True).returncode == 0
        )
    except OSError:
        return False


def _same_python() -> bool:
    return _site_packages().is_dir() and Path(VENV / "pyvenv.cfg").exists()


def _site_packages() -> Path:
    return VENV / "lib" / "python{}.{}".format(*sys.version_info[:2]) / "site-packages"


def _empty_venv() -> None:
    if VENV.is_symlink() or VENV.is_file():
        VENV.unlink()
    elif VENV.exists():
        shutil.rmtree(VENV)
    if not _run(_base_python(), "-m", "venv", "--without-pip", str(VENV)):
        sys.exit(
            "This Python cannot make a virtual environment here; a line above may say why. "
            "On Debian or Ubuntu: apt-get install python3-venv"
        )


def _install(lock: Path) -> None:
    calm = () if sys.stderr.isatty() else ("--quiet",)
    carried = ("--no-index", "--find-links", str(WHEELS)) if WHEELS.is_dir() else ()
    uv = shutil.which("uv")
    if uv:
        for_uv = ("--python", str(PYTHON), "--require-hashes", "--no-deps", "--no-build", "-r", str(lock))
        if _run(uv, "pip", "install", *for_uv, *carried, *calm):
            return
        say("uv did not manage; trying pip.")
    if not _has_pip():
        if importlib.util.find_spec("ensurepip") is None:
            sys.exit("This Python comes without pip. On Debian or Ubuntu: apt-get install python3-venv")
        _run(str(PYTHON), "-m", "ensurepip", "--default-pip", quiet=True)
    for_pip = (
        "--require-hashes",
        "--no-deps",
        "--only-binary=:all:",
        "--no-input",
        "--disable-pip-version-check",
    )
    if not _run(str(PYTHON), "-m", "pip", "install", *for_pip, *carried, *calm, "-r", str(lock)):
        sys.exit(
            "Set-up did not finish; the lines above say why. Start again, and it begins afresh. "
            "Without a network, carry the wheels here: python3 start.py says how."
        )


def _has_pip() -> bool:
    return (_site_packages() / "pip").is_dir()


def _put_in_place() -> None:
    """Put src on the path and the stillroom command into .venv/bin; nothing has to be built for that."""
    # Said from there, so that no letter of the folder's own name stands in it: a terminal may not know it.
    beside = os.path.relpath(ROOT / "src", _site_packages())
    (_site_packages() / "stillroom.pth").write_text(f"{beside}\n")
    # So is the command: copied with its folder, it runs what stands beside it.
    command = VENV / "bin" / "stillroom"
    command.write_text('#!/bin/sh\nexec "$(dirname "$(readlink -f "$0")")/python" -m stillroom "$@"\n')
    command.chmod(0o755)


def _run(*words: str, quiet: bool = False) -> bool:
    """Run a step of the set-up, apart from any other Python environment; say whether it went well."""
    strange = (
        "PYTHONHOME",
        "PYTHONPATH",
        "VIRTUAL_ENV",
        "PIP_TARGET",
        "PIP_PREFIX",
        "PIP_USER",
        "PIP_REQUIRE_VIRTUALENV",
    )
    around = {name: value for name, value in os.environ.items() if name not in strange}
    if not os.access(around.get("HOME") or "/nowhere", os.W_OK):
        around |= {"HOME": str(VENV), "UV_NO_CACHE": "1", "PIP_NO_CACHE_DIR": "1"}
    out = subprocess.DEVNULL if quiet else sys.stderr
    return subprocess.run(words, env=around, stdin=subprocess.DEVNULL, stdout=out).returncode == 0
