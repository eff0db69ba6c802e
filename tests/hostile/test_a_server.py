"""docs/server.md as it is written: a book on PostgreSQL, two processes, nginx before them, a person who signs in."""

import http.client
import os
import re
import shutil
import signal
import ssl
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

import pytest

from stillroom.actions.book.backup import digest, export_everything
from stillroom.actions.book.laboratory import SERVER_FILE, open_laboratory
from stillroom.web.connections import heard_at
from tests.conftest import _missing
from tests.hostile.patience import PATIENT_S, until
from tests.practice import told_folder

DOCS = Path(__file__).parents[2] / "docs"
SITE, NAME, WORDS = "server/stillroom.nginx", "lab.example", "heron lantern quarry mint"
AROUND = """daemon off; pid {at}/pid; error_log {at}/error.log; worker_processes 1;{user}
events {{ worker_connections 256; }}
http {{ access_log off; client_body_temp_path {at}/body; proxy_temp_path {at}/proxy; fastcgi_temp_path {at}/f;
uwsgi_temp_path {at}/u; scgi_temp_path {at}/s; include {at}/site; }}
"""


def test_the_proxy_passes_on_what_the_door_rests_on():
    site = (DOCS / SITE).read_text()
    for line in (
        "proxy_set_header Host $host;",
        "proxy_set_header X-Forwarded-For $remote_addr;",
        "proxy_set_header X-Forwarded-Proto $scheme;",
        "client_max_body_size 14m;",
    ):
        assert line in site


def nginx() -> str:
    found = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")
    return found or _missing("No nginx is installed (apt-get install nginx-light)")


def free_port() -> int:
    with closing(heard_at("127.0.0.1", [0])) as heard:
        return heard.getsockname()[1]


def certificate(into: Path) -> None:
    """A certificate that signs itself, and its key."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec

    key, name = ec.generate_private_key(ec.SECP256R1()), x509.Name.from_rfc4514_string(f"CN={NAME}")
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(NAME)]), critical=False)
        .sign(key, hashes.SHA256())
    )
    (into / "certificate.pem").write_bytes(made.public_bytes(serialization.Encoding.PEM))
    plain = serialization.NoEncryption()
    as_text = (serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain)
    (into / "key.pem").write_bytes(key.private_bytes(*as_text))


@dataclass
class Server:
    """What stands: the folder, the ports of both processes, and that of the proxy."""

    at: Path
    ports: tuple[int, int]
    tls: int
    plain: int
    cookie: str = field(default="")

    def command(self, block: int) -> str:
        """A block of commands of the page, put to where this test stands."""
        found = re.findall(r"^```sh\n(.*?)^```", (DOCS / "server.md").read_text(), re.DOTALL | re.MULTILINE)[
            block
        ]
        return self.here(found)

    def here(self, text: str) -> str:
        for was, now in zip(("8017", "8018"), self.ports, strict=True):
            text = text.replace(was, str(now))
        return text.replace("/srv/stillroom/", f"{self.at}/").replace("/etc/stillroom/", f"{self.at}/")

    def ask(self, method: str, path: str, **fields: str) -> tuple[int, dict[str, str], str]:
        """A request through the proxy, over TLS."""
        trust = ssl.create_default_context(cafile=str(self.at / "certificate.pem"))
        line = http.client.HTTPSConnection(NAME, self.tls, timeout=PATIENT_S, context=trust)
        line._create_connection = lambda _, *more, **named: _connected(self.tls)
        head = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        with closing(line):
            line.request(method, path, urlencode(fields) if fields else None, head | {"Host": NAME})
            answer = line.getresponse()
            return answer.status, dict(answer.headers.items()), answer.read().decode()


def _connected(port: int):
    import socket

    return socket.create_connection(("127.0.0.1", port), PATIENT_S)


def hears(port: int) -> bool:
    try:
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENT_S)) as line:
            line.request("GET", "/sign-in")
            return line.getresponse().status == 403  # not over the encrypted line
    except OSError:
        return False


@pytest.fixture
def server(tmp_path: Path, postgres_url: str) -> Iterator[Server]:
    program, at = nginx(), tmp_path
    made = Server(at, (free_port(), free_port()), free_port(), free_port())
    certificate(at)
    (at / "password").write_text(f"{WORDS}\n")
    (at / "bin").mkdir()
    command = at / "bin" / "stillroom"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m stillroom "$@"\n')
    command.chmod(0o755)
    paths = {"PATH": f"{at / 'bin'}:{os.environ['PATH']}", "PYTHONPATH": str(DOCS.parent / "src")}
    begin = made.command(0).replace("BOOK=postgresql+psycopg:///stillroom", f"BOOK='{postgres_url}'")
    subprocess.run(["sh", "-e", "-c", begin], env=os.environ | paths, check=True, timeout=PATIENT_S)

    site = made.here((DOCS / SITE).read_text())
    site = site.replace("listen 443 ssl", f"listen 127.0.0.1:{made.tls} ssl")
    (at / "site").write_text(site.replace("listen 80", f"listen 127.0.0.1:{made.plain}"))
    user = " user root;" if os.geteuid() == 0 else ""
    (at / "nginx.conf").write_text(AROUND.format(at=at, user=user))
    started = [program, "-p", str(at), "-c", str(at / "nginx.conf"), "-e", str(at / "error.log")]
    tried = subprocess.run([*started, "-t"], capture_output=True, text=True, check=False)
    assert tried.returncode == 0, tried.stderr
    with ExitStack() as running:

        def run(words: list[str]) -> None:
            one = subprocess.Popen(
                words, env=os.environ | paths, stdout=subprocess.DEVNULL, start_new_session=True
            )
            running.callback(one.wait, PATIENT_S)
            running.callback(os.killpg, one.pid, signal.SIGTERM)

        serve = f'LAB="{at}/laboratory"\n{made.command(1)}wait'
        run(["sh", "-c", serve])
        run(started)
        assert until(lambda: all(hears(one) for one in made.ports))
        yield made


def test_a_person_signs_in_through_the_proxy_and_writes_into_a_book_on_postgresql(server):
    assert (server.at / "laboratory" / SERVER_FILE).stat().st_mode & 0o077 == 0
    status, head, _ = server.ask("GET", "/laboratory")
    assert (status, head["location"]) == (303, "/sign-in?to=/laboratory")
    wrong = server.ask("POST", "/sign-in", person="MA", password="not the right words")
    assert wrong[0] == 422
    assert until(lambda: server.ask("POST", "/sign-in", person="MA", password=WORDS)[0] == 303)
    status, head, _ = server.ask("POST", "/sign-in", person="MA", password=WORDS, to="/laboratory")
    server.cookie = head["set-cookie"].partition(";")[0]
    pages = [server.ask("GET", "/laboratory")[2] for _ in range(6)]  # from both processes
    assert all("Mira Anselm" in one and "Sign out" in one for one in pages)

    typed = {"what": "room temperature", "value": "21 °C", "by": "MA", "request_key": "k" * 12}
    assert server.ask("POST", "/laboratory/conditions/new", **typed)[0] == 303
    assert all("21 °C" in server.ask("GET", "/laboratory")[2] for _ in range(6))
    with open_laboratory(server.at / "laboratory") as lab:
        assert lab.book.verify().holds
        assert lab.book.place.path is None
        copy = lab.book.backup(server.at / "copy.book")
    assert b"argon2" not in copy.read_bytes()

    with closing(http.client.HTTPConnection("127.0.0.1", server.plain, timeout=PATIENT_S)) as line:
        line.request("GET", "/stock", headers={"Host": NAME})
        answer = line.getresponse()
        assert (answer.status, answer.headers["location"]) == (301, f"https://{NAME}/stock")
    assert server.ask("POST", "/sign-out")[0] == 303
    assert server.ask("GET", "/laboratory")[0] == 303


def test_a_laptops_book_is_moved_onto_postgresql_and_a_copy_of_it_goes_on_there(
    tmp_path: Path, two_databases: tuple[str, str]
) -> None:
    laptop, lab = told_folder(), tmp_path / "laboratory"
    export_everything(laptop, tmp_path / "our-book")
    (tmp_path / "bin").mkdir()
    command = tmp_path / "bin" / "stillroom"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m stillroom "$@"\n')
    command.chmod(0o755)
    paths = {"PATH": f"{tmp_path / 'bin'}:{os.environ['PATH']}", "PYTHONPATH": str(DOCS.parent / "src")}
    first, second = two_databases
    lines = "".join(Server(tmp_path, (0, 0), 0, 0).command(block) for block in (2, 3))
    lines = lines.replace("$BOOK-again", second).replace("$BOOK", first)
    ran = subprocess.run(
        ["sh", "-e", "-c", f'LAB="{lab}"\n{lines}'],
        env=os.environ | paths, capture_output=True, text=True, timeout=PATIENT_S, check=False,
    )  # fmt: skip

    assert ran.returncode == 0, ran.stderr
    fingerprint = digest(laptop)
    assert ran.stdout.count(fingerprint) == 2  # as it was brought in, and as it stands there
    assert (lab / SERVER_FILE).stat().st_mode & 0o077 == 0
    again = tmp_path / "laboratory-again"
    with open_laboratory(lab) as here, open_laboratory(again) as there:
        assert (here.book.place.path, there.book.place.path) == (None, None)
        with here.look() as moved, there.look() as restored:
            assert restored.head.entry_no == moved.head.entry_no + 1
            assert restored.book().epoch == moved.book().epoch + 1
            assert restored.all_balances() == moved.all_balances()
