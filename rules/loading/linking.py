"""From entries to the nodes and links that the arithmetic runs on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rules.language.schema import Scale, Strength
from rules.loading.pack_draft import Name, PackDraft
from rules.rulebase import Link, Node, complaint_nodes
from rules.yaml_source import suggest

# No cause shows with certainty: an answer must never be able to rule one out for good.
MOST_CERTAIN = 0.995
MOST_LINKS = 100_000


def make_nodes(draft: PackDraft) -> dict[str, Node]:
    """A node by its id for each complaint (per place), finding and observation that is evidence."""
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


def make_links(draft: PackDraft, nodes: Mapping[str, Node]) -> tuple[Link, ...]:
    """What each cause alone does to each node, from the words of `shows` and `shown_by`."""
    links: list[Link] = []
    for cause_id, cause in draft.tables["causes"].items():
        for target, strength in cause.shows.items():
            complaint = draft.tables["complaints"].get(target)
            targets = complaint_nodes(target, complaint) if complaint else (target,)
            # a strength given for one place takes precedence over one given for all
            targets = tuple(n for n in targets if n == target or n not in cause.shows)
            for node_id in targets:
                node = nodes.get(node_id)
                if node is None:
                    message = _unlinkable(draft, target, nodes)
                    draft.complain("causes", cause_id, ("shows", target), message)
                    continue
                if len(links) >= MOST_LINKS:
                    draft.complain("causes", cause_id, ("shows",), f"over {MOST_LINKS} links")
                    return ()
                name, path = ("causes", cause_id), ("shows", target)
                source = (*cause.shows_source, *cause.shown_in.get(target, ()))
                links.append(_link(draft, name, path, cause_id, node, strength, source))
    links += _links_from_findings(draft, nodes, {(link.cause, link.node) for link in links})
    return tuple(links)


def _links_from_findings(
    draft: PackDraft, nodes: Mapping[str, Node], given: set[tuple[str, str]]
) -> Iterator[Link]:
    """The links written beside the finding rather than beside the cause."""
    for key, finding in draft.tables["findings"].items():
        for cause_id, strength in finding.shown_by.items():
            path = ("shown_by", cause_id)
            if (cause_id, key) in given:
                draft.complain("findings", key, path, f"{cause_id!r} already `shows` it")
                continue
            name, own = ("findings", key), finding.shown_by_source
            yield _link(draft, name, path, cause_id, nodes[key], strength, own)


def _link(
    draft: PackDraft,
    name: Name,
    path: tuple[str, ...],
    cause: str,
    node: Node,
    strength: Strength,
    own_source: tuple[str, ...],
) -> Link:
    """The link that is written at `path` of the entry `name`."""
    chances = _chances(draft, *name, path, strength, node.states)
    words = {node.states[-1]: strength} if isinstance(strength, str) else strength
    source = draft.written[name].source_of(path, own_source)
    return Link(cause, node.id, chances, words, source)


def _unlinkable(draft: PackDraft, target: str, nodes: Mapping[str, Node]) -> str:
    if target in draft.tables["observations"]:
        return f"{target!r} has no `background`, so it cannot be evidence"
    return f"{target!r} is not a complaint, observation or finding{suggest(target, list(nodes))}"


def _chances(
    draft: PackDraft,
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
            hint = suggest(word, list(scale.words))
            draft.complain(section, key, path, f"{word!r} is not on the scale{hint} ({known})")
        else:
            numbers[states.index(state)] = scale.number(word)
    missing = [state for state in states[1:] if state not in strength]
    if path == ("background",) and missing:
        # a state that never appears by chance would, once seen, rule out every other cause for good
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
