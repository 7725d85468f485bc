"""What a check of packs found, for other programs: as JSON and as SARIF 2.1.0.

SARIF: Static Analysis Results Interchange Format Version 2.1.0, OASIS Standard, 27 March 2020.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal
from urllib.parse import quote

from rules.problems import Problem
from rules.review.doubts import Doubt

ROOT = "SRCROOT"
_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
# shown beside the results of each code
MEANINGS = {
    "unconfirmed": "No observation can confirm the cause.",
    "not-told-apart": "No observation tells two causes apart, and they are not listed as such.",
    "tells-nothing": "No answer to the observation separates any causes.",
    "no-safety-check": "An unsafe cause has no check marked as a safety check.",
    "no-caution": "A hazardous step carries no caution.",
    "no-proof": "A correction does not say what proves it.",
    "cut-sentence": "A step is no whole sentence.",
    "ungraded": "A published source does not say what kind of print it is.",
    "wordy": "A text is too long for the bench.",
    "out-of-range": "No reading can fall in a band.",
    "unused": "Nothing uses the entry.",
    "unreachable": "A rule can never hold.",
    "repeated": "Two rules or two causes say the same.",
    "phrase-shrinks": "Of a phrase next to nothing is left without its small words.",
    "phrase-shared": "Two complaints have the same phrase.",
    "phrase-unheard": "A phrase said alone is not heard.",
    "phrase-undenied": "A phrase is taken even where it is denied.",
    "contradictory": "Two rules conclude different states from the same facts.",
    "counted-twice": "A cause shows a finding and all that it is concluded from.",
    "never": "Nothing leads to a state.",
    "lone-group": "No other cause is in the group.",
    "no-change": "A change sets what is there already.",
    "safety-off": "A safety check or a warning is switched off.",
    "reference": "Something is named that is not there or does not fit.",
    "quantity": "A quantity or unit cannot be read or does not fit.",
}


@dataclass(frozen=True, slots=True)
class ReportItem:
    """One thing found: an error stops the pack from loading, a warning does not."""

    level: Literal["error", "warning"]
    file: str
    line: int
    column: int
    code: str
    field: str
    message: str


def items(problems: Sequence[Problem], doubts: Sequence[Doubt]) -> list[ReportItem]:
    """Problems and doubts as one list."""
    return [
        *(
            ReportItem("error", p.file, p.line, p.column, p.code, p.field, p.message)
            for p in problems
        ),
        *(
            ReportItem("warning", d.file, d.line, d.column, d.code, d.field, d.message)
            for d in doubts
        ),
    ]


def check_document(
    found: Sequence[ReportItem], left_out: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """The JSON document; within a version fields are only added. `left_out` names the worked cases
    and lessons that need what is switched off, with its id."""
    return {
        "format": "badride-rule-check",
        "version": 1,
        "sound": not any(item.level == "error" for item in found),
        "found": [{name: getattr(item, name) for name in ReportItem.__slots__} for item in found],
        "left_out": dict(left_out or {}),
    }


def sarif_log(
    found: Sequence[ReportItem], paths: Mapping[str, Path], root: Path, version: str
) -> dict[str, Any]:
    """The SARIF log. `paths` gives where a file of a message is; paths
    inside the folder `root` are given relative to it."""
    codes = list(dict.fromkeys(item.code for item in found))
    return {
        "$schema": _SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "badride",
                        "version": version,
                        "rules": [_descriptor(code, found) for code in codes],
                    }
                },
                "columnKind": "unicodeCodePoints",
                "originalUriBaseIds": {ROOT: {"uri": f"{root.resolve().as_uri()}/"}},
                "results": [_result(item, codes, paths, root.resolve()) for item in found],
            }
        ],
    }


def _descriptor(code: str, found: Sequence[ReportItem]) -> dict[str, Any]:
    level = next(item.level for item in found if item.code == code)
    text = MEANINGS.get(code, f"The file cannot be read as it stands ({code}).")
    return {
        "id": code,
        "shortDescription": {"text": text},
        "defaultConfiguration": {"level": level},
    }


def _result(
    item: ReportItem, codes: Sequence[str], paths: Mapping[str, Path], root: Path
) -> dict[str, Any]:
    location: dict[str, Any] = {
        "physicalLocation": {
            "artifactLocation": _artifact(item.file, paths, root),
            "region": {"startLine": item.line, "startColumn": item.column},
        }
    }
    if item.field:
        location["logicalLocations"] = [{"fullyQualifiedName": item.field}]
    return {
        "ruleId": item.code,
        "ruleIndex": codes.index(item.code),
        "level": item.level,
        "message": {"text": f"{item.field}: {item.message}" if item.field else item.message},
        "locations": [location],
    }


def _artifact(file: str, paths: Mapping[str, Path], root: Path) -> dict[str, str]:
    path = paths.get(file, Path(file)).resolve()
    if path.is_relative_to(root):
        inside = path.relative_to(root).as_posix()
        return {"uri": quote(os.fsencode(inside)), "uriBaseId": ROOT}
    return {"uri": path.as_uri()}
