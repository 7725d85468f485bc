"""`badride list` finds everything that can be named."""

from __future__ import annotations

from click.testing import CliRunner

from tests import places
from tui.cli.main import main


def listed(*args: str, status: int = 0) -> list[list[str]]:
    result = CliRunner().invoke(main, ["list", *args, "--pack", str(places.MOWER)])
    assert result.exit_code == status, result.output
    return [line.split("\t") for line in (result.stdout or result.stderr).splitlines()]


def test_every_kind_is_counted_and_listed() -> None:
    counts = dict(listed())
    assert counts["causes"] == "7" and counts["groups"] == "5" and counts["rules"] == "5"
    for kind, count in counts.items():
        assert len(listed(kind)) == int(count) > 0
    assert ["fuel", "3 causes"] in listed("groups")
    assert ["N·m", "torque", "n·m, n.m, nm"] in listed("units")
    assert ["stood-and-stale", "Stood and stale: yes"] in listed("rules")


def test_words_narrow_a_kind_or_are_looked_for_everywhere() -> None:
    assert [row[0] for row in listed("corrections", "plug")] == ["new-plug"]
    everywhere = listed("plug")
    assert {row[0] for row in everywhere} >= {"causes", "corrections", "cautions", "targets"}
    assert listed("very-likely")[0][1] == "very likely"
    refused = listed("corections", status=2)[0][0]
    assert "did you mean 'corrections'?" in refused
