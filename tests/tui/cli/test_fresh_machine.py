"""What a machine that has never seen the program gets: the built packages, and nothing else."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests import places

pytestmark = pytest.mark.long

SOURCE = places.ROOT
PACKAGES = ("rules", "diagnose", "tui")
# where this machine's package registry is, is no part of what is tried
KEPT = ("PIP_INDEX_URL", "PIP_FIND_LINKS", "PIP_CERT", "PIP_TRUSTED_HOST", "HTTPS_PROXY", "https_proxy")  # fmt: skip


def bare(home: Path) -> dict[str, str]:
    """An environment with an empty home and nothing of ours."""
    kept = {name: os.environ[name] for name in KEPT if name in os.environ}
    return {"HOME": str(home), "PATH": os.defpath, "PIP_NO_CACHE_DIR": "1", **kept}


def call(*command: str | Path, env: dict[str, str], **options: object) -> subprocess.CompletedProcess[str]:  # fmt: skip
    done = subprocess.run(
        [str(part) for part in command], env=env, capture_output=True, text=True, check=False,
        timeout=500, **options,  # type: ignore[call-overload]
    )  # fmt: skip
    assert isinstance(done, subprocess.CompletedProcess)
    return done


def carried() -> set[str]:
    """Every file of the packages."""
    return {
        path.relative_to(SOURCE).as_posix()
        for package in PACKAGES
        for path in (SOURCE / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


@pytest.fixture(scope="module")
def place() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="fresh-"))
    yield folder
    shutil.rmtree(folder)


@dataclass
class Built:
    wheel: Path
    sdist: Path


@pytest.fixture(scope="module")
def built(place: Path) -> Built:
    """The source distribution, and the wheel made from it alone."""
    out = place / "dist"
    home = place / "builder"
    home.mkdir()
    done = call(sys.executable, "-m", "build", "--outdir", out, SOURCE, env=bare(home))
    assert done.returncode == 0, done.stdout + done.stderr
    return Built(next(out.glob("*.whl")), next(out.glob("*.tar.gz")))


@pytest.fixture(scope="module")
def installed(built: Built, place: Path) -> Path:
    """The folder of programs of an environment with the wheel in it."""
    home = place / "installer"
    home.mkdir()
    venv = place / "venv"
    done = call(sys.executable, "-m", "venv", venv, env=bare(home))
    assert done.returncode == 0, done.stderr
    done = call(venv / "bin" / "pip", "install", "-q", built.wheel, env=bare(home), cwd=home)
    assert done.returncode == 0, done.stderr
    return venv / "bin"


def test_both_packages_carry_all_that_the_program_reads(built: Built) -> None:
    wanted = carried()
    assert len({Path(name).suffix for name in wanted} & {".yaml", ".tcss", ".svg", ".html", ".js", ".css"}) == 6  # fmt: skip
    assert any("migrations" in name for name in wanted)
    with zipfile.ZipFile(built.wheel) as wheel:
        assert wanted - set(wheel.namelist()) == set()
    with tarfile.open(built.sdist) as sdist:
        names = {name.partition("/")[2] for name in sdist.getnames()}
    assert wanted | {"README.md", "DEVELOPERS.md", "pyproject.toml"} <= names
    assert any(name.startswith("tests/") for name in names)


class Person:
    """Somebody with an empty home, in a folder that cannot be written to."""

    def __init__(self, programs: Path, place: Path) -> None:
        self.home, self.cwd = place / "home", place / "read-only"
        self.home.mkdir(parents=True)
        self.cwd.mkdir(mode=0o555)
        # root writes wherever it likes, unless that is taken away
        plain = ("setpriv", "--bounding-set=-all", "--inh-caps=-all") if os.getuid() == 0 else ()
        self.program = (*plain, str(programs / "badride"))
        self.env = {"HOME": str(self.home), "PATH": os.defpath}

    def run(self, *arguments: str | Path, given: str | None = None) -> str:
        done = call(*self.program, *arguments, env=self.env, cwd=self.cwd, input=given)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def refused(self, *arguments: str | Path) -> str:
        done = call(*self.program, *arguments, env=self.env, cwd=self.cwd)
        assert (done.returncode, done.stdout) == (2, ""), done.stdout + done.stderr
        return done.stderr


@pytest.fixture
def person(installed: Path, place: Path, request: pytest.FixtureRequest) -> Person:
    return Person(installed, place / request.node.name)


def test_the_wheel_alone_is_the_working_program(person: Person, place: Path) -> None:
    assert re.search(r"badride.*\d+\.\d+\.\d+", person.run("--version"))
    case = place / "case.yaml"
    case.write_text("case: 1\ncomplaints: [harsh/front]\nanswers: {front-tyre-gauge: 25 psi}\n")
    assert "1. Front tyre pressure too high" in person.run("case", case)
    assert re.search(
        r"So far: .+ \d+ %", person.run("ask", "--keep-nothing", given="harsh\n1\n1\n?\n?\nq\n")
    )
    person.run("rules", "check")
    assert list(person.home.iterdir()) == []


def test_what_is_kept_goes_to_the_home_and_nowhere_else(person: Person) -> None:
    person.run("bike", "add", "Demo 250")
    assert "Demo 250" in person.run("bike", "list")
    assert "sound, 1 bikes" in person.run("self-check")
    drawn = person.home / "picture.svg"
    person.run("picture", drawn)
    assert "badride" in drawn.read_text(encoding="utf-8")


def test_what_an_extra_is_for_is_said_and_works_once_it_is_installed(
    person: Person, installed: Path, built: Built, place: Path
) -> None:
    """The page and PDF, with what the message says; PostgreSQL has tests of its own."""
    person.run("ask", given="harsh\n1\n1\n?\n?\nq\n")
    drawn = person.home / "card.pdf"
    assert person.refused("serve").endswith("more packages: pip install 'badride[serve]'\n")
    assert person.refused("card", "1", "-o", drawn).endswith("more packages: pip install 'badride[pdf]'\n")  # fmt: skip
    assert not drawn.exists()

    wanted = f"badride[serve,pdf] @ {built.wheel.as_uri()}"
    done = call(installed / "pip", "install", "-q", wanted, env=bare(place / "installer"))
    assert done.returncode == 0, done.stderr
    person.run("card", "1", "-o", drawn)
    assert drawn.read_bytes().startswith(b"%PDF")
    served = subprocess.Popen(
        [*person.program, "serve", "--port", "0"],
        env={**person.env, "PYTHONUNBUFFERED": "1"}, cwd=person.cwd, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert served.stdout is not None
    assert any("/enter?token=" in line for line in served.stdout)
    served.send_signal(signal.SIGTERM)
    assert served.wait(30) == 0
