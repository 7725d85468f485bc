"""The harshness budget as one document with a stable format, for other programs to read."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from diagnose.harshness.changes import what_ifs
from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.curves import curves
from diagnose.harshness.said import bottoming, caution, tyre_or_damping, unseen_words
from diagnose.harshness.senses import Sense
from diagnose.harshness.shares import answer_end
from diagnose.harshness.stand_in import stand_in
from diagnose.harshness.values import End, KnownValues, questions
from diagnose.physics.budget.axle_budget import Estimate
from rules.units.quantities import Quantity

COMPUTED_BY = "diagnose.physics.budget"


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class QuantityItem(_Part):
    """A number with its unit."""

    value: float
    unit: str


class ValueItem(_Part):
    """One value as measured (null where nobody measured it), and as it should be."""

    name: str
    title: str
    measured: QuantityItem | None
    target: QuantityItem
    target_given: bool
    target_source: str


class BandItem(_Part):
    """A best guess and its band: one draw in ten lies below, one in ten above."""

    middle: float
    low: float
    high: float


class ShareItem(_Part):
    """What one factor adds over a ride, as a share of the harshness as it should be, and its share
    (0 to 1) of what makes the end harsher; null where it softens."""

    factor: str
    effect: BandItem
    share: BandItem | None


class RideItem(_Part):
    """One ride (m/s²), how much harsher it is as a share, and in felt steps of ten per cent.

    `bottomed`: the end as measured uses all its travel, which more damping or spring cures; as it
    should be it does not.
    """

    ride: str
    measured: float
    target: float
    extra: BandItem
    steps: BandItem
    bottomed: bool


class SenseItem(_Part):
    """What is felt besides vibration; `steps` are null where only a push by hand shows it."""

    name: str
    title: str
    unit: str
    measured: float
    target: float
    steps: BandItem | None


class RimItem(_Part):
    """The lowest square edge (mm) on which the rim is met; null where none up to 130 mm."""

    measured: float | None
    target: float | None


class EffectItem(_Part):
    """Harshness after a change over harshness before it, less one: -0.06 is 6 % softer."""

    ride: str
    change: BandItem


class WhatIfItem(_Part):
    """What one change alone does over each ride."""

    title: str
    effects: list[EffectItem]


class CurveItem(_Part):
    """Harshness, in percent of what it should be, against one setting."""

    title: str
    unit: str
    now: float
    values: list[float]
    harshness: dict[str, list[float]]


class EndItem(_Part):
    """One end: its worst ride, the shares there (none where nothing is above noise), every ride,
    what is felt besides, the changes and the curves."""

    end: str
    worst: str
    tyre_or_damping: str
    caution: str | None
    checks: list[str]
    unseen: str
    groups: dict[str, BandItem] | None
    shares: list[ShareItem]
    rides: list[RideItem]
    senses: list[SenseItem]
    rim_edge: RimItem
    what_if: list[WhatIfItem]
    curves: list[CurveItem]


class HarshnessDocument(_Part):
    """The whole document. Fields are only ever added within one `version`."""

    format: Literal["badride-harshness"] = "badride-harshness"
    version: Literal[2] = 2
    computed_by: str = COMPUTED_BY
    values: list[ValueItem]
    hardware: str
    questions: list[str]
    ends: list[EndItem]


def harshness_document(known: KnownValues, case: HarshnessCase) -> HarshnessDocument:
    """The document of a case: every end at which something was measured.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    return HarshnessDocument(
        values=[
            ValueItem(
                name=item.value.name,
                title=item.value.title,
                measured=None if item.measured is None else _quantity(item.measured),
                target=_quantity(item.target),
                target_given=item.target_given,
                target_source=item.why,
            )
            for item in case.used
        ],
        hardware=stand_in(known.kind).title,
        questions=list(questions(known)),
        ends=[_end(case, end) for end in End if case.any_measured(end)],
    )


def _end(case: HarshnessCase, end: End) -> EndItem:
    answer = answer_end(case, end)
    groups = answer.groups
    found = answer.survey
    return EndItem(
        end=end.value,
        worst=answer.worst,
        tyre_or_damping=tyre_or_damping(case, answer),
        caution=caution(case, answer),
        checks=list(bottoming(answer)),
        unseen=unseen_words(end),
        groups=None if groups is None else {name: _band(part) for name, part in groups.items()},
        shares=[
            ShareItem(
                factor=factor.value,
                effect=_band(part.effect),
                share=None if part.share is None else _band(part.share),
            )
            for factor, part in (answer.parts or {}).items()
        ],
        rides=[
            RideItem(
                ride=ride,
                measured=_rounded(measured),
                target=_rounded(target),
                extra=_band(answer.worse(ride)),
                steps=_band(answer.steps(ride)),
                bottomed=ride in found.bottomed,
            )
            for ride, measured, target in zip(
                found.names, found.measured[:, 0], found.target[:, 0], strict=True
            )
        ],
        senses=[_sense(sense) for sense in answer.senses],
        rim_edge=RimItem(
            measured=_millimetres(answer.rim.measured), target=_millimetres(answer.rim.target)
        ),
        what_if=[
            WhatIfItem(
                title=change.title,
                effects=[
                    EffectItem(ride=effect.obstacle, change=_band(effect.change))
                    for effect in change.effects
                ],
            )
            for change in what_ifs(case, end)
        ],
        curves=[
            CurveItem(
                title=curve.title,
                unit=curve.unit,
                now=_rounded(curve.now),
                values=[_rounded(value) for value in curve.values],
                harshness={
                    name: [round(value, 1) for value in line]
                    for name, line in curve.harshness.items()
                },
            )
            for curve in curves(case, end, (answer.worst,))
        ],
    )


def _sense(sense: Sense) -> SenseItem:
    return SenseItem(
        name=sense.name,
        title=sense.title,
        unit=sense.unit,
        measured=_rounded(sense.measured),
        target=_rounded(sense.target),
        steps=None if sense.steps is None else _band(sense.steps),
    )


def _millimetres(edge: float | None) -> float | None:
    return None if edge is None else _rounded(1000.0 * edge)


def _quantity(quantity: Quantity) -> QuantityItem:
    return QuantityItem(value=quantity.value, unit=quantity.unit)


def _band(share: Estimate) -> BandItem:
    return BandItem(
        middle=_rounded(share.middle), low=_rounded(share.low), high=_rounded(share.high)
    )


def _rounded(value: float) -> float:
    return round(float(value), 4)
