"""A loaded pack: entries by id, and the nodes and links that the arithmetic runs on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

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
from rules.written import Change, Origin, Written


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
class SwitchedOff:
    """Why an entry of a pack is left out: the pack that did it, where, its reason and sources.

    `named` is the (section, id) that was switched off by name: the entry itself, or one
    that it depended on. `guards`: whether the entry warned of danger or looked for it.
    """

    pack: str
    origin: Origin
    reason: str
    source: tuple[str, ...]
    named: tuple[str, str]
    guards: bool = False


@dataclass(frozen=True, slots=True)
class RuleBase:
    """One or more packs, checked. Mappings keep the order of the files.

    `info` is the pack at the bottom, `packs` all of them from the bottom up. `written` knows for
    each (section, id) where its parts were written, `off` why an entry of a pack is not here;
    `drawings` has the SVG text of each picture, which draws and does nothing else.
    """

    info: PackInfo
    scale: Scale
    policy: Policy
    sources: Mapping[str, Source]
    traits: Mapping[str, Trait]
    specs: Mapping[str, Spec]
    cautions: Mapping[str, Caution]
    pictures: Mapping[str, Picture]
    complaints: Mapping[str, Complaint]
    observations: Mapping[str, Observation]
    findings: Mapping[str, Finding]
    rules: Mapping[str, Rule]
    causes: Mapping[str, Cause]
    corrections: Mapping[str, Correction]
    before_ride: Mapping[str, PreRideCheck]
    heard: Mapping[str, Heard]
    vocabulary: Mapping[str, WordList]
    nodes: Mapping[str, Node]
    links: tuple[Link, ...]
    origins: Mapping[tuple[str, str], Origin]
    packs: tuple[PackInfo, ...] = ()
    drawings: Mapping[str, str] = field(default_factory=dict)
    written: Mapping[tuple[str, str], Written] = field(default_factory=dict)
    off: Mapping[tuple[str, str], SwitchedOff] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """The titles of the packs, from the bottom up."""
        return " + ".join(info.title for info in self.packs or (self.info,))

    @property
    def versions(self) -> str:
        """The ids and versions of the packs, from the bottom up."""
        return ", ".join(f"{info.id} {info.version}" for info in self.packs or (self.info,))

    def pack_title(self, pack: str) -> str:
        """What a pack calls itself, by its id."""
        return next((info.title for info in self.packs if info.id == pack), pack)

    def changes(self, section: str, key: str) -> tuple[Change, ...]:
        """What packs higher up changed in an entry, in their order."""
        written = self.written.get((section, key))
        return written.changes if written else ()

    def origin(self, section: str, key: str, *path: str | int) -> Origin:
        """Where a part of an entry was written, or the entry itself."""
        written = self.written.get((section, key))
        return written.origin(path) if written else self.origins[(section, key)]


def complaint_nodes(complaint_id: str, complaint: Complaint) -> tuple[str, ...]:
    """The node ids of a complaint: one per place, or one."""
    if not complaint.places:
        return (complaint_id,)
    return tuple(f"{complaint_id}/{place}" for place in complaint.places)
