"""What only some people install: without it the commands that need it say what to install."""

from __future__ import annotations

import importlib.metadata
import re
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.store import Store
from rules.extras import EXTRAS
from tui.cli.main import main

PACK = Path(__file__).parents[1] / "packs" / "mower"
MODULES = [(extra, module) for extra, known in EXTRAS.items() for module in known.modules]
Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "store.sqlite"))
    monkeypatch.setenv("BADRIDE_PACKS", str(PACK))
    monkeypatch.chdir(tmp_path)
    return lambda *arguments, given=None: CliRunner().invoke(main, arguments, input=given)


def is_refused(result: Result, extra: str) -> None:
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    assert result.stderr.endswith(f": pip install 'badride[{extra}]'\n")


def take_away(monkeypatch: pytest.MonkeyPatch, *modules: str) -> None:
    for module in modules:
        monkeypatch.setitem(sys.modules, module, None)


COMMANDS: dict[str, tuple[tuple[str, ...], ...]] = {
    "serve": (("serve", "--port", "0"),),
    "postgres": (
        ("bike", "list", "--store", "postgresql://shop@127.0.0.1:1/badride"),
        ("card", "1", "--store", "postgresql+psycopg://shop@127.0.0.1:1/badride"),
    ),
    "pdf": (
        ("card", "1", "-o", "card.pdf"),
        ("card", "1", "--format", "pdf"),
        ("trainee", "card", "Ann", "-o", "ann.PDF"),
        ("trainee", "card", "Ann", "--format", "pdf", "-o", "ann.txt"),
    ),
}


@pytest.mark.parametrize(("extra", "module"), MODULES)
def test_without_a_module_the_command_says_what_to_install(
    extra: str, module: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("ask", given="dead\n1\n?\nq\n").exit_code == 0
    assert run("trainee", "add", "Ann").exit_code == 0
    take_away(monkeypatch, module)
    before = set(tmp_path.iterdir())
    for command in COMMANDS[extra]:
        is_refused(run(*command), extra)
    assert set(tmp_path.iterdir()) == before


def test_without_any_extra_the_rest_works(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    take_away(monkeypatch, *(module for _, module in MODULES))
    assert run("ask", given="dead\n1\n?\nq\n").exit_code == 0
    for name in ("card.md", "card.html"):
        assert run("card", "1", "-o", name).exit_code == 0
        assert (tmp_path / name).stat().st_size > 500
    looked = run("self-check")
    assert looked.exit_code == 0, looked.output
    assert set(
        re.findall(r"note +.* need.* more packages: .*'badride\[(\w+)\]'", looked.stdout)
    ) == set(EXTRAS)


async def test_a_pdf_asked_for_on_the_screens_says_what_to_install(
    open_app: Any, mower_assessor: Assessor, open_shop: Callable[[], Store], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """The name that is offered is one that can be written."""
    CaseBook(open_shop(), mower_assessor.rules).begin(Case(events=(Complained("no-start"),)))
    take_away(monkeypatch, "fpdf")
    monkeypatch.chdir(tmp_path)
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        await driver.press("c", "enter", "o", "ctrl+u", *"card.pdf", "enter")
        assert "PDF cards need more packages: pip install 'badride[pdf]'" in driver.text()
        await driver.press("escape", "o", "enter")
    assert [path.suffix for path in tmp_path.glob("*card*")] == [".html"]


def test_an_extra_installs_the_modules_it_is_known_by() -> None:
    """Every library of an extra, by the name it is imported by, is looked for before it is used."""
    imported = importlib.metadata.packages_distributions()
    declared = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"][
        "optional-dependencies"
    ]
    for extra, known in EXTRAS.items():
        libraries = {re.split(r"[^\w.-]", wanted, maxsplit=1)[0] for wanted in declared[extra]}
        assert {name for module in known.modules for name in imported[module]} == libraries
    assert declared["all"] == [f"badride[{','.join(EXTRAS)}]"]
