"""A rule base as a graph, in GraphML (graphml.graphdrawing.org, from memory) and in DOT.

Nodes are causes, complaints (per place), observations, findings and corrections. Edges: a cause
*shows* on a node with a strength, an observation or finding *feeds* a finding, a cause is *put
right by* a correction.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from xml.etree import ElementTree

from diagnose.cards.blocks import clean
from diagnose.findings.concluding import finding_inputs
from rules.rulebase import Link, RuleBase

_NAMESPACE = "http://graphml.graphdrawing.org/xmlns"
_SECTIONS = {"complaint": "complaints", "observation": "observations", "finding": "findings"}
_SHAPES = {
    "cause": "box",
    "complaint": "ellipse",
    "observation": "diamond",
    "finding": "hexagon",
    "correction": "note",
}


@dataclass(frozen=True, slots=True)
class Vertex:
    """A node of the graph. `id` is `cause:plug-worn`; `per_100` is a cause's prior, else None."""

    id: str
    kind: str
    title: str
    pack: str
    group: str = ""
    per_100: float | None = None


@dataclass(frozen=True, slots=True)
class Edge:
    """`strength` is the probability that the cause alone takes its node out of the normal state,
    None for other edges; `words` says it per state, `chances` in numbers."""

    source: str
    target: str
    kind: str
    strength: float | None = None
    words: str = ""
    chances: str = ""


@dataclass(frozen=True, slots=True)
class Graph:
    """Vertices and edges in the order of the pack."""

    name: str
    vertices: tuple[Vertex, ...]
    edges: tuple[Edge, ...]


def graph_of(rules: RuleBase) -> Graph:
    """The graph of a rule base."""
    return Graph(rules.info.id, tuple(_vertices(rules)), tuple(_edges(rules)))


def vertex_id(kind: str, key: str) -> str:
    """`complaint:harsh.front`: a token as XML has it, which has no place for `/`."""
    return f"{kind}:{key.replace('/', '.')}"


def _vertices(rules: RuleBase) -> Iterator[Vertex]:
    def pack(section: str, key: str) -> str:
        return rules.origins[(section, key)].pack

    for key, cause in rules.causes.items():
        yield Vertex(
            f"cause:{key}", "cause", cause.title, pack("causes", key), cause.group, cause.per_100
        )
    for node in rules.nodes.values():
        if node.kind == "complaint":
            home = pack("complaints", node.id.partition("/")[0])
            yield Vertex(vertex_id("complaint", node.id), "complaint", node.title, home)
    for key, observation in rules.observations.items():
        yield Vertex(
            f"observation:{key}", "observation", observation.ask, pack("observations", key),
            observation.kind,
        )  # fmt: skip
    for key, finding in rules.findings.items():
        yield Vertex(f"finding:{key}", "finding", finding.title, pack("findings", key))
    for key, correction in rules.corrections.items():
        yield Vertex(f"correction:{key}", "correction", correction.title, pack("corrections", key))


def _edges(rules: RuleBase) -> Iterator[Edge]:
    for link in rules.links:
        yield _shows(rules, link)
    for finding, entry in rules.findings.items():
        inputs = dict.fromkeys(finding_inputs(rules).get(finding, ()))
        inputs.update(dict.fromkeys(entry.computed.inputs.values() if entry.computed else ()))
        for name in inputs:
            kind = "finding" if name in rules.findings else "observation"
            yield Edge(f"{kind}:{name}", f"finding:{finding}", "feeds")
    for key, cause in rules.causes.items():
        yield Edge(f"cause:{key}", f"correction:{cause.correction}", "put right by")


def _shows(rules: RuleBase, link: Link) -> Edge:
    node = rules.nodes[link.node]
    return Edge(
        f"cause:{link.cause}",
        vertex_id(node.kind, node.id),
        "shows",
        round(1 - link.chances[0], 6),
        "; ".join(f"{state}: {word}" for state, word in link.words.items()),
        "; ".join(
            f"{state}: {chance:.4g}"
            for state, chance in zip(node.states, link.chances, strict=True)
        ),
    )


_NODE_KEYS = {"kind": "string", "title": "string", "pack": "string", "group": "string"} | {
    "per_100": "double"
}
_EDGE_KEYS = {"kind": "string", "strength": "double", "words": "string", "chances": "string"}


def graphml(graph: Graph) -> str:
    """The graph as a GraphML document."""
    root = ElementTree.Element("graphml", {"xmlns": _NAMESPACE})
    for scope, keys in (("node", _NODE_KEYS), ("edge", _EDGE_KEYS)):
        for name, kind in keys.items():
            attributes = {
                "id": f"{scope}-{name}", "for": scope, "attr.name": name, "attr.type": kind
            }  # fmt: skip
            ElementTree.SubElement(root, "key", attributes)
    body = ElementTree.SubElement(
        root, "graph", {"id": clean(graph.name), "edgedefault": "directed"}
    )
    for vertex in graph.vertices:
        element = ElementTree.SubElement(body, "node", {"id": vertex.id})
        _data(element, "node", {name: getattr(vertex, name) for name in _NODE_KEYS})
    for edge in graph.edges:
        element = ElementTree.SubElement(
            body, "edge", {"source": edge.source, "target": edge.target}
        )
        _data(element, "edge", {name: getattr(edge, name) for name in _EDGE_KEYS})
    ElementTree.indent(root)
    return ElementTree.tostring(root, encoding="unicode", xml_declaration=True) + "\n"


def _data(
    element: ElementTree.Element, scope: str, values: Mapping[str, str | float | None]
) -> None:
    for name, value in values.items():
        if value not in ("", None):
            ElementTree.SubElement(element, "data", {"key": f"{scope}-{name}"}).text = clean(
                str(value)
            )


def dot(graph: Graph) -> str:
    """The graph in the DOT language."""
    lines = [f"digraph {_quoted(graph.name)} {{", "  rankdir=LR;"]
    for vertex in graph.vertices:
        shown = {
            "label": vertex.title, "shape": _SHAPES[vertex.kind], "kind": vertex.kind,
            "pack": vertex.pack,
        }  # fmt: skip
        if vertex.group:
            shown["topic"] = vertex.group  # `group` would move it about in a drawing
        if vertex.per_100 is not None:
            shown["per_100"] = f"{vertex.per_100:g}"
        lines.append(f"  {_quoted(vertex.id)} [{_attributes(shown)}];")
    for edge in graph.edges:
        shown = {"kind": edge.kind}
        if edge.strength is not None:
            shown |= {
                "strength": f"{edge.strength:g}",
                "label": edge.words,
                "chances": edge.chances,
            }
        lines.append(f"  {_quoted(edge.source)} -> {_quoted(edge.target)} [{_attributes(shown)}];")
    return "\n".join([*lines, "}"]) + "\n"


def _attributes(values: Mapping[str, str]) -> str:
    return ", ".join(f"{name}={_quoted(value)}" for name, value in values.items())


def _quoted(text: str) -> str:
    r"""A DOT string: only `"` needs a backslash there, and a backslash at the end, or before it,
    would take it away, so backslashes are doubled, which label text shows as one."""
    escaped = clean(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
