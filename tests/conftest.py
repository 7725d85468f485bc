"""Rule bases and cases that many tests share."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

# as many workers as cores already; threads of the sums inside would only wait for each other
os.environ["OPENBLAS_NUM_THREADS"] = os.environ.get("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import HealthCheck, settings

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Event, read_answer, read_complaint, read_target
from diagnose.case.figures import figure_of
from diagnose.findings.concluding import Findings
from rules.loading import loader
from rules.loading.loader import OFFROAD, load_pack
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tests.places import PACKS, change_pack

# CI repeats the same examples; everywhere else each run looks for new ones. How long making them
# takes is no finding: a machine may be busy.
settings.register_profile(
    "badride",
    derandomize="CI" in os.environ,
    deadline=None,
    max_examples=50,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("badride")

# the tests use nobody's own settings, and write no log
os.environ["BADRIDE_SETTINGS"] = os.devnull + "/none"
os.environ["BADRIDE_LOG"] = "off"


_LONG_TEST = 1200.0  # seconds


class _FailuresAtOnce:
    """Says at once which test failed and why, so that a run that is broken off has said it too."""

    def __init__(self, config: pytest.Config) -> None:
        self._config = config

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        terminal = self._config.pluginmanager.get_plugin("terminalreporter")
        if report.failed and terminal is not None:
            terminal.write_line(f" {report.nodeid} failed in its {report.when}:")
            terminal.write_line(report.longreprtext[-4000:])


def pytest_configure(config: pytest.Config) -> None:
    """In CI, say failures at once."""
    if "CI" in os.environ and not hasattr(config, "workerinput"):
        config.pluginmanager.register(_FailuresAtOnce(config))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Give tests marked `long` more time."""
    for item in items:
        if item.get_closest_marker("long"):
            item.add_marker(pytest.mark.timeout(_LONG_TEST))


def pytest_collection_finish(session: pytest.Session) -> None:
    """Collect garbage seldom in workers: going through all that was loaded takes a quarter of the time.

    Timings are taken in one process, without workers, and are left alone.
    """
    if hasattr(session.config, "workerinput"):
        gc.collect()
        gc.freeze()
        gc.set_threshold(50_000, 20, 50)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Leave pictures that no test used to the main process: finding them takes a worker long."""
    if hasattr(session.config, "workerinput"):
        session.config.pluginmanager.unregister(name="syrupy")


@pytest.fixture(autouse=True, scope="session")
def _shipped_pack_loaded_once(offroad: RuleBase) -> Iterator[None]:
    """Commands load the pack that ships for every test; nothing ever changes one that is loaded."""
    load = loader.load_packs

    def load_once(folders: Sequence[Path]) -> RuleBase:
        return offroad if tuple(folders) in ((), (OFFROAD,)) else load(folders)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(loader, "load_packs", load_once)
        yield


@pytest.fixture(scope="session")
def mower() -> RuleBase:
    """A small pack about another machine."""
    return load_pack(PACKS / "mower")


@pytest.fixture(scope="session")
def offroad() -> RuleBase:
    """The pack that ships."""
    return load_pack(OFFROAD)


@pytest.fixture(scope="session")
def mower_assessor(mower: RuleBase) -> Assessor:
    return Assessor(mower)


@pytest.fixture(scope="session")
def offroad_assessor(offroad: RuleBase) -> Assessor:
    return Assessor(offroad)


MakeCase = Callable[..., Case]


@pytest.fixture(scope="session")
def make_case() -> MakeCase:
    """`make_case(rules, "harsh/front", tyre_gauge="25 psi")`; `_` in a name stands for `-`. With
    `manual` the figures of the rule base, and those of `PRINTED`, are the bike's own."""

    def make(
        rules: RuleBase,
        *complaints: str,
        machine: dict[str, str] | None = None,
        manual: bool = False,
        **answers: str,
    ) -> Case:
        events: list[Event] = [read_complaint(rules, text) for text in complaints]
        events += [
            read_answer(rules, name.replace("_", "-"), text) for name, text in answers.items()
        ]
        case = Case(machine or {}, {}, tuple(events))
        return replace(case, targets=manual_of(rules, case)) if manual else case

    return make


PRINTED = {"upper-clamp-torque": "17 N·m", "lower-clamp-torque": "12 N·m"}
"""Figures of a bike whose manual the tests have at hand, where it prints others than usual."""


def manual_of(rules: RuleBase, case: Case) -> dict[str, Quantity]:
    """Every figure of the bike of a case, as if read in its manual."""
    usual = {spec: figure_of(rules, case, spec).value for spec in rules.specs}
    printed = [read_target(rules, *item) for item in PRINTED.items() if item[0] in rules.specs]
    return {**usual, **dict(printed)}


@pytest.fixture(scope="session")
def conclude(offroad_assessor: Assessor, make_case: MakeCase) -> Callable[..., Findings]:
    """`conclude(front_tyre_gauge="25 psi")` on a full-size bike whose manual is at hand."""

    def run(**answers: str) -> Findings:
        return offroad_assessor.model.findings.conclude(
            make_case(offroad_assessor.rules, manual=True, **answers)
        )

    return run


@pytest.fixture
def edited_pack(tmp_path: Path) -> Callable[..., Path]:
    """A copy of the mower pack with one piece of text replaced by another."""

    def edit(old: str, new: str, pack: str = "mower") -> Path:
        folder = tmp_path / "edited"
        folder.mkdir(exist_ok=True)
        shutil.copyfile(PACKS / pack / "pack.yaml", folder / "pack.yaml")
        return change_pack(folder, (old, new))

    return edit
