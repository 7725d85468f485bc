"""How many small changes of the code the tests notice, room by room, from a random sample.

Not part of the suite. In the project's folder, with the environment that the tests use:

    nice -n 15 .venv/bin/python -m tests.mutation.sample inference --count 100 --seed 1

Without `--count` every change is tried. Equal seeds draw equal samples of equal code, in the order
drawn, so that what is done of a run that is broken off (`--minutes`) is a sample too.

Each change is tried in a process of its own, until a test fails. Where it is inside a function that
nothing calls while modules are read, the process is a copy of one that has read all tests, in which
the function is given the changed code, and the tests are those that call it, besides those that bear
the module's name. Everywhere else the process reads the changed module anew, and all tests about the
room are run, those that call something in the module first.

A change is noticed where a test fails that passes without it, where the module cannot be read, and
where a test takes twenty times its processor time and some seconds more, which only an endless loop
does. What is held up otherwise is not noticed. Tests of other rooms, long ones, those over the
`--slowest` and commands in processes of their own do not count, nor does a test that is only handed
what another has worked out and kept; so the figure is a lower one.

Changes that alter nothing anybody could see are listed with the reason in `equivalent.yaml`; the
score is given with and without them. The band is Wilson's, 95 % (Wilson, Probable inference, the
law of succession, and statistical inference, 1927).
"""

from __future__ import annotations

import argparse
import contextlib
import cProfile
import functools
import gc
import importlib
import importlib.machinery
import inspect
import math
import os
import pickle
import pkgutil
import random
import resource
import signal
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FunctionType

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
_ENDLESS, _TIMES = 5.0, 20.0  # seconds of processor, and times what the test takes otherwise
_HELD_UP = 300.0  # seconds
_MEMORY = 6 << 30  # bytes; an endless loop may gather without end
_Z = 1.959964


@dataclass(frozen=True)
class _Usual:
    """What a test takes without a change, and what it calls."""

    seconds: float
    """Of processor, with its own processes, while it is watched."""
    calls: frozenset[str]
    """Functions of `diagnose`, as `_name` has them."""


@dataclass(frozen=True)
class _Outcome:
    """How a process that ran tests ended."""

    code: int
    ran: dict[str, _Usual]
    failed: list[str]


_Drawn = list[tuple[Path, Change]]
_Limits = Mapping[str, float]
"""Tests to run, in that order, each with the seconds of processor at which it is ended."""


@dataclass(eq=False)
class _Watching:
    """What tests take, which fail, and what they call if `calling`; a plugin of pytest."""

    limits: _Limits
    calling: bool = False
    seconds: dict[str, float] = field(default_factory=dict)
    calls: defaultdict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    shared: set[str] = field(default_factory=set)
    """What is called to set up what several tests use."""
    failed: list[str] = field(default_factory=list)
    _now: cProfile.Profile | None = None

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> object:
        signal.setitimer(signal.ITIMER_PROF, self.limits.get(item.nodeid, 0.0))
        try:
            with self._called(self.calls[item.nodeid]):
                return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> object:
        if fixturedef.scope == "function":
            return (yield)
        with self._called(self.shared):
            return (yield)

    @contextlib.contextmanager
    def _called(self, kept: set[str]) -> Iterator[None]:
        if not self.calling:
            yield
            return
        outer, self._now = self._now, cProfile.Profile(builtins=False)
        if outer is not None:
            outer.disable()
        self._now.enable()
        try:
            yield
        finally:
            self._now.disable()
            kept |= _called_in(self._now)
            self._now = outer
            if outer is not None:
                outer.enable()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> object:
        start = sum(os.times()[:4])
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = sum(os.times()[:4]) - start

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def ran(self) -> dict[str, _Usual]:
        """What each test came to."""
        return {
            test: _Usual(seconds, frozenset(self.calls[test] | self.shared))
            for test, seconds in self.seconds.items()
        }


@dataclass(eq=False)
class _Instead:
    """Does something else with the tests, once they are read, than run them all; a plugin."""

    work: Callable[[list[pytest.Item]], None]

    def pytest_sessionstart(self) -> None:
        settings.register_profile(
            "noticed",
            parent=settings.get_profile("badride"),
            derandomize=True,
            database=None,
            phases=[Phase.explicit, Phase.generate],  # which example fails is of no interest
        )
        settings.load_profile("noticed")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if not session.testsfailed:  # in being read
            self.work(session.items)
        return True


def main() -> None:
    """Try a sample of one room's changes and print the score."""
    asked = argparse.ArgumentParser(description="Try small changes of a room's code.")
    asked.add_argument("room", choices=ROOMS)
    asked.add_argument("--count", type=int, help="how many changes; all unless given")
    asked.add_argument("--minutes", type=float, default=math.inf, help="begin none after that")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--slowest", type=float, default=4.0, help="leave slower tests out (s)")
    given = asked.parse_args()
    paths = sorted(Path("diagnose", given.room).rglob("*.py"))
    known = [(path, change) for path in paths for change in changes_of(path.read_text("utf-8"))]
    drawn = known
    if given.count is not None and given.count < len(known):
        drawn = random.Random(given.seed).sample(known, given.count)
    deadline = time.monotonic() + given.minutes * 60
    _read_beforehand()
    trial = _Trial(given.room, given.slowest, drawn)
    results = []
    for number, (path, change) in enumerate(drawn):
        if time.monotonic() > deadline:
            break
        results.append((path, change, trial.noticed_by(number)))
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


@dataclass(eq=False)
class _Trial:
    """Tries changes of one room."""

    room: str
    slowest: float
    drawn: _Drawn

    def __post_init__(self) -> None:
        """Start the process that reads all tests, and learn what each takes and calls."""
        self._reader, theirs = Pipe()
        if os.fork() == 0:
            with contextlib.suppress(BaseException):
                self._reader.close()
                _silence()
                _read_tests_and_wait(self.room, self.drawn, theirs)
            os._exit(70)
        theirs.close()
        try:
            outcome: _Outcome = self._reader.recv()
        except EOFError:
            sys.exit(f"the tests of {self.room} could not be read")
        for test in outcome.failed:
            print(f"fails without a change, left out: {test}", flush=True)
        self._usual = {
            test: usual
            for test, usual in outcome.ran.items()
            if test not in outcome.failed and usual.seconds < self.slowest
        }
        seconds = sum(usual.seconds for usual in self._usual.values())
        print(f"{len(self._usual)} of {len(outcome.ran)} tests, {seconds:.0f} s", flush=True)

    def noticed_by(self, number: int) -> str | None:
        """By what a change is noticed; None where nothing notices it."""
        start = time.monotonic()
        path, change = self.drawn[number]
        self._reader.send((number, self._limits(number)))
        outcome: _Outcome | None = self._reader.recv()
        how = ""
        if outcome is None:
            how = " read anew"
            limits = self._limits(number, all_of_them=True)
            outcome = _in_a_process(
                functools.partial(_read_and_run, self.room, path, change), limits
            )
        by = outcome.failed[0] if outcome.failed else None
        if outcome.code == -signal.SIGPROF:
            by = "an endless loop"
        elif by is None and outcome.code not in {0, -signal.SIGKILL}:
            by = f"tests ending with {outcome.code}"
        print(
            f"{path}:{change.line} {change.where}: {change}: {by or 'NOT NOTICED'} "
            f"({len(outcome.ran)} tests{how}, {time.monotonic() - start:.1f} s)",
            flush=True,
        )
        return by

    def _limits(self, number: int, all_of_them: bool = False) -> _Limits:
        """The tests that call a changed function or bear its module's name, or all of them; those
        first that call it, then those of that name, then those that call others of its module."""
        path, change = self.drawn[number]
        functions = {_name(was) for was, _ in _changed_functions(path, change) or ()}
        module = f"{path.resolve()}:"

        def place(test: str) -> tuple[bool, bool, bool, float]:
            usual = self._usual[test]
            elsewhere = not any(name.startswith(module) for name in usual.calls)
            return (not calls(test), not is_named(test), elsewhere, usual.seconds)

        def calls(test: str) -> bool:
            return bool(functions & self._usual[test].calls)

        def is_named(test: str) -> bool:
            return Path(test.split("::", maxsplit=1)[0]).stem == f"test_{path.stem}"

        tests = [test for test in self._usual if all_of_them or calls(test) or is_named(test)]
        return {
            test: _ENDLESS + _TIMES * self._usual[test].seconds for test in sorted(tests, key=place)
        }


def _name(code: CodeType) -> str:
    """A function by its file and, with dots, class and name: the outermost that it stands in."""
    return f"{code.co_filename}:{code.co_qualname.split('.<locals>')[0]}"


def _called_in(profile: cProfile.Profile) -> set[str]:
    """The functions of `diagnose` that were called while a profile was taken."""
    folder = str(Path("diagnose").resolve())
    codes = [row.code for row in profile.getstats()]
    return {
        _name(code)
        for code in codes
        if isinstance(code, CodeType) and code.co_filename.startswith(folder)
    }


def _changed_functions(path: Path, change: Change) -> list[tuple[CodeType, CodeType]] | None:
    """The outermost functions that differ, as they were and are; None where a change alters what
    the module or a class does while it is read."""
    name = str(path.resolve())
    return _differing(compile(change.tree, name, "exec", dont_inherit=True), change.compiled(name))


def _differing(was: CodeType, now: CodeType) -> list[tuple[CodeType, CodeType]] | None:
    if was.co_flags & inspect.CO_OPTIMIZED:  # a function, no module or class
        return [] if was == now else [(was, now)]
    if was.co_code != now.co_code or len(was.co_consts) != len(now.co_consts):
        return None
    found = []
    for old, new in zip(was.co_consts, now.co_consts, strict=True):
        if isinstance(old, CodeType) and isinstance(new, CodeType):
            inner = _differing(old, new)
            if inner is None:
                return None
            found += inner
        elif repr(old) != repr(new):
            return None
    return found


def _read_tests_and_wait(room: str, drawn: _Drawn, asked: Connection) -> None:
    """Read a room's tests; send what they come to without a change, then, for the number of a change
    and the tests to run, what they come to with it, or None where the change needs reading anew."""
    reading = cProfile.Profile(builtins=False)

    def wait(items: list[pytest.Item]) -> None:
        reading.disable()
        called = _called_in(reading)
        functions = defaultdict(list)
        for found in gc.get_objects():
            if isinstance(found, FunctionType):
                functions[_name(found.__code__)].append(found)
        every = {item.nodeid: 0.0 for item in items}  # no limit
        asked.send(_in_a_process(lambda watching: _run(items, watching), every, calling=True))
        while True:
            number, limits = asked.recv()
            path, change = drawn[number]
            differing = _changed_functions(path, change)
            new = [
                (function, now)
                for was, now in differing or ()
                for function in functions[_name(was)]
                if function.__code__.co_firstlineno == was.co_firstlineno
            ]
            if (
                not new
                or called & {_name(was) for was, _ in differing or ()}
                or any(f.__code__.co_freevars != now.co_freevars for f, now in new)
            ):
                asked.send(None)
            else:
                asked.send(_in_a_process(functools.partial(_change_and_run, new, items), limits))

    reading.enable()
    _read_tests(room, _Instead(wait))


def _change_and_run(
    new: list[tuple[FunctionType, CodeType]], items: list[pytest.Item], watching: _Watching
) -> int:
    for function, code in new:
        function.__code__ = code
    return _run(items, watching)


def _read_and_run(room: str, path: Path, change: Change, watching: _Watching) -> int:
    """Read a room's tests with a module changed, and run them."""
    changed = change.compiled(str(path.resolve()))
    loader = importlib.machinery.SourceFileLoader
    read = loader.get_code

    def get_code(self: importlib.machinery.SourceFileLoader, name: str) -> CodeType | None:
        return changed if self.get_filename(name) == changed.co_filename else read(self, name)

    loader.get_code = get_code  # type: ignore[assignment, method-assign]
    code = 70

    def run(items: list[pytest.Item]) -> None:
        nonlocal code
        code = _run(items, watching)

    return _read_tests(room, _Instead(run)) or code


def _read_tests(room: str, plugin: _Instead) -> int:
    """Have pytest read a room's tests and hand them to a plugin."""
    os.environ |= {"CI": "true", "OPENBLAS_NUM_THREADS": "1"}
    options = ["-p", "no:cacheprovider", "-o", "addopts=", "--timeout=0", "--capture=sys"]
    options += ["--import-mode=importlib", "-m", "not long"]
    return int(pytest.main([*options, *ROOMS[room]], plugins=[plugin]))


def _run(items: list[pytest.Item], watching: _Watching) -> int:
    """Run the tests that are watched, until one fails if nothing is to be learned of the others."""
    known = {item.nodeid: item for item in items}
    asked = [known[test] for test in watching.limits if test in known]  # a name may hold a figure
    for item in asked[:1]:
        item.config.pluginmanager.register(watching)
    for item, following in zip(asked, [*asked, None][1:], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if watching.failed and not watching.calling:
            break
    return 0


def _in_a_process(
    work: Callable[[_Watching], int], limits: _Limits, calling: bool = False
) -> _Outcome:
    """What tests come to in a process of their own with temporary files of its own."""
    with tempfile.TemporaryDirectory() as folder, tempfile.NamedTemporaryFile("w+b") as said:
        child = os.fork()
        if child == 0:
            code = 70
            with contextlib.suppress(BaseException):
                os.setsid()
                resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
                tempfile.tempdir = os.environ["TMPDIR"] = folder
                _silence()
                watching = _Watching(limits, calling)
                code = work(watching)
                pickle.dump((watching.ran(), watching.failed), said)
                said.flush()
            os._exit(code)
        deadline = time.monotonic() + _HELD_UP
        while (ended := os.waitpid(child, os.WNOHANG)) == (0, 0):
            time.sleep(0.02)
            if time.monotonic() > deadline:
                os.killpg(child, signal.SIGKILL)
        said.seek(0)
        written = said.read()
    ran, failed = pickle.loads(written) if written else ({}, [])  # noqa: S301  # our own process
    return _Outcome(os.waitstatus_to_exitcode(ended[1]), ran, failed)


def _silence() -> None:
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nothing, stream)


if __name__ == "__main__":
    main()
