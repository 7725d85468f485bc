"""Key press to repaint on the harshness screen, in a real terminal device.

Run by name: `pytest -n 0 -s tests/bench/test_bench_harsh_screen.py`. It prints what it measures.
"""

from __future__ import annotations

import re
import select
import statistics
import time
from os import read

import pytest

from diagnose.harshness.live import Asked, LiveBudget
from diagnose.harshness.values import VALUES
from tests.bench.test_bench_screens import ESCAPES, SIZES, Terminal, terminal
from tui.harshness.harsh import HarshScreen
from tui.harshness.value_sheet import Sheet

STEPS = 12
OPEN_WITHIN = 1.0
VALUE_WITHIN = 0.1
ANSWER_WITHIN = 0.4
HELD_KEYS, EVERY = 40, 0.033
HELD_WITHIN = 1.0
NAME, OVER = "front-tyre", None


def moments(running: Terminal, sent: float, *patterns: str) -> list[float]:
    """How long after `sent` each pattern was painted; styling and spaces left out."""
    wanted = [re.compile(pattern.replace(" ", "").encode()) for pattern in patterns]
    found: dict[int, float] = {}
    seen = b""
    until = sent + 20
    while len(found) < len(wanted) and time.perf_counter() < until:
        if select.select([running.device], [], [], 0.02)[0]:
            seen += read(running.device, 1 << 16)
            plain = re.sub(rb"\s", b"", ESCAPES.sub(b"", seen))
            for number, pattern in enumerate(wanted):
                if number not in found and pattern.search(plain):
                    found[number] = time.perf_counter() - sent
    assert len(found) == len(wanted), (patterns, seen[-400:])
    return [found[number] for number in range(len(wanted))]


def told(taken: list[float]) -> str:
    """Median and worst in milliseconds."""
    return f"median {statistics.median(taken) * 1000:.0f} ms, worst {max(taken) * 1000:.0f} ms"


@pytest.mark.parametrize("size", SIZES)
def test_key_to_value_and_to_answer(size: tuple[int, int]) -> None:
    """One psi a key: until the value is painted, and until the curve's upright has moved, which is
    painted with the quick answer."""
    value, answer = [], []
    with terminal(*size) as running:
        running.wait_for("causes.")
        sent = running.send("t")
        (opened,) = moments(running, sent, "Neither|Nothing measured at this end")
        running.drain()
        psi = float(VALUES[NAME].standard.split()[0])
        for _ in range(STEPS):
            time.sleep(0.8)  # the thorough answer comes when no key follows
            running.drain()
            psi += 1
            sent = running.send("\x1b[C")
            shown = f"{psi:g}"
            first, second = moments(running, sent, f"{shown} psi", rf"upright: .*{psi:.3g}")
            value.append(first)
            answer.append(second)
    print(f"\n{size[0]}x{size[1]} opened {opened * 1000:.0f} ms; key to value {told(value)}; "
          f"key to answer {told(answer)}")  # fmt: skip
    assert opened < OPEN_WITHIN
    assert statistics.median(value) < VALUE_WITHIN
    assert statistics.median(answer) < ANSWER_WITHIN


@pytest.mark.parametrize("size", SIZES)
def test_a_held_key_is_not_outrun(size: tuple[int, int]) -> None:
    """Forty repeats at thirty a second: how long after the last one its answer stands."""
    with terminal(*size) as running:
        running.wait_for("causes.")
        running.send("t")
        moments(running, time.perf_counter(), "Nothing measured at this end")
        time.sleep(0.8)
        running.drain()
        for _ in range(HELD_KEYS):
            sent = running.send("\x1b[C")
            time.sleep(EVERY)
        (late,) = moments(running, sent, rf"upright: .*{12.5 + HELD_KEYS:.3g}")
    print(
        f"\n{size[0]}x{size[1]} {HELD_KEYS} keys held: answer {late * 1000:.0f} ms after the last"
    )
    assert late < HELD_WITHIN


def test_what_is_worked_out() -> None:
    """Without a screen: the quick answer and the thorough one, three values off."""
    sheet = Sheet().typed(NAME, "25 psi").typed("fork-compression", "8").typed("front-gap", "20 mm")
    quick, thorough = [], []
    for number in range(8):
        stepped = sheet.typed(NAME, f"{20 + number} psi")
        asked = Asked(stepped.known, stepped.end, OVER, NAME)
        live = LiveBudget()
        start = time.perf_counter()
        live.quick(asked)
        quick.append(time.perf_counter() - start)
        start = time.perf_counter()
        live.thorough(asked)
        thorough.append(time.perf_counter() - start)
    print(f"\n{HarshScreen.__name__}: quick {told(quick[1:])}; thorough {told(thorough[1:])}")
    assert statistics.median(quick[1:]) < ANSWER_WITHIN
