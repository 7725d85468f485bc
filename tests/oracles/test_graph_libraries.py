"""The graph export, read back with libraries that had no part in writing it."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import networkx
import pydot
import pytest

from diagnose.authoring.graph import Edge, Graph, Vertex, dot, graph_of, graphml, vertex_id
from rules.rulebase import RuleBase

NASTY = 'a "quote", a \\ and <b> & \x07\n ü'
KEPT = 'a "quote", a \\ and <b> & ü'


def read_dot(text: str) -> pydot.Dot:
    graphs = pydot.graph_from_dot_data(text)
    assert graphs is not None
    return graphs[0]


def read(text: str) -> networkx.DiGraph:
    return networkx.read_graphml(BytesIO(text.encode("utf-8")))


@pytest.mark.parametrize("pack", ["offroad", "mower"])
def test_graphml_holds_the_whole_rule_base(pack: str, request: pytest.FixtureRequest) -> None:
    rules: RuleBase = request.getfixturevalue(pack)
    found = read(graphml(graph_of(rules)))
    kinds = networkx.get_node_attributes(found, "kind")
    assert list(kinds.values()).count("cause") == len(rules.causes)
    assert list(kinds.values()).count("observation") == len(rules.observations)
    assert list(kinds.values()).count("correction") == len(rules.corrections)
    shows = {(a, b): d for a, b, d in found.edges(data=True) if d["kind"] == "shows"}
    assert len(shows) == len(rules.links)
    for link in rules.links:
        node = rules.nodes[link.node]
        data = shows[(f"cause:{link.cause}", vertex_id(node.kind, node.id))]
        assert data["strength"] == pytest.approx(1 - link.chances[0], abs=1e-6)
        assert all(word in data["words"] for word in link.words.values())
    for key, cause in rules.causes.items():
        data = found.nodes[f"cause:{key}"]
        assert (data["title"], data["per_100"]) == (cause.title, cause.per_100)
        assert found.has_edge(f"cause:{key}", f"correction:{cause.correction}")


def test_every_edge_ends_at_a_node(offroad: RuleBase) -> None:
    graph = graph_of(offroad)
    known = {vertex.id for vertex in graph.vertices}
    assert len(known) == len(graph.vertices)
    assert all(edge.source in known and edge.target in known for edge in graph.edges)
    assert any(edge.kind == "feeds" for edge in graph.edges)


def test_the_pack_of_every_node_is_named(mower: RuleBase) -> None:
    found = read(graphml(graph_of(mower)))
    assert set(networkx.get_node_attributes(found, "pack").values()) == {"mower"}


def test_dot_holds_the_same(mower: RuleBase) -> None:
    graph = graph_of(mower)
    found = read_dot(dot(graph))
    names = {node.get_name().strip('"') for node in found.get_nodes()}
    assert names == {vertex.id for vertex in graph.vertices}
    edges = {
        (str(e.get_source()).strip('"'), str(e.get_destination()).strip('"')): e.get("strength")
        for e in found.get_edges()
    }
    assert set(edges) == {(e.source, e.target) for e in graph.edges}
    assert edges["cause:plug-worn", "complaint:no-start"] == '"0.78"'


def test_nasty_words_come_through() -> None:
    """What XML cannot hold is left out; the rest is read back as it was written."""
    one, two = Vertex("cause:a", "cause", NASTY, "p", per_100=1.0), Vertex("b", "finding", "B", "p")
    graph = Graph(NASTY, (one, two), (Edge("cause:a", "b", "shows", 0.5, NASTY, "x"),))
    assert read(graphml(graph)).nodes["cause:a"]["title"] == KEPT
    label = read_dot(dot(graph)).get_node('"cause:a"')[0].get("label")
    assert label[1:-1].replace('\\"', '"').replace("\\\\", "\\") == KEPT
    assert read(graphml(replace(graph, edges=()))).number_of_edges() == 0
