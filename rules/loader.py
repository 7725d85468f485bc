"""Load a pack: a folder of YAML files, each holding any of the known sections."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from rules.checks import check_references
from rules.problems import FileProblems, Problem
from rules.rulebase import Link, Node, Origin, RuleBase, complaint_nodes
from rules.schema import (
    Cause,
    Caution,
    Complaint,
    Correction,
    Finding,
    Id,
    Observation,
    PackInfo,
    Policy,
    Rule,
    Scale,
    Source,
    Spec,
    Strength,
    Trait,
)
from rules.templates import BadTemplate, expand
from rules.yaml_source import Document, read_yaml_file, suggest

WORKED_CASES = "worked_cases"
# No cause shows with certainty: an answer must never be able to rule one out for good.
MOST_CERTAIN = 0.995
OFFROAD = Path(__file__).parent / "offroad"

_TABLES: dict[str, type[BaseModel]] = {
    "sources": Source,
    "traits": Trait,
    "specs": Spec,
    "cautions": Caution,
    "complaints": Complaint,
    "observations": Observation,
    "findings": Finding,
    "rules": Rule,
    "causes": Cause,
    "corrections": Correction,
}
_SINGLES: dict[str, type[BaseModel]] = {"pack": PackInfo, "scale": Scale, "policy": Policy}
_ID = TypeAdapter(Id)

M = TypeVar("M", bound=BaseModel)


@dataclass(slots=True)
class Draft:
    """What has been read so far, with where each entry stands."""

    root: Path
    tables: dict[str, dict[str, Any]] = field(
        default_factory=lambda: {name: {} for name in _TABLES}
    )
    singles: dict[str, Any] = field(default_factory=dict)
    documents: dict[tuple[str, str], Document] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def complain(self, section: str, key: str, path: tuple[str | int, ...], message: str) -> None:
        """Note a problem inside an entry."""
        document = self.documents[(section, key)]
        location = (section, key, *path) if key else (section, *path)
        self.problems.append(document.problem("reference", location, message))


def load_pack(folder: Path = OFFROAD) -> RuleBase:
    """Load and check the pack in `folder`.

    Raises `FileProblems` with every problem found, each with file, line and field.
    """
    draft = Draft(folder)
    paths = sorted(p for p in folder.rglob("*.yaml") if WORKED_CASES not in p.parts)
    if not paths:
        problem = Problem(str(folder), 1, 1, "empty", "", "no .yaml files of a pack here")
        raise FileProblems([problem])
    for path in paths:
        _read(draft, path)
    for name in _SINGLES:
        if name not in draft.singles and not draft.problems:
            message = f"the pack has no `{name}:` section"
            draft.problems.append(Problem(str(folder), 1, 1, "missing", name, message))
    _stop_on(draft)
    check_references(draft.tables, draft.singles, draft.complain)
    _stop_on(draft)
    nodes = _nodes(draft)
    links = _links(draft, nodes)
    _stop_on(draft)
    pack: PackInfo = draft.singles["pack"]
    origins = {
        entry: Origin(pack.id, document.file, document.place(entry)[0])
        for entry, document in draft.documents.items()
    }
    return RuleBase(
        info=pack,
        scale=draft.singles["scale"],
        policy=draft.singles["policy"],
        **draft.tables,
        nodes=nodes,
        links=links,
        origins=origins,
    )


def _stop_on(draft: Draft) -> None:
    if draft.problems:
        raise FileProblems(draft.problems)


def _read(draft: Draft, path: Path) -> None:
    try:
        document = read_yaml_file(path, str(path.relative_to(draft.root.parent)))
    except FileProblems as error:
        draft.problems.extend(error.problems)
        return
    if not isinstance(document.data, dict):
        draft.problems.append(document.problem("shape", (), "a pack file is a mapping of sections"))
        return
    for section, body in document.data.items():
        if section in _SINGLES:
            _read_single(draft, document, section, body)
        elif section in _TABLES:
            _read_table(draft, document, section, body)
        else:
            known = [*_SINGLES, *_TABLES]
            message = f"section {section!r} is not known{suggest(section, known)}"
            draft.problems.append(document.problem("section", (section,), message))


def _read_single(draft: Draft, document: Document, section: str, body: Any) -> None:
    if section in draft.singles:
        message = f"`{section}` is already given in another file"
        draft.problems.append(document.problem("duplicate", (section,), message))
        return
    draft.documents[(section, "")] = document
    model = _validate(draft, document, _SINGLES[section], body, (section,))
    if model is not None:
        draft.singles[section] = model


def _read_table(draft: Draft, document: Document, section: str, body: Any) -> None:
    if not isinstance(body, dict) or not body:
        message = f"`{section}` is a mapping of ids to entries"
        draft.problems.append(document.problem("shape", (section,), message))
        return
    for key, entry in body.items():
        try:
            expanded = list(expand(document, section, key, entry))
        except BadTemplate as error:
            location = (section, key, *error.location)
            draft.problems.append(document.problem("for-each", location, str(error)))
            continue
        for new_key, new_entry in expanded:
            _read_entry(draft, document, section, new_key, new_entry)


def _read_entry(draft: Draft, document: Document, section: str, key: str, entry: Any) -> None:
    try:
        _ID.validate_python(key)
    except ValidationError:
        message = f"id {key!r} must be lower-case words joined by '-', 60 letters at most"
        draft.problems.append(document.problem("id", (section, key), message))
        return
    earlier = draft.documents.get((section, key))
    if earlier is not None:
        line = earlier.place((section, key))[0]
        message = f"{key!r} is already given in {earlier.file}, line {line}"
        draft.problems.append(document.problem("duplicate-id", (section, key), message))
        return
    draft.documents[(section, key)] = document
    model = _validate(draft, document, _TABLES[section], entry, (section, key))
    if model is not None:
        draft.tables[section][key] = model


def _validate(
    draft: Draft, document: Document, model: type[M], body: Any, prefix: tuple[str, ...]
) -> M | None:
    try:
        return model.model_validate(body)
    except ValidationError as error:
        draft.problems.extend(document.from_validation(error, prefix))
        return None


def _nodes(draft: Draft) -> dict[str, Node]:
    """Every complaint (per place), evidential observation and finding, as one kind of thing."""
    nodes: dict[str, Node] = {}
    for key, complaint in draft.tables["complaints"].items():
        for node_id in complaint_nodes(key, complaint):
            place = node_id.partition("/")[2]
            title = f"{complaint.title} ({place})" if place else complaint.title
            background = _chances(
                draft, "complaints", key, ("background",), complaint.background, ("no", "yes")
            )
            nodes[node_id] = Node(
                node_id,
                "complaint",
                title,
                ("no", "yes"),
                ("No", "Yes"),
                background,
                complaint.source,
            )
    for section, kind in (("observations", "observation"), ("findings", "finding")):
        for key, entry in draft.tables[section].items():
            if entry.background is None:
                continue
            if key in nodes:
                draft.complain(section, key, (), f"{key!r} is also the id of another kind of fact")
                continue
            states = tuple(entry.states)
            background = _chances(draft, section, key, ("background",), entry.background, states)
            title = entry.ask if kind == "observation" else entry.title
            labels = tuple(entry.states.values())
            nodes[key] = Node(key, kind, title, states, labels, background, entry.source)  # type: ignore[arg-type]
    return nodes


def _links(draft: Draft, nodes: Mapping[str, Node]) -> tuple[Link, ...]:
    links = []
    for cause_id, cause in draft.tables["causes"].items():
        for target, strength in cause.shows.items():
            complaint = draft.tables["complaints"].get(target)
            targets = complaint_nodes(target, complaint) if complaint else (target,)
            for node_id in targets:
                node = nodes.get(node_id)
                if node is None:
                    message = _unlinkable(draft, target, nodes)
                    draft.complain("causes", cause_id, ("shows", target), message)
                    continue
                path = ("shows", target)
                chances = _chances(draft, "causes", cause_id, path, strength, node.states)
                words = {node.states[-1]: strength} if isinstance(strength, str) else strength
                links.append(Link(cause_id, node_id, chances, words, cause.shows_source))
    links += _links_from_findings(draft, nodes, {(link.cause, link.node) for link in links})
    return tuple(links)


def _links_from_findings(
    draft: Draft, nodes: Mapping[str, Node], given: set[tuple[str, str]]
) -> Iterator[Link]:
    """The links written beside the finding rather than beside the cause."""
    for key, finding in draft.tables["findings"].items():
        for cause_id, strength in finding.shown_by.items():
            path = ("shown_by", cause_id)
            if (cause_id, key) in given:
                draft.complain("findings", key, path, f"{cause_id!r} already `shows` it")
                continue
            states = nodes[key].states
            chances = _chances(draft, "findings", key, path, strength, states)
            words = {states[-1]: strength} if isinstance(strength, str) else strength
            yield Link(cause_id, key, chances, words, finding.shown_by_source)


def _unlinkable(draft: Draft, target: str, nodes: Mapping[str, Node]) -> str:
    if target in draft.tables["observations"]:
        return f"{target!r} has no `background`, so it cannot be evidence"
    return f"{target!r} is not a complaint, observation or finding{suggest(target, list(nodes))}"


def _chances(
    draft: Draft,
    section: str,
    key: str,
    path: tuple[str, ...],
    strength: Strength,
    states: tuple[str, ...],
) -> tuple[float, ...]:
    """Probability per state from words; what is left goes to the normal (first) state."""
    scale: Scale = draft.singles["scale"]
    if isinstance(strength, str):
        if len(states) != 2:
            draft.complain(section, key, path, f"say how likely each of {', '.join(states[1:])} is")
            return (1.0,) + (0.0,) * (len(states) - 1)
        strength = {states[1]: strength}
    numbers = [0.0] * len(states)
    for state, word in strength.items():
        if state not in states[1:]:
            message = f"{state!r} is not one of {', '.join(states[1:])}"
            draft.complain(section, key, (*path, state), message)
        elif word not in scale.words:
            known = ", ".join(scale.words)
            draft.complain(section, key, path, f"{word!r} is not on the scale: {known}")
        else:
            numbers[states.index(state)] = scale.number(word)
    missing = [state for state in states[1:] if state not in strength]
    if path == ("background",) and missing:
        # a state that could never be seen by chance would rule every other cause out for good
        draft.complain(section, key, path, f"say how often {', '.join(missing)} is seen anyway")
    total = sum(numbers)
    if total > 1:
        message = f"the states add up to {total:.2f}, more than 1"
        draft.complain(section, key, path, message)
        return (1.0,) + (0.0,) * (len(states) - 1)
    if total > MOST_CERTAIN:
        numbers = [number * MOST_CERTAIN / total for number in numbers]
    numbers[0] = 1 - sum(numbers)
    return tuple(numbers)
