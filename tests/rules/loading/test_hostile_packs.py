"""Packs are data: whatever stands in a folder, loading it ends with a rule base or with problems that
name a place, within bounded memory and processor time, and reads nothing outside the folder."""

from __future__ import annotations

import ast
import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rules.loading.loader import load_packs
from rules.loading.pack_files import files_beside
from rules.problems import FileProblems
from tests.places import MOWER, ROOT

TEXT = (MOWER / "pack.yaml").read_text(encoding="utf-8")
HEAD = 'pack: {id: odd, title: Odd, version: "1", format: 1, about: Invented., builds_on: mower}\n'
SOURCE = "sources: {s: {kind: memory, title: invented}}\n"
MEMORY = 1_200_000_000  # bytes of address space, the interpreter and its libraries counted
SECONDS = 60  # of processor time

# loads and reviews each folder named, and says in one line how that ended
CHILD = """
import sys
from pathlib import Path
from diagnose.authoring.pack_review import review_packs
from rules.problems import BadInput
mower = Path(sys.argv[1])
for folder in sys.stdin.read().splitlines():
    try:
        doubts = review_packs((mower, Path(folder)))
    except BadInput as error:
        text = str(error)
        assert text and len(text) < 200_000, len(text)
        said = "refused " + text[:2000]
    else:
        said = f"loaded, {len(doubts)} doubts"
    print(folder, repr(said), sep="\\t", flush=True)
"""


def limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))


def judged(folders: Iterable[Path]) -> dict[str, str]:
    """What a fresh process with limits says of each folder, by its name."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(
        [sys.executable, "-c", CHILD, str(MOWER)],
        input="\n".join(map(str, folders)),
        capture_output=True,
        text=True,
        preexec_fn=limit,
        env=environment,
        timeout=300,
        check=False,
    )
    rows = [row.split("\t") for row in done.stdout.splitlines()]
    last = rows[-1][0] if rows else "none"
    assert done.returncode == 0, f"died after {last}: {done.stderr[-2000:]}"
    return {Path(folder).name: ast.literal_eval(said) for folder, said in rows}


def cause(number: int, shows: str, correction: str = "new-plug") -> str:
    return (
        f"  c{number}: {{title: C, group: g, what: W, per_100: 0.01, shows: {{{shows}}}, "
        f"shows_source: s, correction: {correction}, source: s}}\n"
    )


def causes(count: int, shows: str, correction: str = "new-plug") -> str:
    return SOURCE + "causes:\n" + "".join(cause(n, shows, correction) for n in range(count))


def every_way(parts: int, width: int) -> str:
    """A condition of `width` to the power of `parts` alternatives."""
    any_of = f"{{any: [{', '.join([YES] * width)}]}}"
    when = f"{{all: [{', '.join([any_of] * parts)}]}}"
    return SOURCE + f"rules: {{r: {{when: {when}, then: {{caution: plug-lead}}, source: s}}}}\n"


YES = '{fact: hit-a-stone, is: "yes"}'


def many_links() -> str:
    places = ", ".join(f"p{n}" for n in range(20))
    kinds = "".join(
        f"  k{n}: {{title: K, places: [{places}], background: unlikely, source: s}}\n"
        for n in range(90)
    )
    shows = ", ".join(f"k{n}: likely" for n in range(90))
    return f"{causes(480, shows)}complaints:\n{kinds}"


FOR_EACH = f"for_each: [{', '.join('{a: %s}' % ('x' * 190 + str(n)) for n in range(20))}]"
NASTY: dict[str, tuple[str, str]] = {
    "a hundred thousand entries": (
        SOURCE + "cautions:\n" + "".join(f"  c{n}: {{}}\n" for n in range(100_000)), "too-large",
    ),
    "deep lists": (SOURCE + "causes: " + "[" * 900, "too-deep"),
    "very deep lists": (SOURCE + "causes: " + "[" * 100_000, "24 levels are the most"),
    "deep mappings": (SOURCE + "causes: " + "{a: " * 50_000, "too-deep"),
    "aliases of aliases": (
        "a: &a [x, x]\n" + "".join(f"{c}: &{c} [*{p}, *{p}, *{p}]\n" for p, c in zip("abcdefgh", "bcdefghi", strict=True)), "alias",
    ),
    "a merge key": ("base: &b {x: 1}\ncauses: {<<: *b}\n", "alias"),
    "a tag that makes an object": ("causes: !!python/object/apply:os.system [echo]\n", "tag"),
    "a key of a megabyte": (f"? {'k' * 1_000_000}\n: 1\n", "key"),
    "a text of a megabyte": (f"causes: {'t' * 1_000_000}\n", "too-large"),
    "a million small items": ("causes: [" + "1," * 900_000 + "1]\n", "too-large"),
    "copies of copies": (
        SOURCE + f"cautions: {{<a>: {{{FOR_EACH}, text: '{'<a>' * 3000}', source: s}}}}\n", "for-each",
    ),
    "copies of a long list": (
        SOURCE + f"corrections: {{<a>: {{{FOR_EACH}, steps: [{', '.join(['1'] * 90_000)}]}}}}\n", "for-each",
    ),
    "a condition with half a million ways": (every_way(19, 2), "524288 alternatives"),
    "a condition that looks at everything": (every_way(1, 3000), "at most 40"),
    "every reference off by a letter": (causes(480, "no-strat: likely", "new-plugs"), "did you mean"),
    "causes beyond all need": (causes(3000, "no-start: likely"), "over 2000 entries"),
    "a hundred thousand pairs that nothing tells apart": (causes(490, "no-start: likely"), ""),
    "as many links as fit in a file": (many_links(), "over 100000 links"),
    "more states than anything has": (
        SOURCE + f"observations: {{o: {{kind: inspection, ask: O, minutes: 1, source: s, states: {{{', '.join(f's{n}: S' for n in range(5000))}}}}}}}\n", "at most 20",
    ),
    "more rules than the engine holds": (
        SOURCE + "rules:\n" + "".join(f"  r{n}: {{when: {YES}, then: {{caution: plug-lead}}, source: s}}\n" for n in range(4000)), "",
    ),
    "a number of a hundred thousand digits": (
        SOURCE + f"causes: {{c: {{per_100: {'9' * 15_000}}}}}\n", "per_100",
    ),
    "changes of changes": (
        SOURCE + "changes: {causes: {no-fuel: {set: " + "{a: " * 15 + "1" + "}" * 15 + ", reason: R, source: s}}}\n", "not known here",
    ),
}  # fmt: skip


def as_name(case: str) -> str:
    return case.replace(" ", "-")


def _fill(folder: Path) -> None:
    for number in range(6000):
        (folder / f"f{number}.yaml").write_text("# nothing\n", encoding="utf-8")


def _bulky(folder: Path) -> None:
    with (folder / "big.yaml").open("wb") as file:
        file.truncate(3_000_000_000)


def _many_sections(folder: Path) -> None:
    row = "cautions: {" + ", ".join(f"c{n}: x" for n in range(30_000)) + "}\n"
    for number in range(20):
        (folder / f"f{number}.yaml").write_text(row, encoding="utf-8")


FOLDERS: dict[str, tuple[Callable[[Path], object], str]] = {
    "a link to a file outside": (lambda f: (f / "x.yaml").symlink_to("/etc/hostname"), "outside"),
    "a link to a device": (lambda f: (f / "x.yaml").symlink_to("/dev/zero"), "outside"),
    "a link that leads nowhere": (lambda f: (f / "x.yaml").symlink_to(f / "none"), "unreadable"),
    "a link that leads to itself": (lambda f: (f / "x.yaml").symlink_to(f / "x.yaml"), ""),
    "a folder that leads back": (lambda f: (f / "loop").symlink_to(f), ""),
    "a folder that leads out": (lambda f: (f / "out").symlink_to("/usr"), ""),
    "a pipe nobody writes to": (lambda f: os.mkfifo(f / "x.yaml"), "this is not a file"),
    "a folder called like a file": (lambda f: (f / "x.yaml").mkdir(), ""),
    "six thousand files": (_fill, "over 200 files"),
    "a file of three gigabytes": (_bulky, "split the file"),
    "many large files": (_many_sections, "too-large"),
    "zeros": (lambda f: (f / "x.yaml").write_bytes(b"causes: \x00\x00"), "yaml"),
    "no UTF-8": (lambda f: (f / "x.yaml").write_bytes(b"causes: \xff\xfe"), "not-utf-8"),
    "UTF-16": (lambda f: (f / "x.yaml").write_text("causes: 1", encoding="utf-16"), "not-utf-8"),
    "half a surrogate": (lambda f: (f / "x.yaml").write_bytes(b"causes: \xed\xa0\x80"), "not-utf-8"),
}  # fmt: skip


@pytest.mark.long
def test_what_is_nasty_is_told_within_bounds_and_leads_nowhere_else(tmp_path: Path) -> None:
    """All in one process, so that what one leaves behind counts against the next."""
    expected = {case: said for cases in (NASTY, FOLDERS) for case, (_, said) in cases.items()}
    for case in expected:
        (tmp_path / as_name(case)).mkdir()
        text = NASTY[case][0] if case in NASTY else ""
        (tmp_path / as_name(case) / "pack.yaml").write_text(HEAD + text, encoding="utf-8")
        if case in FOLDERS:
            FOLDERS[case][0](tmp_path / as_name(case))
    verdicts = judged(tmp_path / as_name(case) for case in expected)
    wrong = {
        case: verdicts[as_name(case)]
        for case, said in expected.items()
        if said not in verdicts[as_name(case)]
        or (said and not verdicts[as_name(case)].startswith("refused"))
    }
    assert wrong == {}
    outside = Path("/etc/hostname").read_text(encoding="utf-8").strip()
    assert not any(outside in verdict for verdict in verdicts.values())


# -- garbled at random ---------------------------------------------------------------------------

JUNK = st.text(alphabet="a0:-[]{}\n ,'\"<>&*!|%é\x00\x85\u2028\ud7ff", max_size=30)
YAML = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=8) | st.sampled_from(["no-fuel", "yes", "likely", "s", "<a>"]),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(
        st.sampled_from(["set", "take_out", "reason", "source", "causes", "no-fuel", "shows", "when", "all", "not", "fact", "is", "for_each", "title", "policy", "rules", "stale-chain", "<a>"]),
        inner,
        max_size=4,
    ),
    max_leaves=20,
)  # fmt: skip


def _written(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def ends_well(folder: Path) -> None:
    try:
        load_packs((MOWER, folder))
    except FileProblems as error:
        assert all(p.file and p.line >= 1 and p.column >= 1 and p.message for p in error.problems)


@settings(deadline=None, max_examples=120)
@given(
    section=st.sampled_from(
        [
            "changes",
            "switched_off",
            "causes",
            "rules",
            "observations",
            "findings",
            "policy",
            "before_ride",
        ]
    ),
    body=YAML,
)
def test_any_data_in_a_section_ends_in_words(
    tmp_path_factory: pytest.TempPathFactory, section: str, body: object
) -> None:
    folder = tmp_path_factory.mktemp("odd")
    text = HEAD + SOURCE + f"{section}: {_written(body)}\n"
    (folder / "a.yaml").write_text(text, encoding="utf-8", errors="surrogatepass")
    ends_well(folder)


@settings(deadline=None, max_examples=60)
@given(start=st.integers(0, len(TEXT) - 1), length=st.integers(0, 60), junk=JUNK)
def test_a_garbled_pack_on_another_ends_in_words(
    tmp_path_factory: pytest.TempPathFactory, start: int, length: int, junk: str
) -> None:
    folder = tmp_path_factory.mktemp("garbled")
    garbled = TEXT[:start] + junk + TEXT[start + length :]
    (folder / "a.yaml").write_text(garbled.replace("id: mower", "id: odd"), encoding="utf-8")
    ends_well(folder)


@settings(deadline=None, max_examples=60)
@given(raw=st.binary(max_size=200))
def test_any_bytes_end_in_words(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    folder = tmp_path_factory.mktemp("bytes")
    (folder / "a.yaml").write_bytes(raw)
    ends_well(folder)


def test_worked_cases_lead_nowhere_else_either(tmp_path: Path) -> None:
    (tmp_path / "worked_cases").mkdir()
    inside, outside = (tmp_path / "worked_cases" / name for name in ("a.yaml", "b.yaml"))
    inside.write_text("case: 1\n", encoding="utf-8")
    assert files_beside(tmp_path, "worked_cases") == [inside]
    assert files_beside(tmp_path, "training", "exams") == []
    outside.symlink_to("/etc/hostname")
    with pytest.raises(FileProblems, match="does not lead to a file of this pack"):
        files_beside(tmp_path, "worked_cases")


@pytest.mark.parametrize("text", ["hello", "- a", "12", "null", "'x'"])
def test_a_later_file_that_is_no_mapping_is_named(tmp_path: Path, text: str) -> None:
    """Also where an earlier file has already said who the pack is."""
    (tmp_path / "pack.yaml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "z.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(
        FileProblems, match=r"z\.yaml:1:1: error\[shape\]: a pack file is a mapping"
    ):
        load_packs((tmp_path,))


@pytest.mark.parametrize("letter", ["\\e", "\\a", "\\x9b", "\\u202e", "\\u2066", "\\0", "\\r"])
def test_a_text_that_would_steer_a_terminal_is_refused(tmp_path: Path, letter: str) -> None:
    (tmp_path / "pack.yaml").write_text(TEXT + f'\nextra: "a{letter}b"\n', encoding="utf-8")
    with pytest.raises(FileProblems, match=r"error\[control\]: a text must not hold"):
        load_packs((tmp_path,))
