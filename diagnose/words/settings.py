"""Settings of a bike in words: what is on record, how it stands to what it should be by the
manual's figure, by the bands of the pack or by the baseline, and the way back there."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from diagnose.case.figures import figure_of
from diagnose.findings.bands import reading_bands
from diagnose.records.bikes.against_baseline import SettingDifference
from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.fitting import knows
from diagnose.words.answers import answer_text
from diagnose.words.chances import ago
from diagnose.words.figure_words import figure_text, held_to, short_figure
from diagnose.words.titles import setting_title
from rules.language.schema import Observation
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity, Quantity

_ROUNDING = 0.01


class OnRecord(NamedTuple):
    """The latest note of an observation in words, and whether that is off by the rule base."""

    words: str
    is_off: bool
    on: date


def on_record(rules: RuleBase, bike: Bike, observation: str) -> OnRecord | None:
    """`0.8 bar, should be 0.9 bar`; None for what was never noted or is not in the rule base."""
    noted = bike.now.get(observation)
    if noted is None or not knows(rules, noted.answer):
        return None
    entry, reading = rules.observations[observation], noted.answer.reading
    words = answer_text(rules, noted.answer)
    if reading is None:
        return OnRecord(words, noted.answer.state != entry.normal, noted.on)
    if entry.target is None:
        return OnRecord(words, _is_off(entry, reading, None), noted.on)
    figure = figure_of(rules, bike.machine, entry.target)
    is_off = figure.judges(reading) and _is_off(entry, reading, figure.value)
    if is_off or (figure.is_own and _step(reading, figure.value) is not None):
        words += f", {held_to(entry)} {short_figure(figure)}"
    return OnRecord(words, is_off, noted.on)


def way_back(row: SettingDifference) -> str:
    """What takes a setting back from where it is now to the manual's figure, or else to the
    baseline: `3 clicks more`, in the unit of that figure.

    Empty where neither is on record, or where the setting is right.
    """
    baseline, now = row.baseline, row.now.answer
    if row.target is not None and row.is_own:
        aim: Quantity | None = row.target
    elif baseline is not None:
        aim = baseline.answer.reading
    else:
        return ""
    if now.reading is None or aim is None:
        return "set back" if baseline is not None and baseline.answer.state != now.state else ""
    step = _step(now.reading, aim)
    if step is None:
        return ""
    return f"{Quantity(abs(step.value), step.unit)} {'more' if step.value > 0 else 'less'}"


def _step(reading: Quantity, aim: Quantity) -> Quantity | None:
    """From a reading to what it should be; None where that is nothing, or no more than what
    rounding in another unit makes."""
    try:
        step = aim.value - reading.to(aim.unit).value
    except BadQuantity:
        return None
    if reading.unit != aim.unit and abs(step) < _ROUNDING * abs(aim.value):
        return None
    step = round(step, 2)
    return Quantity(step, aim.unit) if step else None


def _is_off(entry: Observation, reading: Quantity, target: Quantity | None) -> bool:
    assert entry.unit is not None
    value = round(reading.to(entry.unit).value, 9)
    normal = [
        low <= value <= high
        for _, state, low, high in reading_bands(entry, target)
        if state == entry.normal
    ]
    return bool(entry.bands) and not any(normal)


def setting_text(rules: RuleBase, row: SettingDifference, today: date) -> str:
    """Everything about one setting: its value and age, its baseline, what it should be."""
    parts = [
        setting_title(rules, row.observation),
        f"{answer_text(rules, row.now.answer)} since {row.now.on.isoformat()}, "
        f"{ago((today - row.now.on).days)}",
    ]
    if row.now.note:
        parts.append(row.now.note)
    if row.baseline is not None and row.baseline.answer != row.now.answer:
        parts.append(f"baseline {row.baseline.on.isoformat()}")
    if row.figure is not None:
        parts.append(f"should be {figure_text(row.figure)}")
    return "; ".join(parts)
