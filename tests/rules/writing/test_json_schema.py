"""The JSON Schema that editors complete and check pack files by."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from rules.language.sections import SINGLES, TABLES
from rules.loading.pack_files import OFFROAD, pack_documents
from rules.writing.json_schema import pack_schema
from rules.yaml_source import read_yaml_bytes, read_yaml_file
from tests.places import MOWER

FILES = [
    *sorted(OFFROAD.glob("*.yaml")),
    *sorted((OFFROAD / "listening").glob("*.yaml")),
    MOWER / "pack.yaml",
]


@pytest.fixture(scope="module")
def validator() -> Any:
    import jsonschema  # each worker would spend two seconds on it

    schema = pack_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_file_that_loads_validates(validator: Any, path: Path) -> None:
    errors = [error.message for error in validator.iter_errors(read_yaml_file(path).data)]
    assert errors == []


def test_all_files_of_the_packs_are_tried() -> None:
    loaded = {document.file for document in pack_documents(OFFROAD)}
    assert loaded == {
        f"offroad/{path.relative_to(OFFROAD)}" for path in FILES if OFFROAD in path.parents
    }


SHOP = """
pack: {id: shop, title: Shop, version: "1", format: 1, about: Invented., builds_on: mower}
sources: {cards: {kind: memory, title: invented}}
changes:
  causes:
    no-fuel: {set: {per_100: 3, shows: {no-start: likely}}, reason: So., source: cards}
    <end>-loose: {for_each: [{end: left}], take_out: {shows: noise}, reason: So., source: cards}
  findings: {lean: {set: {computed: {off_inputs: 2}}, reason: So., source: cards}}
  policy: {set: {ride_minutes: 3}, reason: So., source: cards}
switched_off: {causes: {battery-flat: {reason: So., source: cards}}}
"""


def test_changes_and_switch_offs_validate(validator: Any) -> None:
    validator.validate(read_yaml_bytes(SHOP.encode(), "shop").data)


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("title: Shop", "titel: Shop", ["pack"]),
        ("format: 1", "format: 2", ["pack", "format"]),
        ("sources:", "source:", []),
        ("kind: memory", "kind: hearsay", ["sources", "cards", "kind"]),
        ("id: shop", "id: Our Shop", ["pack", "id"]),
        ("per_100: 3", "per_10: 3", ["changes", "causes", "no-fuel", "set"]),
        ("per_100: 3", "per_100: 99", ["changes", "causes", "no-fuel", "set", "per_100"]),
        (", reason: So., source: cards}\n    <end>", ", source: cards}\n    <end>", ["changes", "causes", "no-fuel"]),
        ("ride_minutes: 3", "ride_minutes: soon", ["changes", "policy", "set", "ride_minutes"]),
        ("switched_off: {causes", "switched_off: {cautions", ["switched_off"]),
        ("battery-flat: {reason: So., ", "battery-flat: {", ["switched_off", "causes", "battery-flat"]),
    ],
)  # fmt: skip
def test_a_mistake_does_not(validator: Any, old: str, new: str, where: list[str]) -> None:
    assert old in SHOP
    wrong = read_yaml_bytes(SHOP.replace(old, new, 1).encode(), "shop").data
    assert where in [list(error.absolute_path) for error in validator.iter_errors(wrong)]


def test_every_section_and_field_can_be_completed() -> None:
    schema = pack_schema()
    for name, model in {**TABLES, **SINGLES}.items():
        assert name in schema["properties"]
        fields = {info.alias or field for field, info in model.model_fields.items()}
        assert fields <= set(schema["$defs"][model.__name__]["properties"])
