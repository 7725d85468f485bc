"""How many small changes of the code the tests notice, room by room, from a random sample.

Not part of the suite. In the project's folder, with the environment that the tests use:

    nice -n 15 .venv/bin/python -m tests.mutation.sample inference --count 100 --seed 1

Without `--count` every change is tried. Equal seeds draw equal samples of equal code, in the order
drawn, so that what is done of a run that is broken off is a sample too. Each change is tried in a
process of its own, which reads the changed module and nothing else of it, against the tests about
its room, those that bear the module's name first and then the quickest first, until one fails. It is noticed where a test fails that passes without it, where the module cannot be read, and
where a test takes twenty times its processor time and ten seconds more, which only an endless loop
does. What is held up otherwise is not noticed. Tests of other rooms, long ones, those over the
`--slowest` and commands in processes of their own do not count, so the figure is a lower one.

Changes that alter nothing anybody could see are listed with the reason in `equivalent.yaml`; the
score is given with and without them. The band is Wilson's, 95 % (Wilson, Probable inference, the
law of succession, and statistical inference, 1927).
"""

from __future__ import annotations

import argparse
import contextlib
import functools
import importlib
import importlib.machinery
import json
import math
import os
import pkgutil
import random
import resource
import signal
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType

import pytest
import yaml
from hypothesis import Phase, settings

from tests.mutation.changes import Change, changes_of

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

_HERE = Path(__file__).parent
_BEFOREHAND = (
    "alembic",
    "durable.engine",
    "jsonschema",
    "numpy",
    "pydantic",
    "scipy",
    "sqlalchemy",
)
"""Libraries that no change touches, read once."""
_ENDLESS, _TIMES = 10.0, 20.0  # seconds of processor, and times what the test takes otherwise
_HELD_UP = 600.0  # seconds
_MEMORY = 6 << 30  # bytes; an endless loop may gather without end
_Z = 1.959964


@dataclass(eq=False)
class _Watched:
    """What pytest's run in a process came to; a plugin of pytest."""

    usual: dict[str, float]
    """Seconds of processor that each test takes without a change, in the order to run them; empty
    where that is to be found out."""
    stem: str = ""
    taken: dict[str, float] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)

    def pytest_sessionstart(self) -> None:
        settings.register_profile(
            "noticed",
            parent=settings.get_profile("badride"),
            derandomize=True,
            database=None,
            phases=[Phase.explicit, Phase.generate],  # which example fails is of no interest
        )
        settings.load_profile("noticed")

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        if self.usual:
            known = [item for item in items if item.nodeid in self.usual]
            items[:] = sorted(known, key=self._place)

    def _place(self, item: pytest.Item) -> tuple[bool, float]:
        return item.path.stem.removeprefix("test_") != self.stem, self.usual[item.nodeid]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> object:
        if self.usual:
            limit = _ENDLESS + _TIMES * self.usual[item.nodeid]
            signal.setitimer(signal.ITIMER_PROF, limit)
        try:
            return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> object:
        start = sum(os.times()[:4])
        try:
            return (yield)
        finally:
            self.taken[item.nodeid] = sum(os.times()[:4]) - start

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed.append(f"reading {report.nodeid}")


def main() -> None:
    """Try a sample of one room's changes and print the score."""
    asked = argparse.ArgumentParser(description="Try small changes of a room's code.")
    asked.add_argument("room", choices=ROOMS)
    asked.add_argument("--count", type=int, help="how many changes; all unless given")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--slowest", type=float, default=4.0, help="leave slower tests out (s)")
    asked.add_argument("--times", type=Path, help="what the tests take, kept from an earlier run")
    given = asked.parse_args()
    paths = sorted(Path("diagnose", given.room).rglob("*.py"))
    known = [(path, change) for path in paths for change in changes_of(path.read_text("utf-8"))]
    drawn = known
    if given.count is not None and given.count < len(known):
        drawn = random.Random(given.seed).sample(known, given.count)
    _read_beforehand()
    usual = _usual(given.room, given.times)
    usual = {test: seconds for test, seconds in usual.items() if seconds < given.slowest}
    results = [(path, change, _tried(given.room, path, change, usual)) for path, change in drawn]
    print(report(given.room, results, len(known), given.seed))


def report(room: str, results: list[tuple[Path, Change, str | None]], known: int, seed: int) -> str:
    """The score with its band, and the changes that no test noticed."""
    same = yaml.safe_load((_HERE / "equivalent.yaml").read_text("utf-8"))
    listed = {(row["file"], row["in"], row["change"]) for row in same}
    missed = [(path, change) for path, change, by in results if by is None]
    alike = [m for m in missed if (m[0].as_posix(), m[1].where, str(m[1])) in listed]
    lines = [
        f"{'alters nothing' if m in alike else 'not noticed'}: {m[0]}:{m[1].line} "
        f"{m[1].where}: {m[1]}"
        for m in missed
    ]
    noticed = len(results) - len(missed)
    shares = [_share(noticed, len(results)), _share(noticed, len(results) - len(alike))]
    lines.append(
        f"{room}: {shares[0]} noticed; without {len(alike)} that alter nothing {shares[1]}; "
        f"drawn from {known} with seed {seed}"
    )
    return "\n".join(lines)


def _share(noticed: int, tried: int) -> str:
    low, high = band(noticed, tried)
    return f"{noticed} of {tried}, {noticed / tried:.1%} ({low:.1%} to {high:.1%})"


def band(noticed: int, tried: int) -> tuple[float, float]:
    """Wilson's 95 % band of a share. `tried` must be above 0."""
    share, z2 = noticed / tried, _Z * _Z
    middle = (share + z2 / (2 * tried)) / (1 + z2 / tried)
    half = _Z * math.sqrt(share * (1 - share) / tried + z2 / (4 * tried * tried)) / (1 + z2 / tried)
    return middle - half, middle + half


def _read_beforehand() -> None:
    """Read what no change touches: libraries, `rules`, and the packs as they ship."""
    for name in _BEFOREHAND:
        importlib.import_module(name)
    rules = importlib.import_module("rules")
    for module in pkgutil.walk_packages(rules.__path__, "rules."):
        importlib.import_module(module.name)
    loader = importlib.import_module("rules.loading.loader")
    places = importlib.import_module("tests.places")
    load, shipped = loader.load_pack, {loader.OFFROAD, places.PACKS / "mower"}
    kept = functools.cache(load)

    def load_pack(*asked: Path) -> object:
        return kept(*asked) if shipped.issuperset(asked) else load(*asked)

    setattr(loader, "load_pack", load_pack)  # noqa: B010
    for pack in shipped:
        load_pack(pack)


def _usual(room: str, kept: Path | None) -> dict[str, float]:
    """What each test about a room takes, in seconds of processor with its own processes, without
    those that fail as it is; from `kept`, where it is there, and written to it where it is not."""
    if kept is not None and kept.is_file():
        return dict(json.loads(kept.read_text("utf-8")))
    code, taken, failed = _in_a_process(room, _Watched({}), {})
    for test in failed:
        print(f"fails without a change, left out: {test}", flush=True)
    if code not in {0, 1} or not taken:
        sys.exit(f"the tests of {room} could not be run: pytest ended with {code}")
    usual = {test: seconds for test, seconds in taken.items() if test not in failed}
    if kept is not None:
        kept.write_text(json.dumps(usual), "utf-8")
    return usual


def _tried(room: str, path: Path, change: Change, usual: dict[str, float]) -> str | None:
    """By what a change is noticed; None where nothing notices it."""
    start = time.monotonic()
    changed = {str(path.resolve()): change.compiled(str(path.resolve()))}
    watched = _Watched(usual, path.stem)
    code, taken, failed = _in_a_process(room, watched, changed)
    by = failed[0] if failed else None
    if code == -signal.SIGPROF:
        by = "an endless loop"
    elif by is None and code not in {0, -signal.SIGKILL}:
        by = f"pytest ending with {code}"
    print(
        f"{path}:{change.line} {change.where}: {change}: {by or 'NOT NOTICED'} "
        f"({len(taken)} tests, {time.monotonic() - start:.1f} s)",
        flush=True,
    )
    return by


def _in_a_process(
    room: str, watched: _Watched, changed: dict[str, CodeType]
) -> tuple[int, dict[str, float], list[str]]:
    """How pytest ended, what each test took and which failed, with changed modules by their path."""
    with tempfile.NamedTemporaryFile("w+") as said:
        child = os.fork()
        if child == 0:
            code = 70
            with contextlib.suppress(BaseException):
                os.setsid()
                resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
                nothing = os.open(os.devnull, os.O_RDWR)
                for stream in (0, 1, 2):
                    os.dup2(nothing, stream)
                code = _run(room, watched, changed)
                json.dump([watched.taken, watched.failed], said)
                said.flush()
            os._exit(code)
        deadline = time.monotonic() + _HELD_UP
        while (ended := os.waitpid(child, os.WNOHANG)) == (0, 0):
            time.sleep(0.02)
            if time.monotonic() > deadline:
                os.killpg(child, signal.SIGKILL)
        said.seek(0)
        taken, failed = json.loads(said.read() or "[{}, []]")
    return os.waitstatus_to_exitcode(ended[1]), taken, failed


def _run(room: str, watched: _Watched, changed: dict[str, CodeType]) -> int:
    """Pytest in this process, on modules of which some are changed."""
    loader = importlib.machinery.SourceFileLoader
    read = loader.get_code

    def get_code(self: importlib.machinery.SourceFileLoader, name: str) -> CodeType | None:
        return changed.get(self.get_filename(name)) or read(self, name)

    loader.get_code = get_code  # type: ignore[assignment, method-assign]
    os.environ |= {"CI": "true", "OPENBLAS_NUM_THREADS": "1"}
    options = ["-p", "no:cacheprovider", "-o", "addopts=", "--timeout=0"]
    options += ["--import-mode=importlib", "-m", "not long", *(["-x"] if watched.usual else [])]
    return int(pytest.main([*options, *ROOMS[room]], plugins=[watched]))


if __name__ == "__main__":
    main()
