"""Whatever is written after a command: an answer, or a refusal that names what it refuses."""

from __future__ import annotations

import os
import random
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators import calculators
from diagnose.calculators.model import Input
from diagnose.harshness.values import PLACES, VALUES, Value
from tests import places
from tui.cli.main import main

MOWER = str(places.MOWER)
NO_NUMBER = re.compile(r"\b(?:nan|inf|infinity)\b", re.IGNORECASE)
NONSENSE = st.one_of(
    st.sampled_from([
        "", " ", "-", "--", "nan", "inf", "-inf psi", "1e400", "1,000", "1.000,5 mm", "9" * 60, "9" * 5000,
        "٣ psi", "\u200f13 psi", "½", "0", "-0", "-1", "0,0001", "13 psi", "13 mm", "13 °C", "13 clicks",
        "\x1b[31m", "\u202e5", "🏍️", "a=b", "--help", "1 200", "%s", "[b]5[/b]",
    ]),
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=12),
)  # fmt: skip


def run(*args: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(main, args, input=typed)


def answered(result: Result, args: list[str], known: Iterable[str]) -> None:
    """It gave figures, or refused in words: an option or a value that was given, or what must hold."""
    assert result.exception is None or isinstance(result.exception, SystemExit), args
    if result.exit_code == 0:
        assert not NO_NUMBER.search(result.stdout.replace(repr(args), "")), args
        return
    assert result.exit_code == 2, args
    assert result.stdout == "", args
    given_words = ["must", *(arg.strip().lstrip("-") for arg in args if arg.strip())]
    given_words += [part for name in known for part in name.split("-") if len(part) > 2]
    said = result.stderr
    assert any(word[:40] in said or repr(word[:40])[1:-1] in said for word in given_words), (
        args,
        said,
    )
    assert not set(said) & set("\x1b\x07\u202e")


def sizes(possible: tuple[float, float], unit: str) -> st.SearchStrategy[str]:
    """What an input can be, the ends most of all, and a little beyond."""
    low, high = possible
    ends = st.sampled_from([low, high, (low + high) / 2, low - 1e-9, high + 1e-9, 0.0])
    return st.one_of(ends, st.floats(low, high)).map(lambda size: f"{size:.12f} {unit}".strip())


def of_value(value: Value) -> st.SearchStrategy[str]:
    return st.one_of(sizes(value.possible, value.unit), NONSENSE)


def of_input(item: Input) -> st.SearchStrategy[str]:
    if item.words:
        return st.one_of(st.sampled_from(item.words), NONSENSE)
    if item.possible is None or item.unit is None:
        return st.one_of(st.floats(-1e6, 1e6).map(str), NONSENSE)
    likely = sizes(item.possible, item.unit)
    return st.one_of(likely, likely, likely, NONSENSE)


NAMED = {**VALUES, **PLACES}
HARSH = st.lists(
    st.sampled_from(sorted(NAMED)).flatmap(lambda n: st.tuples(st.just(n), of_value(NAMED[n]))),
    min_size=1,
    max_size=6,
)


def harsh_args(given_values: list[tuple[str, str]], target: list[tuple[str, str]]) -> list[str]:
    args = [part for name, text in given_values for part in (f"--{name}", text)]
    return args + [part for name, text in target for part in ("--target", f"{name}={text}")]


@settings(max_examples=12, deadline=None)
@given(HARSH, HARSH.map(lambda pairs: pairs[:1]), st.booleans())
def test_harsh_answers_or_refuses(
    values: list[tuple[str, str]], target: list[tuple[str, str]], as_json: bool
) -> None:
    args = ["--no-ask", *harsh_args(values, target), *(["--json"] if as_json else [])]
    answered(run("harsh", *args), args, NAMED)


@pytest.mark.long
@settings(max_examples=400, deadline=None)
@given(HARSH, HARSH.map(lambda pairs: pairs[:2]))
def test_harsh_answers_or_refuses_many(
    values: list[tuple[str, str]], target: list[tuple[str, str]]
) -> None:
    args = ["--no-ask", *harsh_args(values, target), "--json"]
    answered(run("harsh", *args), args, NAMED)


@st.composite
def calculations(draw: st.DrawFn) -> list[str]:
    name = draw(st.sampled_from(sorted(calculators())))
    inputs = calculators()[name].inputs
    args = [name]
    if name == "units":
        return [name, "--", draw(NONSENSE)]
    for item in inputs:
        needed = item.default is None and not item.optional
        if draw(st.integers(0, 9)) < (9 if needed else 4):
            for _ in range(draw(st.integers(1, 4)) if item.many else 1):
                args += [f"--{item.name}", draw(of_input(item))]
    return args


@settings(max_examples=150, deadline=None)
@given(calculations())
def test_calc_answers_or_refuses(args: list[str]) -> None:
    answered(run("calc", *args), args, [item.name for item in calculators()[args[0]].inputs])


@pytest.mark.long
@settings(max_examples=2500, deadline=None)
@given(calculations())
def test_calc_answers_or_refuses_many(args: list[str]) -> None:
    answered(run("calc", *args), args, [item.name for item in calculators()[args[0]].inputs])


# -- every command -------------------------------------------------------------------------------

# run for ever, for minutes, or draw for seconds
LONG = {"serve", "screen", "picture", "rules trial", "rules sensitive", "rules handbook"}
WORDS = [
    "", " ", "-1", "0", "1", "2", "99999999999999999999", "nan", "1e400", "١٣", "a" * 20_000, "a\x7fb",
    "\x1b[31m", "\udcff", "🏍️", "\u202ex", "..", "no-dir/x", "%s%n", "{}", "=", "a=b=c", "tank-look=stale",
    "plug-gap-reading=0.7 mm", "plug-gap=0.7 mm", "engine=petrol", "'; DROP TABLE cases;--", "-", "\n",
    "Demo", "Ann", "no-start", "new-plug", "stale-fuel", "2026-01-01", "0000-00-00", "9999-12-31",
    "2026-02-30", "gone", "25 psi", "1,000", "case.yaml", "torn.sqlite", "good.sqlite", "bike.yaml", "folder",
    "out.md", "out.json", "out.csv", "sqlite://", "no-such://", MOWER, "fill-up", "short", "10%", "[/]",
]  # fmt: skip
LIKELY = {
    "name": ["Demo", "Ann", "short"], "number": ["1"], "trainee": ["Ann"], "names": ["Ann"], "bike": ["Demo"],
    "file": ["case.yaml", "bike.yaml", "good.sqlite", "new.yaml"], "on": ["2026-01-01"], "hours": ["2 h"],
    "figure": ["plug-gap=0.8 mm"], "setting": ["plug-gap-reading=0.7 mm"], "machine": ["engine=electric"],
    "meter": ["5", "900"], "correction": ["fill-up", "new-plug"], "cause": ["stale-fuel"], "pack": [MOWER],
    "report": ["gone", "same"], "read_in": ["manual"], "case": ["1"], "packs": [MOWER], "folders": [MOWER],
}  # fmt: skip
TYPED = [
    "",
    "\n\n\n",
    "1\n2\n?\nx\nb\nw\n",
    "dead\n1\n1\ny\nn\n",
    "\x1b[31m\n\x00\n",
    "j hello\nm\n1\n",
]


def leaves(group: click.Group, path: str = "") -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        where = f"{path} {name}".strip()
        if isinstance(command, click.Group):
            yield from leaves(command, where)
        elif command is not None and where not in LONG and not where.startswith(("calc", "harsh")):
            yield where, command


class Scribe:
    """Writes anything after a command, now and then what it wants."""

    def __init__(self, seed: int) -> None:
        self._chance = random.Random(seed)

    def words(self, command: click.Command) -> list[str]:
        args: list[str] = []
        often = 0.5 if len(command.params) < 5 else 0.2
        for item in command.params:
            if not isinstance(item, click.Option):
                if self._chance.random() < 0.93:
                    args.append(self._word(item))
            elif "--help" not in item.opts and self._chance.random() < often:
                args += [item.opts[0]] if item.is_flag else [item.opts[0], self._word(item)]
        return args

    def typed(self) -> str:
        return self._chance.choice(TYPED)

    def _word(self, item: click.Parameter) -> str:
        if isinstance(item.type, click.Choice) and self._chance.random() < 0.85:
            return str(self._chance.choice(list(item.type.choices)))
        if item.name in LIKELY and self._chance.random() < 0.7:
            return self._chance.choice(LIKELY[item.name])
        return self._chance.choice(WORDS)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a store, files and half a file; nothing is found or written elsewhere."""
    monkeypatch.chdir(tmp_path)
    for name, value in {
        "HOME": tmp_path,
        "BADRIDE_STORE": tmp_path / "s.sqlite",
        "BADRIDE_PACKS": MOWER,
    }.items():
        monkeypatch.setenv(name, str(value))
    for name in [name for name in os.environ if name.startswith("XDG_")]:
        monkeypatch.delenv(name)
    (tmp_path / "case.yaml").write_text("case: 1\ncomplaints: [no-start]\n", encoding="utf-8")
    (tmp_path / "bike.yaml").write_text("bike: 1\nname: Other\n", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    run("bike", "add", "Demo")
    run("ask", "--bike", "Demo", typed="dead\n1\n2\n")
    run("trainee", "add", "Ann")
    assert run("backup", "good.sqlite").exit_code == 0
    (tmp_path / "torn.sqlite").write_bytes((tmp_path / "good.sqlite").read_bytes()[:5000])
    return tmp_path


def every_command(seed: int) -> None:
    scribe = Scribe(seed)
    for where, command in leaves(main):
        args = [*where.split(), *scribe.words(command)]
        result = run(*args, typed=scribe.typed())
        assert result.exception is None or isinstance(result.exception, SystemExit), (seed, args)
        assert result.exit_code in (0, 1, 2), (seed, args)
        assert result.exit_code == 0 or result.output.strip(), (seed, args)
        if not result.stdout.startswith("%PDF"):
            own = "".join(args)  # the name of the file that was written
            assert not set(result.output) & set("\x1b\x07\u202e") - set(own), (seed, args)


def test_every_command_answers_or_refuses(shop: Path) -> None:
    every_command(1)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10, 40))
def test_every_command_answers_or_refuses_many_times(shop: Path, seed: int) -> None:
    every_command(seed)
