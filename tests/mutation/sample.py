"""How many small changes of the code the tests catch, room by room, from a random sample.

Not part of the suite. It needs mutmut (https://pypi.org/project/mutmut/), and a copy without the
installed package, since the tests must meet the changed modules:

    git clone -q . /tmp/mutation && cd /tmp/mutation && python3 -m venv .venv
    .venv/bin/pip install '.[test]' mutmut && .venv/bin/pip uninstall -y badride
    .venv/bin/python tests/mutation/sample.py inference --count 100 --seed 1

Without `--count` every change is tried. Equal seeds draw equal samples of equal code. A change is
caught where a test that calls the function itself fails, or takes far too long; work that a shared
fixture has done does not count, so the figure is a lower one. The band is Wilson's, 95 % (Wilson,
Probable inference, the law of succession, and statistical inference, 1927).
"""

from __future__ import annotations

import argparse
import json
import math
import os
import random
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

ROOMS: dict[str, tuple[str, ...]] = {
    "inference": (
        "tests/diagnose/inference",
        "tests/diagnose/advice/test_found_faults.py",
        "tests/oracles/test_posterior_library.py",
        "tests/published/test_printed_noisy_or.py",
    ),
    "advice": (
        "tests/diagnose/advice",
        "tests/diagnose/cards/test_take_along_card.py",
        "tests/diagnose/test_diagnosis.py",
        "tests/diagnose/words",
        "tests/oracles/test_repair_sequences.py",
        "tests/trade/test_steps.py",
    ),
    "findings": ("tests/diagnose/findings", "tests/diagnose/harshness", "tests/trade"),
    "listening": ("tests/diagnose/listening", "tests/diagnose/words"),
    "records": ("tests/diagnose/records", "tests/tui/cli/cases", "tests/tui/cli/test_paths.py"),
}
"""Each room of `diagnose` that is tried, with the tests that are about it."""

_CAUGHT = frozenset({1, 3, -24, 24, 152, 255, 36})  # failed, internal error, out of time
_UNSEEN = frozenset({5, 33})  # no test calls the function
_Z = 1.959964


def main() -> None:
    """Try a sample of one room's changes and print the score."""
    asked = argparse.ArgumentParser(description="Try small changes of a room's code.")
    asked.add_argument("room", choices=ROOMS)
    asked.add_argument("--count", type=int, help="how many changes; all unless given")
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    if not Path(".venv/bin/mutmut").is_file():
        sys.exit("run this in the copy that the head of this file tells of")
    _configure(given.room)
    # names nothing, so it stops once the changes are written and the tests were timed
    _mutmut("none-of-them")
    known = sorted(_tried(given.room))
    if not known:
        sys.exit("no change was made; what mutmut says above tells why")
    drawn = known
    if given.count is not None and given.count < len(known):
        drawn = sorted(random.Random(given.seed).sample(known, given.count))
    _mutmut(*drawn)
    codes = _tried(given.room)
    results = {name: codes[name] for name in drawn}
    print(report(given.room, results, len(known), given.seed))


def report(room: str, results: dict[str, int | None], known: int, seed: int) -> str:
    """The score with its band, and the changes that no test caught."""
    caught = sum(code in _CAUGHT for code in results.values())
    unseen = sum(code in _UNSEEN for code in results.values())
    low, high = band(caught, len(results))
    lines = [f"not caught: {name}" for name, code in results.items() if code not in _CAUGHT]
    counts = ", ".join(f"{code}: {n}" for code, n in Counter(results.values()).most_common())
    lines.append(
        f"{room}: {caught} of {len(results)} caught, {caught / len(results):.1%} "
        f"({low:.1%} to {high:.1%}); {unseen} that no test calls; drawn from {known} with seed "
        f"{seed} (exit codes {counts})"
    )
    return "\n".join(lines)


def band(caught: int, tried: int) -> tuple[float, float]:
    """Wilson's 95 % band of a share. `tried` must be above 0."""
    share, z2 = caught / tried, _Z * _Z
    middle = (share + z2 / (2 * tried)) / (1 + z2 / tried)
    half = _Z * math.sqrt(share * (1 - share) / tried + z2 / (4 * tried * tried)) / (1 + z2 / tried)
    return middle - half, middle + half


def _configure(room: str) -> None:
    path = Path("pyproject.toml")
    text = path.read_text(encoding="utf-8").partition("\n[tool.mutmut]")[0]
    tests = json.dumps(list(ROOMS[room]))
    path.write_text(
        f'{text}\n[tool.mutmut]\nsource_paths = ["diagnose/{room}"]\n'
        'also_copy = ["rules", "diagnose", "tui", "tests", "pyproject.toml", "README.md", '
        f'"DEVELOPERS.md"]\npytest_add_cli_args_test_selection = {tests}\n',
        encoding="utf-8",
    )


def _mutmut(*names: str) -> None:
    options = "-n 0 -x -o pythonpath=. --timeout-method signal --timeout 1200"
    environment = {**os.environ, "PYTEST_ADDOPTS": options, "CI": "true"}
    command: Sequence[str] = (".venv/bin/mutmut", "run", *names)
    subprocess.run(command, env=environment, check=False)


def _tried(room: str) -> dict[str, int | None]:
    """Every change of the room by name, with how its tests ended; None where it was not tried."""
    found: dict[str, int | None] = {}
    for meta in Path("mutants/diagnose", room).rglob("*.meta"):
        found |= json.loads(meta.read_text(encoding="utf-8"))["exit_code_by_key"]
    return found


if __name__ == "__main__":
    main()
