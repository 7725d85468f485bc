"""Start to first painted question, and key press to repaint, in a real terminal device.

Run by name: `pytest -n 0 -s tests/bench/test_bench_screens.py`. It prints what it measures.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.words.step_words import step_text

STARTS = 7
# made by the first start, as on any other day it is there already
STORE = Path(tempfile.mkdtemp(prefix="badride-bench-")) / "store.sqlite"
PATIENCE = 20.0
FIRST_QUESTION_WITHIN = 1.5
REPAINT_WITHIN = 0.1
SIZES = [(80, 24), (200, 60)]
PROGRAM = "from tui.cli.main import main; main()"
BARE = """
from textual.app import App
from textual.widgets import Static

class Bare(App):
    def compose(self):
        yield Static("painted now")

Bare().run()
"""
FIRST_SCREEN = "From a bad ride to its cause"
TIMES_A_BARE_START = 2.5
ESCAPES = re.compile(rb"\x1b\[[0-9;?]*[A-Za-z]|\x1b[=>]|\x1b\][^\x07]*\x07")


class Terminal:
    """The program in a pseudo-terminal of a given size."""

    def __init__(self, width: int, height: int, code: str = PROGRAM) -> None:
        self.started = time.perf_counter()
        pid, self.device = pty.fork()
        if pid == 0:  # pragma: no cover - the child becomes the program
            os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", LANG="C.UTF-8")
            os.environ["BADRIDE_STORE"] = str(STORE)
            program = [sys.executable, "-c", code]
            os.execv(sys.executable, program)  # noqa: S606
        self.pid = pid
        fcntl.ioctl(self.device, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))

    def send(self, keys: str) -> float:
        """Type these keys; returns the time at which that was done."""
        os.write(self.device, keys.encode())
        return time.perf_counter()

    def wait_for(self, words: str) -> float:
        """The moment `words` have been painted, whatever styling lies between them."""
        wanted = re.sub(rb"\s", b"", words.encode())
        seen = b""
        until = time.perf_counter() + PATIENCE
        while time.perf_counter() < until:
            if select.select([self.device], [], [], 0.05)[0]:
                seen += os.read(self.device, 1 << 16)
                plain = re.sub(rb"\s", b"", ESCAPES.sub(b"", seen))
                if wanted in plain:
                    return time.perf_counter()
        raise AssertionError(f"{words!r} was not painted; last: {seen[-300:]!r}")

    def worked(self) -> float:
        """Seconds of processor so far, all threads together: on a busy machine it says more than
        the clock. Linux only."""
        stats = Path(f"/proc/{self.pid}/task").glob("*/schedstat")
        return sum(int(file.read_text().split()[0]) for file in stats) / 1e9

    def drain(self) -> None:
        """Let it come to rest."""
        while select.select([self.device], [], [], 0.3)[0]:
            os.read(self.device, 1 << 16)


@contextmanager
def terminal(width: int, height: int, code: str = PROGRAM) -> Iterator[Terminal]:
    """A running program, ended by its own key."""
    running = Terminal(width, height, code)
    try:
        yield running
    finally:
        running.send("\x11")
        deadline = time.perf_counter() + 5
        while time.perf_counter() < deadline:
            if select.select([running.device], [], [], 0.05)[0]:
                try:
                    if not os.read(running.device, 1 << 16):
                        break
                except OSError:
                    break
            if os.waitpid(running.pid, os.WNOHANG)[0]:
                break
        os.close(running.device)


@pytest.mark.parametrize("size", SIZES)
def test_start_to_first_painted_question(size: tuple[int, int]) -> None:
    """The key is typed ahead, so this is start, load, start screen, key and the first question."""
    taken = []
    for _ in range(STARTS):
        with terminal(*size) as running:
            running.send("\r")
            taken.append(running.wait_for("What happened?") - running.started)
    median = statistics.median(taken)
    print(f"\n{size[0]}x{size[1]} start to first question: median {median:.2f} s, "
          f"worst of {STARTS} {max(taken):.2f} s")  # fmt: skip
    assert median < FIRST_QUESTION_WITHIN


def test_start_beside_that_of_a_bare_program() -> None:
    """To the first screen, in turns with a program that only paints a line with the same library:
    what the machine does besides weighs on both."""
    taken: dict[str, list[float]] = {BARE: [], PROGRAM: []}
    for _ in range(STARTS):
        for code, words in ((BARE, "painted now"), (PROGRAM, FIRST_SCREEN)):
            with terminal(80, 24, code) as running:
                taken[code].append(running.wait_for(words) - running.started)
    bare, whole = (statistics.median(taken[code]) for code in (BARE, PROGRAM))
    print(f"\n80x24 start to first screen: median {whole:.2f} s, bare {bare:.2f} s, "
          f"{whole / bare:.2f} times")  # fmt: skip
    assert whole < TIMES_A_BARE_START * bare


@pytest.mark.parametrize("size", SIZES)
def test_key_press_to_repaint(size: tuple[int, int], offroad_assessor: Assessor) -> None:
    """From the key that answers to the next step painted, over a case that answers don't know."""
    rules = offroad_assessor.rules
    case = Case({}, {}, (Complained("harsh", "front"),))
    taken: list[float] = []
    worked: list[float] = []
    with terminal(*size) as running:
        running.wait_for("causes.")
        running.send("\r\r11\r\r")
        for _ in range(30):
            step = offroad_assessor.assess(case).step
            heading = step_text(rules, case, step).heading[:40]
            if not taken:
                running.wait_for(heading)
            running.drain()
            if step.kind not in ("ask", "measure", "inspect", "ride-test"):
                break
            case = case.with_event(Answered(step.target))
            following = step_text(rules, case, offroad_assessor.assess(case).step).heading[:40]
            before = running.worked()
            sent = running.send("?")
            taken.append(running.wait_for(following) - sent)
            worked.append(running.worked() - before)
    assert len(taken) >= 10
    for what, seconds in (("key to next step", taken), ("of them processor", worked)):
        print(f"\n{size[0]}x{size[1]} {what}: median {statistics.median(seconds) * 1000:.0f} ms, "
              f"p95 {_p95(seconds) * 1000:.0f} ms of {len(seconds)}")  # fmt: skip
    assert statistics.median(taken) < REPAINT_WITHIN
    assert _p95(worked) < REPAINT_WITHIN


def _p95(seconds: list[float]) -> float:
    return sorted(seconds)[round(0.95 * (len(seconds) - 1))]


def test_command_line_does_not_import_textual() -> None:
    """`badride ask` stays fast: nothing but the app's own command imports the screen library."""
    code = "import sys, tui.cli.main, tui.plain.plain_interview; sys.exit('textual' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
