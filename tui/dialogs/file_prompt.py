"""Asking for a file and writing it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tui.dialogs.prompt_screen import PromptScreen
from tui.services.shell import Shell


async def ask_file(
    shell: Shell,
    title: str,
    name: str,
    write: Callable[[Path], None],
    *,
    hint: str = "",
    check: Callable[[Path], str] = lambda path: "",
) -> bool:
    """Inside a flow: ask for a file, offering `name`, and `write` it.

    `check` returns what is wrong with a path, or nothing. An existing file is replaced only when
    its name is given twice. Returns whether it was written; raises what `write` raises.
    """
    where = "The folder is the one the program was started in."
    screen = PromptScreen(title, f"{where} {hint}".strip(), name, _check_twice(check))
    text = await shell.ask(screen)
    if text is None:
        return False
    path = Path(text).expanduser()
    await shell.work(lambda: write(path))
    shell.say(f"Saved as {path.absolute()}")
    return True


def _check_twice(check: Callable[[Path], str]) -> Callable[[str], str]:
    """A check of a file name that refuses an existing file the first time it is given."""
    asked: set[str] = set()

    def check_name(text: str) -> str:
        if not text:
            return "Nothing typed yet."
        path = Path(text).expanduser()
        if path.exists() and text not in asked:
            asked.add(text)
            return "There is such a file. Enter once more to replace it."
        return check(path)

    return check_name
