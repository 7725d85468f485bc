"""`badride harsh`: the budget as a technician reads it, the asking, and what is refused."""

from __future__ import annotations

import json
import re

import click
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.harshness.values import PLACES, VALUES
from tui.cli.main import main
from tui.terminal.charts import bar, chart
from tui.terminal.text import WIDTH

MIXED = ["--front-tyre", "25 psi", "--fork-compression", "8", "--front-gap", "20 mm"]


def harsh(*args: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, ["harsh", *args], input=typed)


def first_percent(result: Result) -> int:
    found = re.search(r"worst on [a-z ]+, (\d+) % harsher", result.output)
    return int(found.group(1)) if found else 0


def test_the_options_are_the_values_there_are() -> None:
    said = " ".join(harsh("--help").output.split())
    for value in (*VALUES.values(), *PLACES.values()):
        assert f"--{value.name} VALUE {value.option}" in said


@pytest.mark.parametrize(
    ("hard", "soft"), [("25 psi", "13 psi"), ("30 psi", "12 psi"), ("1.9 bar", "13 psi")]
)
def test_a_hard_tyre_is_plainly_harsher(hard: str, soft: str) -> None:
    """The trade's fact, at the command: 25 to 30 psi against 12 to 13 psi."""
    result = harsh("--front-tyre", hard, "--target", f"front-tyre={soft}")
    assert result.exit_code == 0
    assert first_percent(result) >= 20


def test_a_tyre_as_it_should_be_is_no_harsher() -> None:
    result = harsh("--front-tyre", "12.5 psi")
    assert "Front: on no ride harsher than it should be" in result.output
    assert "nothing here makes it harsher on any ride" in " ".join(result.output.split())
    assert "Of the extra harshness" not in result.output
    assert "Tyre or damping? Neither" in result.output


def test_the_answer_comes_first_then_bars_changes_and_curves() -> None:
    result = harsh(*MIXED)
    assert result.exit_code == 0
    lines = result.output.splitlines()
    assert lines[0].startswith("Front: worst on small chop, ")
    assert any(
        line.startswith("Tyre or damping? The tyre; of the extra harshness") for line in lines
    )
    assert "Of the extra harshness on small chop:" in lines
    rides = [line for line in lines if re.match(r"  [a-z ]+ +[+-]\d+ % \(", line)]
    assert len(rides) >= 12
    assert rides[0].startswith("  small chop")
    assert "plainly felt" in rides[0]
    assert re.search(r"^  \d+ % \(\d+ to \d+\) +tyre pressure +█", result.output, re.MULTILINE)
    for said in (
        "two psi out",
        "compression four clicks out",
        "what drags found and freed",
        "25 psi now",
    ):
        assert said in result.output
    assert "Not measured, taken as it should be: fork rebound" in result.output.replace("\n  ", " ")
    assert "from memory" in result.output
    assert "CAUTION: " in result.output
    assert "REAR" not in result.output
    assert max(map(len, lines)) <= WIDTH


def test_a_kind_of_bike_has_its_own_figures_as_in_a_case() -> None:
    loaded = " ".join(harsh("--machine", "class=adventure", "--rear-tyre", "25 psi").output.split())
    assert "rear tyre 36 psi (rule of thumb for this kind of bike" in loaded
    assert "The bike: a stand-in of a loaded adventure bike" in loaded
    assert "CAUTION: the tyre may be too soft; 36 psi is only a rule of thumb." in loaded
    soft = harsh("--machine", "class=adventure", "--rear-tyre", "15 psi").output
    assert "CAUTION: tyre too soft." in soft
    given = harsh(
        "--machine", "class=adventure", "--rear-tyre", "25 psi", "--target", "rear-tyre=25 psi"
    )
    assert "too soft" not in given.output
    assert "(as given)" in given.output


@pytest.mark.parametrize(
    ("machine", "value", "said"),
    [
        ("class=quad", "--front-tyre", "'quad' is not one of full-size, mini"),
        ("colour=red", "--front-tyre", "'colour' is not a trait of a bike"),
        ("fork=air-single", "--fork-spring", "only a bike with fork: coil-closed"),
        ("tyre-filling=mousse", "--front-tyre", "only a bike with tyre-filling: tube, tubeless"),
    ],
)
def test_a_kind_that_is_not_known_and_what_the_bike_has_not_are_refused(
    machine: str, value: str, said: str
) -> None:
    result = harsh("--machine", machine, value, "5")
    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())


@pytest.mark.long
def test_a_line_under_the_shares_says_how_to_read_them() -> None:
    """Best guesses above 0 add up to all of it, as it says; one alone needs no words and no range."""
    several = harsh("--front-tyre", "25 psi", "--fork-compression", "20", "--fork-rebound", "4")
    said = " ".join(several.output.split())
    assert said.count("Shares add up to 100 %; what softens has none.") == 1
    block = several.output.partition("Of the extra harshness on")[2].partition("Shares add")[0]
    shares = [int(n) for n in re.findall(r"^ +(\d+) %", block, re.MULTILINE)]
    assert abs(sum(shares) - 100) <= 1
    assert re.search(r"^  softens \d+ % \(\d+ to \d+\) +compression$", block, re.MULTILINE)
    alone = harsh("--front-tyre", "25 psi").output
    assert "Shares add" not in alone
    assert "100 %  " not in alone
    assert "only that was measured" in " ".join(alone.split())


@pytest.mark.long
def test_the_chart_is_in_the_unit_the_target_was_given_in() -> None:
    result = harsh("--front-tyre", "1.7 bar", "--target", "front-tyre=0.9 bar")
    chart_of_tyre = result.output.partition("Harshness over tyre pressure")[2]
    chart_of_tyre = chart_of_tyre.partition("Harshness over compression")[0]
    assert "upright: 1.7 bar now" in chart_of_tyre
    assert re.search(r"^ *\d(\.\d+)? bar +", chart_of_tyre, re.MULTILINE)
    assert "psi" not in chart_of_tyre


@pytest.mark.long
def test_a_bare_number_is_in_the_unit_of_its_target() -> None:
    bare = harsh("--front-tyre", "1,7", "--target", "front-tyre=0.9 bar")
    assert bare.stdout == harsh("--front-tyre", "1.7 bar", "--target", "front-tyre=0.9 bar").stdout
    asked = harsh("--ask", "--target", "front-tyre=0.9 bar", typed="1,7\n" + "\n" * 20)
    assert "Front tyre pressure, cold [bar]:" in asked.stderr
    assert asked.stdout == bare.stdout


def test_nothing_is_in_colour_and_ascii_is_enough() -> None:
    result = harsh(*MIXED, "--ascii")
    assert "\x1b" not in result.output
    assert result.output.isascii()
    assert re.search(r"tyre pressure +#####", result.output)


def test_a_stream_that_knows_only_ascii_gets_ascii() -> None:
    result = CliRunner(charset="ascii").invoke(main, ["harsh", "--front-tyre", "25 psi"])
    assert result.exit_code == 0
    assert "TTTT" in result.output


def test_trapped_air_from_the_place_it_was_bled() -> None:
    result = harsh("--bled-at", "0 m", "--ridden-at", "2000 m")
    assert result.exit_code == 0
    assert "bled" in result.output
    assert "trapped air 0 kPa" in result.output


def test_one_json_document() -> None:
    result = harsh(*MIXED, "--rear-tyre", "45 psi", "--json")
    document = json.loads(result.output)
    assert (document["format"], document["version"]) == ("badride-harshness", 2)
    assert [end["end"] for end in document["ends"]] == ["front", "rear"]
    for end in document["ends"]:
        rides = {item["ride"]: item for item in end["rides"]}
        assert len(rides) == 12
        worst = rides[end["worst"]]
        total = sum(share["effect"]["middle"] for share in end["shares"])
        assert total == pytest.approx(worst["measured"] / worst["target"] - 1.0, abs=0.001)
        assert {sense["name"] for sense in end["senses"]} == {"start", "deep", "last", "height"}
        assert end["unseen"]
        assert end["what_if"]
        assert end["curves"]
    assert document["questions"] == [
        "rear-tyre is 45 psi; 6 to 35 psi is usual. Is that what was read?"
    ]


def test_a_tyre_too_soft_is_warned_of_before_the_answer() -> None:
    said = " ".join(harsh("--front-tyre", "6 psi").output.split())
    assert said.index("CAUTION: tyre too soft") < said.index("Tyre or damping?")
    assert "rim touch at 8 m/s: 50 mm, as it should be 65; higher is safer (less spare" in said
    assert "two psi out" not in said


def test_what_the_model_cannot_see_is_on_the_page() -> None:
    """By end, with the reason."""
    front = " ".join(harsh("--front-tyre", "12.5 psi").output.split())
    rear = " ".join(harsh("--rear-tyre", "12.5 psi").output.split())
    assert "Not seen by the model, front: oil that is cold or of the wrong grade" in front
    assert "Not seen by the model, rear: a tight chain (the pull of the chain is left out)" in rear


def test_force_height_and_rim_are_lines_of_their_own() -> None:
    """A stiff spring: hardly felt as vibration, felt deep in the stroke and as height."""
    said = " ".join(harsh("--fork-spring", "5.4 N/mm").output.split())
    assert re.search(r"force two thirds down: \d+ N, should be \d+ \(firmer, perhaps felt\)", said)
    assert re.search(
        r"sag at the wheel, rider on: \d+ mm, should be \d+ \(stands higher, perhaps felt\)", said
    )
    assert "less than a rider can be sure to feel; but it is felt otherwise" in said


# -- asking --------------------------------------------------------------------------------------


def test_it_asks_line_by_line_and_enter_means_dont_know() -> None:
    typed = "25 psi\n8\n\n20\n" + "\n" * 20
    result = harsh("--ask", typed=typed)
    assert result.exit_code == 0
    assert "Front tyre pressure, cold [psi]:" in result.stderr
    assert result.stdout == harsh(*MIXED).stdout


def test_a_bad_line_is_asked_again_and_a_surprising_one_asked_back() -> None:
    result = harsh("--ask", typed="-3\nlots\n50\nn\n25\n" + "\n" * 20)
    assert result.exit_code == 0
    assert "front-tyre is -3 psi; it must be between 0 and 80 psi" in result.stderr
    assert "'lots' is not a number with a unit" in result.stderr
    assert (
        "front-tyre is 50 psi; 6 to 35 psi is usual. Is that what was read? [y/n]:" in result.stderr
    )
    assert "25 psi now" in result.output


def test_the_end_of_input_ends_the_asking() -> None:
    result = harsh("--ask", typed="25 psi\n")
    assert result.exit_code == 0
    assert first_percent(result) > 0


def test_what_is_given_is_not_asked() -> None:
    result = harsh("--ask", "--front-tyre", "25 psi", typed="")
    assert "Front tyre pressure" not in result.stderr
    assert result.exit_code == 0


def test_nothing_to_go_on_says_what_would_do() -> None:
    result = harsh()
    assert result.exit_code == 2
    assert "give at least one value, such as --front-tyre '25 psi'" in result.stderr


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (["--front-tyre", "-3 psi"], "front-tyre is -3 psi; it must be between 0 and 80 psi"),
        (["--front-tyre", "25 furlongs"], "unit 'furlongs' is not known"),
        (["--rear-sag", "400 mm"], "rear-sag is 400 mm; it must be between 0 and 307 mm"),
        (["--trapped-air", "-1.2 bar"], "below a vacuum"),
        (["--trapped-air", "10 kPa", "--bled-at", "0 m"], "give one or the other"),
        (["--front-tyre", "25", "--target", "front-tyre"], "write it as NAME=VALUE"),
        (["--front-tyre", "25", "--target", "bled-at=0 m"], "there are front-tyre"),
        (["--front-tyre", "25", "--target", "front-tyre=-1"], "it must be between 0 and 80 psi"),
    ],
)
def test_bad_values_exit_2_with_a_message(args: list[str], message: str) -> None:
    result = harsh(*args)
    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([*VALUES, *PLACES]),
            st.one_of(
                st.text(max_size=10),
                st.floats(-500, 500).map(lambda number: f"{number:.1f}"),
            ),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_nothing_written_ends_in_a_traceback(written: list[tuple[str, str]]) -> None:
    args = [part for name, text in written for part in (f"--{name}", text)]
    # The refusals, not the budget, are tried here: the last word is always a bad value.
    result = harsh(*args, "--target", "nonsense")
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)


@settings(max_examples=2, deadline=None)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "front-tyre": st.floats(0, 80),
            "fork-compression": st.floats(0, 60),
            "front-gap": st.floats(0, 150),
            "front-sag": st.floats(20, 130),
            "trapped-air": st.floats(-100, 600),
            "rear-tyre": st.floats(0, 80),
            "rear-sag": st.floats(20, 200),
        },
    )
)
def test_whatever_can_be_is_answered_or_refused(values: dict[str, float]) -> None:
    args = [part for name, size in values.items() for part in (f"--{name}", f"{size:.2f}")]
    result = harsh(*args, "--json")
    assert result.exit_code in (0, 2)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    if result.exit_code == 0:
        assert "NaN" not in result.output


# -- charts --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "fancy", "drawn"),
    [(0.5, True, "█████"), (0.55, True, "█████▌"), (1.7, False, "#" * 10), (-0.3, True, ""), (0.26, False, "###")],
)  # fmt: skip
def test_bars(share: float, fancy: bool, drawn: str) -> None:
    assert bar(share, 10, fancy=fancy) == drawn


def test_a_flat_curve_still_draws() -> None:
    rows = chart(
        [0.0, 1.0], {"edge": [100.0, 100.0]}, unit="psi", mark=0.5, span=(100.0, 100.0), fancy=False
    )
    assert any("*" in row for row in rows)
    assert all(row.isascii() for row in rows)


def test_harsh_is_a_command_of_the_program() -> None:
    assert isinstance(main.get_command(click.Context(main), "harsh"), click.Command)
