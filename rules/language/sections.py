"""The sections of a pack. A new one is a row here, a model in `language.schema`, a field of its
name on `RuleBase`, and what it refers to in `loading.references`."""

from __future__ import annotations

from pydantic import BaseModel

from rules.language.rider_words import Heard, WordList
from rules.language.schema import (
    Cause,
    Caution,
    Complaint,
    Correction,
    Finding,
    Observation,
    PackInfo,
    Picture,
    Policy,
    PreRideCheck,
    Rule,
    Scale,
    Source,
    Spec,
    Trait,
)

TABLES: dict[str, type[BaseModel]] = {
    "sources": Source,
    "traits": Trait,
    "specs": Spec,
    "cautions": Caution,
    "pictures": Picture,
    "complaints": Complaint,
    "observations": Observation,
    "findings": Finding,
    "rules": Rule,
    "causes": Cause,
    "corrections": Correction,
    "before_ride": PreRideCheck,
    "heard": Heard,
    "vocabulary": WordList,
}
"""Sections that map ids to entries."""

SINGLES: dict[str, type[BaseModel]] = {"pack": PackInfo, "scale": Scale, "policy": Policy}
"""Sections that are one entry."""

CHANGES = "changes"
SWITCHED_OFF = "switched_off"

CHANGED_SINGLES = ("scale", "policy")
"""Single sections that a pack may change in the one it builds on."""

SWITCHABLE = (
    "complaints",
    "observations",
    "findings",
    "rules",
    "causes",
    "corrections",
    "before_ride",
    "heard",
    "vocabulary",
)
"""Sections whose entries a pack may switch off. A caution can be reworded, but stays."""
