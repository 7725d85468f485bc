"""Bike files and names as anybody might write them: a bike that is kept, or problems with places."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_file import read_bike, write_bike
from diagnose.records.bikes.bike_input import note
from diagnose.records.store.names import good_name
from diagnose.records.store.opening import open_memory
from diagnose.records.store.times import read_date
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase

TODAY = date(2026, 5, 20)
QUIET = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.data_too_large]
GOOD = """\
bike: 1
name: Demo 250
use: sand, 82 kg
machine: {engine: petrol, size: large}
figures:
  belt-life: {figure: 12 months, read_in: "manual, page 4", date: 2026-01-02}
log:
  - {date: 2026-02-01, ride: 2 h}
  - {date: 2026-02-03, meter: "104,5", note: after the race}
  - {date: 2026-02-03, service: hours-blade}
  - {date: 2026-02-04, setting: lever-clicks, value: 4 clicks, baseline: true}
archived: true
"""
NONSENSE: st.SearchStrategy[Any] = st.one_of(
    st.sampled_from([
        None, True, 0, -1, 10**17, 1.5, "", " ", "nan", "1,000 h", "9" * 60, "-2 h", "2026-02-30", "9999-12-31",
        "0001-01-01", "2026-W01-1", "20260101", "none", "petrol", "\u0000", "\u001b[31m", "\u202e", "\U0001f3cd",
        "a" * 30_000, [], {}, [[]], {"a": 1},
    ]),
    st.text(max_size=10),
)  # fmt: skip


def mostly(*likely: Any) -> st.SearchStrategy[Any]:
    return st.integers(0, 19).flatmap(lambda draw: st.sampled_from(likely) if draw else NONSENSE)


DATES = mostly("2026-02-01", "1970-01-01", "2026-05-20")
LINES = st.one_of(
    st.fixed_dictionaries({"date": DATES, "ride": mostly("2 h", 1, "90 min")}),
    st.fixed_dictionaries(
        {"date": DATES, "meter": mostly("5", "99999 h"), "new_meter": mostly(True)}
    ),
    st.fixed_dictionaries({"date": DATES, "service": mostly("hours-blade", "months-belt")}),
    st.fixed_dictionaries(
        {"date": DATES, "setting": mostly("lever-clicks"), "value": mostly("4 clicks", 3)}
    ),
    st.fixed_dictionaries({"date": DATES, "note": NONSENSE}),
)
FILES = st.fixed_dictionaries(
    {"bike": mostly(1), "name": st.one_of(mostly("Demo"), st.text(max_size=70))},
    optional={
        "use": mostly("sand", "mud, 90 kg"),
        "machine": st.fixed_dictionaries(
            {}, optional={"engine": mostly("petrol"), "size": mostly("large")}
        ),
        "figures": st.fixed_dictionaries(
            {},
            optional={
                "belt-life": st.fixed_dictionaries(
                    {"figure": mostly("9 months"), "read_in": mostly("manual")}
                )
            },
        ),
        "log": st.lists(LINES, max_size=4),
        "archived": mostly(True, False),
    },
)


def kept_or_refused(rules: RuleBase, path: Path, raw: bytes) -> None:
    """Refused with places, or kept so that it is written and read as the same bike."""
    path.write_bytes(raw)
    try:
        name, entries = read_bike(rules, path, TODAY)
    except FileProblems as error:
        assert all(problem.line >= 1 and problem.message for problem in error.problems)
        return
    book = BikeBook(open_memory(lambda: datetime(2026, 5, 20, tzinfo=UTC)))
    book.add(name, entries)
    bike = book.read(name)
    path.write_text(write_bike(bike), encoding="utf-8")
    again = BikeBook(open_memory(lambda: datetime(2026, 5, 20, tzinfo=UTC)))
    again.add(*read_bike(rules, path, TODAY))
    assert write_bike(again.read(name)) == write_bike(bike)


def test_the_file_these_start_from_is_good(clock_pack: RuleBase, tmp_path: Path) -> None:
    kept_or_refused(clock_pack, tmp_path / "bike.yaml", GOOD.encode())
    (tmp_path / "bike.yaml").write_text(GOOD, encoding="utf-8")
    assert len(read_bike(clock_pack, tmp_path / "bike.yaml", TODAY)[1]) == 9


@settings(deadline=None, max_examples=60, suppress_health_check=QUIET)
@given(FILES)
def test_a_file_is_kept_or_refused(
    clock_pack: RuleBase, tmp_path_factory: pytest.TempPathFactory, data: dict[str, Any]
) -> None:
    folder = tmp_path_factory.getbasetemp()
    kept_or_refused(clock_pack, folder / "bike.yaml", json.dumps(data).encode())


@pytest.mark.long
@settings(deadline=None, max_examples=1200, suppress_health_check=QUIET)
@given(FILES)
def test_many_files_are_kept_or_refused(
    clock_pack: RuleBase, tmp_path_factory: pytest.TempPathFactory, data: dict[str, Any]
) -> None:
    folder = tmp_path_factory.getbasetemp()
    kept_or_refused(clock_pack, folder / "bike.yaml", json.dumps(data).encode())


@settings(deadline=None, max_examples=60, suppress_health_check=QUIET)
@given(
    st.integers(0, len(GOOD)),
    st.integers(0, 30),
    st.text("a09:-[]{}\n ,.'\"<>&*!%é\x00\t", max_size=12),
)
def test_a_garbled_file_is_kept_or_refused(
    clock_pack: RuleBase,
    tmp_path_factory: pytest.TempPathFactory,
    start: int,
    length: int,
    junk: str,
) -> None:
    folder = tmp_path_factory.getbasetemp()
    raw = (GOOD[:start] + junk + GOOD[start + length :]).encode()
    kept_or_refused(clock_pack, folder / "bike.yaml", raw)


@pytest.mark.parametrize(
    "raw", [b"\xff\xfe", b"\x00" * 100, b"x" * 3_000_000, b"[" * 100_000, b"bike: &a [*a]", b""]
)
def test_no_bike_at_all_is_refused(clock_pack: RuleBase, tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "bike.yaml").write_bytes(raw)
    with pytest.raises(FileProblems, match=r"bike\.yaml:1:\d+"):
        read_bike(clock_pack, tmp_path / "bike.yaml", TODAY)


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        "\n",
        "a" * 61,
        "a" * 10**6,
        "a\x00b",
        "\x1b[31m",
        "\ud800",
        "\u202eabc",
        "a\u200bb",
        "\u00ad",
        "\ufe0f",
        "\u0301 \u0301",
    ],
)
def test_a_name_that_cannot_be_printed_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match=r"1 to 60 letters|cannot be seen|can be seen by itself"):
        good_name(name)


def test_a_picture_made_of_several_is_told_in_words() -> None:
    family = "\U0001f468\u200d\U0001f469\u200d\U0001f467"
    with pytest.raises(BadInput, match="joins several pictures into one; leave that out"):
        good_name(family)
    assert good_name("\U0001f3cd\ufe0f") == "\U0001f3cd\ufe0f"


@pytest.mark.parametrize(
    "name", ["🏍", "Zoë", "赤い", "a  b", "İ", "ß", "'; DROP TABLE bikes;--", "%s", "[b]x[/b]"]
)
def test_any_other_name_is_kept_and_found(bikes: BikeBook, name: str) -> None:
    kept = bikes.add(name, []).name
    assert bikes.read(kept).name == kept == " ".join(name.split())
    assert bikes.read(kept.upper()).name == kept or kept.upper().casefold() != kept.casefold()
    with pytest.raises(BadInput, match="already"):
        bikes.add(kept, [])


@given(
    st.one_of(
        st.text(max_size=12),
        st.dates().map(str),
        st.sampled_from(["2026-02-30", "99999-01-01", "-1"]),
    )
)
def test_any_text_is_a_day_that_has_come_or_is_refused(text: str) -> None:
    try:
        assert read_date(text, TODAY) <= TODAY
    except BadInput as error:
        assert "2026-05-20" in str(error)
        assert str(error).isprintable()


def test_a_note_says_which_of_its_signs_cannot_be_kept() -> None:
    assert note("Zoë \U0001f3cd\ufe0f") == "Zoë \U0001f3cd\ufe0f"
    with pytest.raises(BadInput, match=r"printable: this holds U\+200D.*joins several pictures"):
        note("\U0001f468\u200d\U0001f467")
    with pytest.raises(BadInput, match=r"letters, all of them printable$"):
        note(" ")
