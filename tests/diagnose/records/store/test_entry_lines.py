"""Entries of journals as text: what is written is read, and what cannot be read is refused in words."""

from __future__ import annotations

import json
from typing import Annotated, Literal

import pytest
from pydantic import Field, TypeAdapter

from diagnose.records.store.entry_lines import FORMAT, Amount, EntryPart, read_with, write_entry
from diagnose.records.store.store_problems import DamagedStore, NewerStore, StoreProblem
from rules.units.quantities import Quantity


class Heard(EntryPart):
    kind: Literal["heard"] = "heard"


class Seen(EntryPart):
    kind: Literal["seen"] = "seen"
    what: str
    gap: Amount | None = None


class Set(EntryPart):
    kind: Literal["set"] = "set"
    to: Annotated[int | float, Field(union_mode="left_to_right")]
    on: Annotated[Seen | Heard, Field(discriminator="kind")] | None = None


SHAPE: TypeAdapter[Seen | Set] = TypeAdapter(Annotated[Seen | Set, Field(discriminator="kind")])


def test_what_is_written_is_read() -> None:
    """On one line, in letters as people write them, without what was not said."""
    seen = Seen(what="Zündkerze\n½", gap=Amount.of(Quantity(0.6, "mm")))
    line = write_entry(seen)
    assert "\n" not in line
    assert "Zündkerze" in line and "½" in line
    assert json.loads(line)["format"] == FORMAT == 1
    read = read_with(SHAPE, line, "entry 1")
    assert read == seen
    assert isinstance(read, Seen) and read.gap is not None
    assert read.gap.quantity() == Quantity(0.6, "mm")
    assert json.loads(write_entry(Set(to=2))) == {"format": 1, "to": 2, "kind": "set"}


@pytest.mark.parametrize("version", [1, 0])
def test_an_entry_of_this_format_or_an_older_one_is_read(version: int) -> None:
    text = json.dumps({"format": version, "kind": "set", "to": 3})
    assert read_with(SHAPE, text, "entry 1") == Set(to=3)


LONG = '{"kind": "seen", "what": "' + "a" * 80


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        (LONG, DamagedStore, f"entry 4 cannot be read: {LONG[:60]!r}; nothing was changed"),
        ("[1]", DamagedStore, "entry 4 cannot be read: '[1]'; nothing was changed"),
        ("7", DamagedStore, "entry 4 cannot be read: '7'; nothing was changed"),
        ("null", DamagedStore, "entry 4 cannot be read: 'null'; nothing was changed"),
        (
            '{"kind": "set", "to": 1}',
            DamagedStore,
            'entry 4 cannot be read: \'{"kind": "set", "to": 1}\'; nothing was changed',
        ),
        (
            "[" * 100_000,
            DamagedStore,
            f"entry 4 cannot be read: {'[' * 60!r}; nothing was changed",
        ),
        (
            '{"format": 2, "kind": "set", "to": 1}',
            NewerStore,
            "entry 4 was written by a newer badride (format 2; this one reads up to 1); nothing was"
            " changed",
        ),
        (
            '{"format": "1", "kind": "set", "to": 1}',
            NewerStore,
            "entry 4 was written by a newer badride (format 1; this one reads up to 1); nothing was"
            " changed",
        ),
        (
            '{"format": 1, "kind": "felt"}',
            NewerStore,
            "entry 4 is of kind 'felt', which this badride does not know; nothing was changed. A"
            " newer one may have written it",
        ),
        (
            '{"format": 1}',
            NewerStore,
            "entry 4 is of kind None, which this badride does not know; nothing was changed. A"
            " newer one may have written it",
        ),
        (
            '{"format": 1, "kind": "set"}',
            DamagedStore,
            "entry 4 is not as it should be at set.to: Field required",
        ),
        (
            '{"format": 1, "kind": "seen", "what": "a", "gap": {"value": 1, "unit": 2}}',
            DamagedStore,
            "entry 4 is not as it should be at seen.gap.unit: Input should be a valid string",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(
    text: str, kind: type[StoreProblem], message: str
) -> None:
    with pytest.raises(StoreProblem) as caught:
        read_with(SHAPE, text, "entry 4")
    assert type(caught.value) is kind
    assert str(caught.value) == message


def test_a_part_of_an_unknown_kind_is_damage_and_no_newer_entry() -> None:
    with pytest.raises(DamagedStore, match=r"entry 4 is not as it should be at set\.on: "):
        read_with(SHAPE, '{"format": 1, "kind": "set", "to": 1, "on": {"kind": "no"}}', "entry 4")
