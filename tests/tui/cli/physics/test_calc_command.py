"""`badride calc`: what is printed, what is refused, and that it never falls over."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators import calculators
from tui.cli.main import main
from tui.terminal.text import WIDTH


def calc(*args: str) -> Result:
    return CliRunner().invoke(main, ["calc", *args])


def test_without_a_name_it_lists_what_there_is() -> None:
    result = calc()
    assert result.exit_code == 0
    assert [line.split()[0] for line in result.output.splitlines()] == list(calculators())


def test_an_unknown_name_is_answered_with_what_there_is() -> None:
    result = calc("traped-air")
    assert result.exit_code == 2
    assert "did you mean 'trapped-air'; there are trapped-air, open-air" in result.stderr.replace(
        "?", ""
    )


def test_a_calculation_shows_formula_inputs_result_and_source() -> None:
    result = calc("sag", "--extended", "600 mm", "--unladen", "56.5cm", "--laden", "500")
    assert result.exit_code == 0
    assert result.output == (
        "Race and static sag from three lengths\n"
        "Formula: static = extended - unladen;  race = extended - laden\n"
        "Inputs:\n"
        "  extended: 600 mm = 0.6 m\n"
        "  unladen: 56.5 cm = 0.565 m\n"
        "  laden: 500 mm = 0.5 m\n"
        "  travel: 305 mm = 0.305 m (assumed: 300 and 307 mm in Yamaha Motor Co.,\n"
        "      YZ250F owner's service manual, 2007, p. 2-3)\n"
        "Result:\n"
        "  Race sag, rider on: 100 mm = 3.937 in\n"
        "  Race sag in percent of travel: 32.79 %\n"
        "  Static sag, bike alone: 35 mm = 1.378 in\n"
        "  Static sag in percent of travel: 11.48 %\n"
        "Source: definition; 100 mm at the rear, about a third of travel: Honda Motor\n"
        "  Co., CR250R owner's manual, 2004, p. 52.\n"
    )


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["trapped-air", "--bled-at", "0 m", "--ridden-at", "2000 m"], "clicker.\n"),
        (["clamp", "--torque", "15 ft-lb", "--threads", "greased"], "can pinch the fork tube"),
        (["bounce", "--peak", "40 mm", "--peak", "14 mm"], "Damping ratio, at most: 0.1648"),
        (["bounce", "--swings", "4"], "Damping ratio"),
        (["geometry", "--tubes-raised", "5 mm"], "Trail changes by: -1.218 mm"),
        (["tyre-pressure", "--pressure", "13 psi", "--temperature", "20 °C", "--new-temperature", "104 °F"], "psi"),
        (["units", "25 psi"], "25 psi = 172369 Pa = 1.724 bar = 172.4 kPa"),
        (["tyre-stiffness", "--pressure", "45 psi"], "CHECK: pressure is 45 psi"),
    ],
)  # fmt: skip
def test_usual_calls(args: list[str], said: str) -> None:
    result = calc(*args)
    assert (result.exit_code, result.stderr) == (0, "")
    assert said in result.output
    assert max(map(len, result.output.splitlines())) <= WIDTH


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (["sag", "--extended", "-600 mm"], "extended is -600 mm; it must be between 50 and 1500 mm"),
        (["sag", "--extended", "600", "--unladen", "565", "--laden", "200"], "beyond the travel of 0.305 m"),
        (["clamp"], "clamp needs torque"),
        (["clamp", "--torque", "17 psi"], "is a pressure; give a torque (N·m,"),
        (["units", "soft"], "not a number with a unit"),
        (["bounce"], "give peak two or more times, or swings once"),
        (["tyre-pressure", "--pressure", "-16 psi"], "it must be between 0 and 80 psi"),
    ],
)  # fmt: skip
def test_bad_values_exit_2_with_a_message(args: list[str], message: str) -> None:
    result = calc(*args)
    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""


def test_one_json_document() -> None:
    result = calc("clamp", "--torque", "20 N·m", "--json")
    document = json.loads(result.output)
    assert (document["format"], document["version"]) == ("badride-calculation", 1)
    figures = {item["name"]: item for item in document["figures"]}
    assert figures["preload"]["si"] == pytest.approx(12_500)
    assert figures["preload"]["shown"][0]["low"] == pytest.approx(8_750)
    inputs = {item["name"]: item for item in document["inputs"]}
    assert inputs["torque"] == {
        "name": "torque", "title": "torque used", "given": "20 N·m", "si": 20.0, "si_unit": "N·m",
        "assumed": False, "source": "as given",
    }  # fmt: skip
    assert inputs["thread"]["assumed"]
    assert document["cautions"]


@pytest.mark.parametrize("name", list(calculators()))
def test_each_has_help_with_its_units(name: str) -> None:
    result = calc(name, "--help")
    assert result.exit_code == 0
    assert "Source:" in result.output


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(list(calculators())),
    st.lists(st.tuples(st.integers(0, 9), st.text(max_size=12)), max_size=5),
)
def test_nothing_written_ends_in_a_traceback(name: str, written: list[tuple[int, str]]) -> None:
    inputs = calculators()[name].inputs
    args = [
        part
        for number, text in written
        for part in (f"--{inputs[number % len(inputs)].name}", text)
    ]
    result = calc(name, *args)
    assert result.exit_code in (0, 2)
    assert result.exception is None or isinstance(result.exception, SystemExit)
