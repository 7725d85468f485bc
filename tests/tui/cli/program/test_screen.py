"""`badride` opens the app; `badride picture` draws it."""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from textual.worker import WorkerCancelled

from tests.places import MOWER
from tui.cli.common import Packs
from tui.cli.main import main
from tui.cli.program import screen as command


@pytest.fixture(autouse=True)
def _collected_as_before() -> Iterator[None]:
    """The command sets how this process collects garbage."""
    before = gc.get_threshold()
    yield
    gc.set_threshold(*before)
    gc.enable()


def test_no_command_opens_the_app(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """With the shipped pack and the store of the environment; `screen` takes options."""
    made: list[dict[str, Any]] = []

    class Fake:
        return_code = 0

        def run(self) -> None:
            made[-1]["ran"] = True

    def make(pack: Packs, **options: Any) -> Fake:
        made.append({"pack": pack, **options})
        return Fake()

    monkeypatch.setattr(command, "make_app", make)
    monkeypatch.setattr(command, "require_terminal", lambda: None)
    monkeypatch.setenv("BADRIDE_STORE", str(tmp_path / "shop.sqlite"))
    assert CliRunner().invoke(main, []).exit_code == 0
    store = made[-1].pop("open_store")()
    assert store.place.path == tmp_path / "shop.sqlite"
    assert callable(made[-1].pop("keep_setting"))
    made[-1].pop("loaded")()
    assert gc.isenabled()
    assert made[-1] == {
        "decimal_comma": False,
        "learning": True,
        "pack": (),
        "light": False,
        "large": False,
        "ascii_only": None,
        "ran": True,
    }
    result = CliRunner().invoke(
        main,
        ["screen", "--pack", str(MOWER), "--large", "--ascii", "--keep-nothing", "--no-learned"],
    )
    assert result.exit_code == 0
    assert callable(made[-1].pop("keep_setting"))
    made[-1].pop("loaded")()
    assert gc.isenabled()
    assert made[-1] == {
        "decimal_comma": False,
        "learning": False,
        "open_store": None,
        "pack": (MOWER,),
        "light": False,
        "large": True,
        "ascii_only": True,
        "ran": True,
    }


@pytest.mark.long
def test_a_picture_is_drawn_from_the_program(tmp_path: Path) -> None:
    """An SVG with the step on it."""
    file = tmp_path / "card.svg"
    keys = "n 2 d enter"
    arguments = ["picture", str(file), "--pack", str(MOWER), "--keys", keys]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, result.output
    svg = file.read_text(encoding="utf-8").replace("&#160;", " ")
    assert "Does the blade wobble" in svg


def test_a_picture_that_cannot_be_written_is_said_in_words(tmp_path: Path) -> None:
    """Exit status 2 and the name of the file."""
    file = tmp_path / "no-such-folder" / "card.svg"
    result = CliRunner().invoke(main, ["picture", str(file), "--pack", str(MOWER)])
    assert result.exit_code == 2
    assert "could not be written" in result.output


def test_an_unsound_pack_ends_with_its_message(tmp_path: Path) -> None:
    """The app leaves with status 2; nothing is shown that could be taken for a rule base."""
    import asyncio

    (tmp_path / "pack.yaml").write_text("pack: 1\n", encoding="utf-8")
    app = command.make_app((tmp_path,), ascii_only=False)

    async def run() -> None:
        async with app.run_test() as pilot:
            # the app may leave, and cancel its workers, while they are waited for
            with contextlib.suppress(WorkerCancelled):
                await app.at_rest()
            await pilot.pause()

    asyncio.run(run())
    assert app.return_code == 2
