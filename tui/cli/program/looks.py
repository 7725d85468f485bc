"""Checks of the computer: is everything as the program needs it? Each yields what it saw."""

from __future__ import annotations

import enum
import importlib.metadata
import locale
import os
import platform
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from diagnose.records.store.place import Place
from rules import extras
from rules.problems import BadInput, printable
from rules.rulebase import RuleBase

LEAST_FREE = 100_000_000  # bytes; a backup of a store of years takes less
_COLUMNS, _ROWS = 80, 24
_HELD = ("bikes", "cases", "case_entries")  # tables whose rows are told
# in a process of its own: a library that was built wrongly would end this one
ENGINE_TRIAL = (
    "from diagnose.findings.engine import RuleSet\n"
    "with RuleSet({'warm': [('it', {'kind': 'reading'})]}).session() as session:\n"
    "    session.tell({'kind': 'reading'})\n"
    "    print([fired.rule for fired in session.take_fired()])\n"
)


class State(enum.Enum):
    """How it is; the word is what is printed before it."""

    GOOD = "good"
    NOTE = "note"
    BAD = "BAD"


@dataclass(frozen=True, slots=True)
class Seen:
    """What one look saw, and what to do about it where that is something."""

    state: State
    words: str
    advice: str = ""


Look = Callable[[], Iterator[Seen]]


def see_all(looks: Sequence[tuple[str, Look]]) -> Iterator[tuple[str, Seen]]:
    """Every look in turn; one that fails is bad and does not stop the others."""
    for name, look in looks:
        try:
            for seen in look():
                yield name, seen
        except (BadInput, OSError) as error:
            yield name, Seen(State.BAD, printable(str(error)))


def python_and_libraries() -> Iterator[Seen]:
    """The interpreter, every library that the program asks for, and extras not installed."""
    words = f"Python {platform.python_version()} on {platform.system()} {platform.machine()}"
    yield Seen(State.GOOD, words)
    found, missing = [], []
    for wanted in importlib.metadata.requires("badride") or ():
        name = re.split(r"[^\w.-]", wanted, maxsplit=1)[0]
        if "extra ==" in wanted:
            continue
        try:
            found.append(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            missing.append(name)
    yield Seen(State.GOOD, ", ".join(found))
    if missing:
        yield Seen(State.BAD, f"missing: {', '.join(missing)}", "install the program again")
    for name in extras.EXTRAS:
        try:
            extras.require(name)
        except BadInput as error:
            yield Seen(State.NOTE, str(error))


def rule_engine(trial: str = ENGINE_TRIAL) -> Iterator[Seen]:
    """Whether durable-rules, which was built on this computer, works."""
    advice = "build it again: pip install --force-reinstall --no-cache-dir durable-rules==2.0.28"
    command = [sys.executable, "-P", "-c", trial]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=30, check=False)  # noqa: S603
    except subprocess.TimeoutExpired:
        yield Seen(State.BAD, "durable-rules did not answer within 30 s", advice)
        return
    if done.returncode == 0 and done.stdout.strip() == "['warm']":
        yield Seen(State.GOOD, "durable-rules fires a rule")
    else:
        reason = (done.stderr.strip().splitlines() or ["a rule did not fire"])[-1]
        yield Seen(State.BAD, f"durable-rules: {reason}", advice)


def terminal(environment: Mapping[str, str], *, is_terminal: bool, encoding: str) -> Iterator[Seen]:
    """What the terminal can do, and in which letters."""
    from tui.terminal.glyphs import knows_unicode  # draws in Textual

    size = shutil.get_terminal_size()
    if not is_terminal:
        yield Seen(State.NOTE, "output is not a terminal", "the screens need one; `ask` does not")
    elif environment.get("TERM", "dumb") == "dumb":
        yield Seen(State.NOTE, "a terminal that cannot draw", "use `badride ask`")
    elif size.columns < _COLUMNS or size.lines < _ROWS:
        words = f"a terminal of {size.columns} columns and {size.lines} lines"
        yield Seen(State.NOTE, words, f"the screens are made for {_COLUMNS} by {_ROWS} and up")
    else:
        yield Seen(State.GOOD, f"{environment['TERM']}, {size.columns} by {size.lines}")
    colour = "no colours (NO_COLOR)" if environment.get("NO_COLOR") else "colours"
    if knows_unicode(environment) and "utf" in encoding.lower():
        yield Seen(State.GOOD, f"{colour}; letters in {encoding}, locale {_locale()}")
    else:
        words = f"{colour}; letters in {encoding}, locale {_locale()}: drawn in ASCII"
        yield Seen(State.NOTE, words, "for lines and bars set LANG to one such as C.UTF-8")


def clock(now: datetime, newest: datetime | None, installed: Path) -> Iterator[Seen]:
    """Whether the clock can be right: records are dated by it."""
    built = datetime.fromtimestamp(installed.stat().st_mtime, UTC)
    if now < built - timedelta(days=1):
        yield Seen(
            State.BAD,
            f"the clock says {now:%Y-%m-%d}, before the program was installed ({built:%Y-%m-%d})",
            "set the computer's clock: rides, services and cases are dated by it",
        )
    elif newest is not None and now < newest - timedelta(minutes=5):
        yield Seen(
            State.BAD,
            f"the clock says {now:%Y-%m-%d %H:%M}, the newest record {newest:%Y-%m-%d %H:%M}",
            "set the computer's clock, and those of the others that use the store",
        )
    else:
        yield Seen(State.GOOD, f"the clock says {now.astimezone():%Y-%m-%d %H:%M %Z}")


def room(folder: Path, least: int = LEAST_FREE) -> Iterator[Seen]:
    """Whether what is kept has room, in the nearest folder that there is."""
    there = next(part for part in (folder, *folder.parents) if part.exists())
    free = shutil.disk_usage(there).free
    words = f"{free / 1e9:.1f} GB free in {there}"
    if free < least:
        yield Seen(State.BAD, words, "make room: a full disk stops cases from being kept")
    elif not os.access(there, os.W_OK):
        yield Seen(State.BAD, f"{there} cannot be written to", "--store names another place")
    else:
        yield Seen(State.GOOD, words)


def rule_base(packs: tuple[Path, ...]) -> Iterator[Seen]:
    """Whether the packs load, and what they are, to compare with another bench."""
    from diagnose.batch.folders import rules_digest
    from rules.loading.loader import load_packs

    rules = load_packs(packs)
    words = f"{rules.title}, version {rules.info.version}: {len(rules.causes)} causes"
    yield Seen(State.GOOD, f"{words}, digest {rules_digest(packs)[:12]}")


def settings(path: Path) -> Iterator[Seen]:
    """Whether the settings can be read."""
    from tui.cli.settings import read_settings

    given = read_settings(path).model_dump(exclude_none=True)
    words = ", ".join(f"{name} {value}" for name, value in given.items()) or "nothing is set"
    yield Seen(State.GOOD, f"{path}: {words}")


def kept(place: Place, rules: RuleBase | None, now: datetime) -> Iterator[Seen]:
    """The store: whether all of it can be read, and has room."""
    from diagnose.records.store.opening import open_store
    from diagnose.training.records.store_check import check_everything, newest_entry

    if place.path is not None:
        yield from room(place.path.parent)
        if not place.path.exists():
            yield Seen(State.GOOD, f"{place}: nothing is kept yet")
            yield from clock(now, None, Path(__file__))
            return
    store = open_store(place, lambda: now)
    if rules is None:
        yield Seen(State.NOTE, f"{place}: not read, since the rules do not load")
    else:
        sizes = check_everything(store, rules)
        held = ", ".join(f"{sizes[name]} {name.replace('_', ' ')}" for name in _HELD)
        yield Seen(State.GOOD, f"{place}: sound, {held}")
    yield from clock(now, newest_entry(store), Path(__file__))


def log_file(path: Path) -> Iterator[Seen]:
    """Whether the log can be written."""
    there = next(part for part in (path, *path.parents) if part.exists())
    if os.access(there, os.W_OK):
        yield Seen(State.GOOD, str(path))
    else:
        yield Seen(State.NOTE, f"{there} cannot be written to", "errors will not be logged")


def _locale() -> str:
    return ".".join(part or "-" for part in locale.getlocale())
