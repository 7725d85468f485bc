"""A loaded pack: entries by id, and the nodes and links that the arithmetic runs on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from rules.schema import (
    Cause,
    Caution,
    Complaint,
    Correction,
    Finding,
    Observation,
    PackInfo,
    Policy,
    Rule,
    Scale,
    Source,
    Spec,
    Trait,
)


@dataclass(frozen=True, slots=True)
class Node:
    """Anything that can be evidence: a complaint (at a place), an observation or a finding.

    `states` run from normal to most telling. `background[k]` is the probability of state k when no
    listed cause produces it; it adds up to 1.
    """

    id: str
    kind: Literal["complaint", "observation", "finding"]
    title: str
    states: tuple[str, ...]
    labels: tuple[str, ...]
    background: tuple[float, ...]
    source: tuple[str, ...]

    def index(self, state: str) -> int:
        """Position of `state`. Raises `ValueError` for a state this node does not have."""
        return self.states.index(state)

    def label(self, state: str) -> str:
        """The state as a person reads it."""
        return self.labels[self.index(state)]


@dataclass(frozen=True, slots=True)
class Link:
    """What one cause alone does to one node: a probability per state, and the words behind it."""

    cause: str
    node: str
    chances: tuple[float, ...]
    words: Mapping[str, str]
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an entry was written."""

    pack: str
    file: str
    line: int


@dataclass(frozen=True, slots=True)
class RuleBase:
    """One or more packs, checked. Mappings keep the order of the files."""

    info: PackInfo
    scale: Scale
    policy: Policy
    sources: Mapping[str, Source]
    traits: Mapping[str, Trait]
    specs: Mapping[str, Spec]
    cautions: Mapping[str, Caution]
    complaints: Mapping[str, Complaint]
    observations: Mapping[str, Observation]
    findings: Mapping[str, Finding]
    rules: Mapping[str, Rule]
    causes: Mapping[str, Cause]
    corrections: Mapping[str, Correction]
    nodes: Mapping[str, Node]
    links: tuple[Link, ...]
    origins: Mapping[tuple[str, str], Origin]


def complaint_nodes(complaint_id: str, complaint: Complaint) -> tuple[str, ...]:
    """The node ids of a complaint: one per place, or one."""
    if not complaint.places:
        return (complaint_id,)
    return tuple(f"{complaint_id}/{place}" for place in complaint.places)
