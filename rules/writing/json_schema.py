"""The shape of a pack file as a JSON Schema, for editors to complete and check while typing.

Meaning (what names what, units, strengths on the scale) is beyond it: see `loading.references`.
JSON Schema: Draft 2020-12, A. Wright, H. Andrews, B. Hutton, G. Dennis, 2022.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from rules.language.sections import (
    CHANGED_SINGLES,
    CHANGES,
    SINGLES,
    SWITCHABLE,
    SWITCHED_OFF,
    TABLES,
)
from rules.loading.pack_changes import WHOLE, ChangedEntry, SwitchedOffEntry
from rules.loading.templates import LONGEST_WORD, MOST_ROWS

Schema = dict[str, Any]

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_REF = "#/$defs/"
# an id, or part of one with <slots> that for_each fills
_SLOTTED = "(?:[a-z0-9-]|<[A-Za-z_]+>)+"
_ID_KEY = {"pattern": f"^{_SLOTTED}$", "maxLength": 200}
_FOR_EACH = {
    "description": "Let the entry stand once per row, with <name> replaced everywhere.",
    "type": "array",
    "minItems": 1,
    "maxItems": MOST_ROWS,
    "items": {
        "type": "object",
        "additionalProperties": {"type": "string", "maxLength": LONGEST_WORD},
    },
}


def pack_schema() -> Schema:
    """The schema of any file of a pack."""
    models: list[type[BaseModel]] = [*SINGLES.values(), *TABLES.values()]
    models += [ChangedEntry, SwitchedOffEntry]
    _, made = models_json_schema([(model, "validation") for model in models], title="A pack file")
    defs: dict[str, Schema] = {name: _with_slots(part) for name, part in made["$defs"].items()}
    repeated: list[type[BaseModel]] = [*TABLES.values(), ChangedEntry, SwitchedOffEntry]
    for model in repeated:
        defs[model.__name__]["properties"]["for_each"] = _FOR_EACH
    sections = {name: _ref(model) for name, model in SINGLES.items()}
    sections |= {name: _table(_ref(model)) for name, model in TABLES.items()}
    sections[CHANGES] = _object(
        {name: _table(_change(TABLES[name], defs)) for name in TABLES}
        | {name: _change(SINGLES[name], defs) for name in CHANGED_SINGLES},
        "What is different from a pack below: only the fields that change, with reason and source.",
    )
    sections[SWITCHED_OFF] = _object(
        {name: _table(_ref(SwitchedOffEntry)) for name in SWITCHABLE},
        "What is left out of a pack below, with reason and source.",
    )
    return {
        "$schema": DIALECT,
        "title": "A file of a badride pack",
        "type": "object",
        "properties": sections,
        "additionalProperties": False,
        "minProperties": 1,
        "$defs": dict(sorted(defs.items())),
    }


def _ref(model: type[BaseModel]) -> Schema:
    return {"$ref": _REF + model.__name__}


def _object(properties: Schema, description: str) -> Schema:
    return {
        "description": description,
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "minProperties": 1,
    }


def _table(entry: Schema) -> Schema:
    return {
        "type": "object",
        "propertyNames": _ID_KEY,
        "additionalProperties": entry,
        "minProperties": 1,
    }


def _change(model: type[BaseModel], defs: dict[str, Schema]) -> Schema:
    """A `ChangedEntry` whose `set` may hold the fields of this model."""
    change = defs[ChangedEntry.__name__]
    properties = change["properties"] | {"set": _part(model.__name__, defs)}
    return change | {"properties": properties}


def _part(name: str, defs: dict[str, Schema]) -> Schema:
    """A reference to the fields of a model of which none must be given, `for_each` left out."""
    part = f"{name}Part"
    if part not in defs:
        defs[part] = {}  # ends the recursion of a model that contains itself
        whole = defs[name]
        properties = {
            field: inner if field in WHOLE else _with_parts(inner, defs)
            for field, inner in whole["properties"].items()
            if field != "for_each"
        }
        defs[part] = {
            key: value for key, value in whole.items() if key not in ("required", "minProperties")
        } | {"properties": properties, "title": part}
    return {"$ref": _REF + part}


def _with_parts(inner: Schema, defs: dict[str, Schema]) -> Schema:
    """A field whose value is a model, or nothing, with a part of that model instead."""
    if "$ref" in inner:
        return _part(inner["$ref"].removeprefix(_REF), defs)
    if "anyOf" in inner:
        return inner | {"anyOf": [_with_parts(choice, defs) for choice in inner["anyOf"]]}
    return {key: value for key, value in inner.items() if key != "minProperties"}


def _with_slots(value: Any) -> Any:
    """The schema with every pattern of ids allowing <slots>."""
    if isinstance(value, list):
        return [_with_slots(item) for item in value]
    if not isinstance(value, dict):
        return value
    out = {key: _with_slots(item) for key, item in value.items()}
    pattern = out.get("pattern")
    if isinstance(pattern, str) and pattern.startswith("^[a-z0-9]+"):
        out["pattern"] = f"^{_SLOTTED}(?:/{_SLOTTED})?$" if "/" in pattern else f"^{_SLOTTED}$"
    if out.get("type") == "number":
        return {"anyOf": [out, {"type": "string", "pattern": "^<[A-Za-z_]+>$"}]}
    if "patternProperties" in out:
        ((pattern, item),) = out.pop("patternProperties").items()
        out["propertyNames"] = _with_slots({"pattern": pattern})
        out["additionalProperties"] = item
    return out
