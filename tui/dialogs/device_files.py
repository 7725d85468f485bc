"""Files that the person has or gets: the only place where the screens touch a path.

At a terminal they are files of this computer. On a page they are files of the guest's device, and
no path of this computer can be named.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

from diagnose.records.file_writing import write_bytes
from rules.given_paths import given_path
from rules.problems import BadInput, printable
from rules.yaml_source import MAX_BYTES, read_raw
from tui.dialogs.page_screen import PageScreen
from tui.dialogs.prompt_screen import PromptScreen, refusal
from tui.services.page import Page
from tui.services.shell import Shell

T = TypeVar("T")

_LONGEST_NAME = 100
_MOST_FILES = 50


async def open_file(
    shell: Shell, title: str, hint: str, name: str, read: Callable[[bytes, str], T]
) -> T | None:
    """Inside a flow: ask for a file, offering `name`, and `read` what it holds, given its label for
    messages. None when it is left; raises `FileProblems` and what `read` raises."""
    if shell.page is not None:
        about = f"Choose a file of this device below, at most {MAX_BYTES // 1_000_000} MB."
        given = await shell.ask(PageScreen(title, about, shell.page.take_file))
        if given is None:
            return None
        name, content = given
        label = printable(Path(name).name) or "the file"
        return await shell.work(lambda: read(content, label))
    near = await shell.work(lambda: _files_near(Path(name).suffix))
    if near and not Path(name).exists():
        name = near[0]
    text = await shell.ask(PromptScreen(title, hint, name, _typed(refusal(given_path)), near))
    if text is None:
        return None
    path = given_path(text)
    return await shell.work(lambda: read(read_raw(path, text), text))


def _files_near(ending: str) -> list[str]:
    """The files with this ending in the folder that the program was started in and in those below
    it, the latest first."""
    found: list[tuple[float, str]] = []
    with suppress(OSError):
        for pattern in (f"*{ending}", f"*/*{ending}"):
            paths = [path for path in Path().glob(pattern) if path.is_file()]
            found += [(path.stat().st_mtime, str(path)) for path in paths[:_MOST_FILES]]
    return [name for _, name in sorted(found, reverse=True)][:_MOST_FILES]


async def save_file(
    shell: Shell,
    title: str,
    name: str,
    content: Callable[[str], bytes],
    *,
    hint: str = "",
    check: Callable[[str], object] = lambda name: None,
) -> bool:
    """Inside a flow: ask what a file shall be called, offering `name`, and save its `content`.

    `check` raises `BadInput` for a name that will not do. An existing file is replaced only when
    its name is given twice. Returns whether it was saved; raises what `content` raises.
    """
    if shell.page is not None:
        return await _hand_over(shell, shell.page, title, name, content, hint, check)
    where = "The folder is the one the program was started in."
    screen = PromptScreen(title, f"{where} {hint}".strip(), name, _check_twice(refusal(check)))
    text = await shell.ask(screen)
    if text is None:
        return False
    path = given_path(text)
    await shell.work(lambda: write_bytes(path, content(text)))
    shell.say(f"Saved as {path.absolute()}")
    return True


async def _hand_over(
    shell: Shell,
    page: Page,
    title: str,
    name: str,
    content: Callable[[str], bytes],
    hint: str,
    check: Callable[[str], object],
) -> bool:
    def check_name(text: str) -> None:
        _plain_name(text)
        check(text)

    where = "It is saved on this device."
    asked = PromptScreen(title, f"{where} {hint}".strip(), name, _typed(refusal(check_name)))
    text = await shell.ask(asked)
    if text is None:
        return False
    made = await shell.work(lambda: content(text))

    async def taken() -> bool:
        await page.hand_over(text, made)
        return True

    about = f"Press the button below to save {text} on this device."
    return bool(await shell.ask(PageScreen("Ready", about, taken)))


def _plain_name(text: str) -> None:
    if Path(text).name != text or "\\" in text or text.startswith((".", "~")):
        raise BadInput("Only a name: the device says which folder it is saved in.")
    if len(text) > _LONGEST_NAME:
        raise BadInput(f"A name has at most {_LONGEST_NAME} letters.")


def _typed(check: Callable[[str], str]) -> Callable[[str], str]:
    return lambda text: check(text) if text else "Nothing typed yet."


def _check_twice(check: Callable[[str], str]) -> Callable[[str], str]:
    """A check of a file name that refuses an existing file the first time it is given."""
    asked: set[str] = set()

    def check_name(text: str) -> str:
        if problem := refusal(given_path)(text):
            return problem
        if given_path(text).exists() and text not in asked:
            asked.add(text)
            return "There is such a file. Enter once more to replace it."
        return check(text)

    return _typed(check_name)
