"""The calculators: figures of the trade, honest defaults, and messages for what cannot be."""

from __future__ import annotations

import importlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators import calculators
from diagnose.calculators.model import Calculation, Calculator, Result, calculate
from diagnose.calculators.report import calculation_document
from rules.problems import BadInput
from rules.units.quantities import Quantity

# What each calculator needs beside its defaults.
NEEDED: dict[str, dict[str, list[str]]] = {
    "trapped-air": {"bled-at": ["0 m"], "ridden-at": ["1500 m"]},
    "open-air": {"height": ["2000 m"]},
    "tyre-pressure": {
        "pressure": ["13 psi"], "temperature": ["20 °C"], "new-temperature": ["40 °C"],
    },
    "tyre-hot": {"pressure": ["14 psi"], "hot": ["45 °C"], "cold": ["20 °C"]},
    "tyre-stiffness": {"pressure": ["100 kPa"]},
    "sag": {"extended": ["600 mm"], "unladen": ["565 mm"], "laden": ["500 mm"]},
    "friction": {"extended": ["600 mm"], "pushed": ["530 mm"], "lifted": ["550 mm"]},
    "spring": {"extended": ["600 mm"], "unladen": ["585 mm"], "laden": ["500 mm"]},
    "wheel-rate": {"spring-rate": ["56 N/mm"]},
    "preload": {"sag": ["110 mm"]},
    "bounce": {"peak": ["40 mm", "14 mm", "5 mm"]},
    "clamp": {"torque": ["20 N·m"]},
    "service-age": {"hours": ["40 h"]},
    "units": {"value": ["25 psi"]},
}  # fmt: skip


def answer(name: str, **changes: str) -> Calculation:
    texts = dict(NEEDED.get(name, {}))
    texts |= {key.replace("_", "-"): [text] for key, text in changes.items()}
    return calculate(calculators()[name], texts)


def figure(name: str, wanted: str, **changes: str) -> Result:
    return next(item for item in answer(name, **changes).figures if item.name == wanted)


@pytest.mark.parametrize("name", list(calculators()))
def test_each_shows_formula_inputs_and_source(name: str) -> None:
    calculator, done = calculators()[name], answer(name)
    assert calculator.formula
    assert calculator.source
    assert importlib.import_module(calculator.module)
    assert done.figures
    assert all(item.text() for item in done.figures)
    for item in calculator.inputs:
        assert item.default is None or item.source, f"{item.name}: a default without a source"
    assert calculation_document(done).model_dump_json()


def test_a_torque_a_spring_and_an_air_screw_carry_a_caution() -> None:
    for name in ("clamp", "fork-alignment", "spring", "preload", "trapped-air", "service-age"):
        assert calculators()[name].cautions


@pytest.mark.parametrize(
    ("name", "changes", "wanted", "expected", "within"),
    [
        # sealed at the sea at 20 °C, ridden at 2000 m with air at 45 °C: 30.5 kPa, 55 N a leg
        ("trapped-air", {"ridden_at": "2000 m", "bled_temperature": "20 °C", "fork_temperature": "45 °C"}, "gauge", 30_500, 100),
        ("trapped-air", {"ridden_at": "2000 m", "bled_temperature": "20 °C", "fork_temperature": "45 °C"}, "force", 55.0, 0.3),
        ("trapped-air", {"bled_at": "1000 m", "ridden_at": "0 m"}, "gauge", -9_350, 300),
        ("open-air", {}, "pressure", 79_500, 20),
        ("tyre-pressure", {}, "change", 13_000, 300),
        ("tyre-stiffness", {"carcass": "0 N/mm"}, "stiffness", 76_000, 500),
        ("sag", {}, "race", 0.100, 1e-9),
        ("sag", {}, "race-percent", 32.8, 0.05),
        ("friction", {}, "force", 119.0, 0.5),
        ("spring", {}, "spring-rate", 42_500, 100),
        ("wheel-rate", {}, "static", 0.0355, 0.0006),  # 35.7 mm for 56 N/mm at 100 mm race sag
        ("preload", {}, "turns", 2.65, 0.01),
        ("clamp", {}, "preload", 12_500, 1),  # M8, 20 N·m, dry
        ("clamp", {"threads": "greased", "torque": "20 N·m"}, "share", 166.7, 0.1),
        ("geometry", {"tubes_raised": "5 mm"}, "trail-change", -0.00122, 0.00001),
        ("geometry", {"rear_sag": "10 mm"}, "trail-change", 0.00274, 0.00001),
        ("frequencies", {"sprung": "78 kg", "tyre_stiffness": "95 N/mm"}, "wheel-hop", 13.4, 0.1),
        ("units", {}, "value", 172_369, 1),
    ],
)  # fmt: skip
def test_known_figures_of_the_trade(
    name: str, changes: dict[str, str], wanted: str, expected: float, within: float
) -> None:
    """Worked figures; those with a comment are printed or computed elsewhere beforehand."""
    assert figure(name, wanted, **changes).value == pytest.approx(expected, abs=within)


def test_units_are_as_people_write_them() -> None:
    metric, imperial = (
        figure("clamp", "preload"),
        figure("clamp", "preload", torque="14.7512 ft-lb"),
    )
    assert metric.value == pytest.approx(imperial.value, rel=1e-4)
    assert figure("units", "value").text() == "25 psi = 172369 Pa = 1.724 bar = 172.4 kPa"
    assert figure("trapped-air", "gauge").text().endswith("psi")


def test_low_static_sag_at_right_race_sag_asks_for_a_stiffer_spring() -> None:
    assert answer("spring").says[0].startswith("Stiffer")
    assert figure("spring", "spring-change").value > 0


def test_what_was_assumed_is_told_from_what_was_given() -> None:
    assumed = {item.input.name: item.assumed for item in answer("clamp").given}
    assert assumed == {"torque": False, "spec": True, "thread": True, "threads": True}


def test_a_surprising_value_is_asked_back_and_still_computed() -> None:
    done = answer("tyre-stiffness", pressure="50 psi")
    assert "Is that what was read?" in done.questions[0]
    assert done.figures


@pytest.mark.parametrize(
    ("name", "changes", "message"),
    [
        ("sag", {"extended": "-600 mm"}, r"extended is -600 mm; it must be between 50 and 1500 mm"),
        ("sag", {"laden": "200 mm"}, "beyond the travel"),
        ("sag", {"laden": "590 mm"}, "can only shorten"),
        ("tyre-pressure", {"pressure": "-20 psi"}, "pressure is -20 psi; it must be between 0 and 80 psi"),
        ("tyre-pressure", {"pressure": "13 mm"}, "is a length; give a pressure"),
        ("tyre-pressure", {"pressure": "soft"}, "pressure: 'soft' is not a number with a unit"),
        ("clamp", {"threads": "wet"}, "must be one of dry, oiled, greased"),
        ("clamp", {"torque": "0 N·m"}, "torque is 0 N·m"),
        ("open-air", {"barometer": "90 kPa"}, "one of the two"),
        ("bounce", {"swings": "3"}, "not both"),
        ("bounce", {"peak": "40 mm"}, "two or more"),
        ("units", {"value": "25"}, "needs a unit"),
        ("units", {"value": "25 furlongs"}, "unit 'furlongs' is not known"),
        ("clicks", {"sideways": "2"}, "takes no 'sideways'"),
    ],
)  # fmt: skip
def test_bad_values_are_named_with_what_would_do(
    name: str, changes: dict[str, str], message: str
) -> None:
    with pytest.raises(BadInput, match=message):
        answer(name, **changes)


def test_a_missing_value_is_asked_for_by_name() -> None:
    with pytest.raises(BadInput, match=r"clamp needs torque: torque used, such as --torque"):
        calculate(calculators()["clamp"], {})


def _fuzzed(calculator: Calculator) -> st.SearchStrategy[dict[str, list[str]]]:
    number = st.one_of(
        st.floats(-1e6, 1e6).map(lambda x: f"{x:.3f}"),
        st.integers(-3, 800).map(str),
        st.sampled_from(["", "-", "1e5", "nan", "inf", "0", "9" * 60, "1,5", "²"]),
    )
    unit = st.sampled_from(
        ["", "psi", "mm", "N·m", "°C", "kg", "clicks", "N/mm", "K", "%", "m", "h"]
    )
    text = st.builds(lambda a, b: f"{a} {b}".strip(), number, unit)
    entry = st.lists(text, min_size=1, max_size=2)
    return st.dictionaries(st.sampled_from([item.name for item in calculator.inputs]), entry)


@pytest.mark.parametrize("name", list(calculators()))
def test_no_value_breaks_a_calculator(name: str) -> None:
    """Whatever is written, there is an answer in ordinary numbers or a message."""
    calculator = calculators()[name]

    @settings(max_examples=60, deadline=None)
    @given(_fuzzed(calculator))
    def run(texts: dict[str, list[str]]) -> None:
        try:
            done = calculate(calculator, {**NEEDED.get(name, {}), **texts})
        except BadInput as error:
            assert len(str(error)) > 10
        else:
            assert calculation_document(done).model_dump_json()
            assert all(abs(item.value) < float("inf") for item in done.figures)

    run()


def test_figures_convert_from_si() -> None:
    shown = Result("x", "X", 6_894.757, "Pa", ("psi", "kPa"), 0.0, 13_789.51).text()
    assert shown == "1 (0 to 2) psi = 6.895 (0 to 13.79) kPa"
    assert Quantity(1, "psi").to("Pa").value == pytest.approx(6_894.757, rel=1e-6)
