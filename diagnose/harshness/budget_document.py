"""The harshness budget as one document with a stable format, for other programs to read."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from diagnose.harshness.changes import what_ifs
from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.curves import curves
from diagnose.harshness.shares import EndAnswer, answer_end, tyre_or_damping
from diagnose.harshness.stand_in import stand_in
from diagnose.harshness.values import End, KnownValues, questions
from diagnose.physics.budget.axle_budget import Estimate, ObstacleBudget
from diagnose.physics.budget.factors import Factor
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
    """One factor's Shapley value in m/s², and its share of the extra harshness (0 to 1)."""

    factor: str
    value: float
    low: float
    high: float
    share: BandItem | None


class ObstacleItem(_Part):
    """The budget over one obstacle; the values of the shares add up to measured - target (m/s²).

    `bottomed`: the end as measured uses all its travel, which more damping or spring cures.
    """

    obstacle: str
    measured: float
    target: float
    extra: BandItem
    bottomed: bool
    shares: list[ShareItem]


class EffectItem(_Part):
    """Harshness after a change over harshness before it, less one: -0.06 is 6 % softer."""

    obstacle: str
    change: BandItem


class WhatIfItem(_Part):
    """What one change alone does over each obstacle."""

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
    """The budget, the changes and the curves of one end."""

    end: str
    tyre_or_damping: str
    groups: dict[str, BandItem] | None
    obstacles: list[ObstacleItem]
    what_if: list[WhatIfItem]
    curves: list[CurveItem]


class HarshnessDocument(_Part):
    """The whole document. Fields are only ever added within one `version`."""

    format: Literal["badride-harshness"] = "badride-harshness"
    version: Literal[1] = 1
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
                target_source="as given" if item.target_given else item.value.source,
            )
            for item in case.used
        ],
        hardware=stand_in().title,
        questions=list(questions(known)),
        ends=[_end(case, end) for end in End if case.any_measured(end)],
    )


def _end(case: HarshnessCase, end: End) -> EndItem:
    answer = answer_end(case, end)
    groups = answer.groups
    return EndItem(
        end=end.value,
        tyre_or_damping=tyre_or_damping(case, answer),
        groups=None if groups is None else {name: _band(part) for name, part in groups.items()},
        obstacles=[_obstacle(answer, item) for item in answer.budget.obstacles],
        what_if=[
            WhatIfItem(
                title=change.title,
                effects=[
                    EffectItem(obstacle=effect.obstacle, change=_band(effect.change))
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
            for curve in curves(case, end)
        ],
    )


def _obstacle(answer: EndAnswer, item: ObstacleBudget) -> ObstacleItem:
    parts = answer.shares(item.obstacle) or {}
    return ObstacleItem(
        obstacle=item.obstacle,
        measured=_rounded(item.measured),
        target=_rounded(item.target),
        extra=_band(answer.worse(item.obstacle)),
        bottomed=item.obstacle in answer.bottomed,
        shares=[
            ShareItem(
                factor=share.factor.value,
                value=_rounded(share.value),
                low=_rounded(share.low),
                high=_rounded(share.high),
                share=_band(parts[share.factor]) if share.factor in parts else None,
            )
            for share in (item.share(factor) for factor in Factor)
        ],
    )


def _quantity(quantity: Quantity) -> QuantityItem:
    return QuantityItem(value=quantity.value, unit=quantity.unit)


def _band(share: Estimate) -> BandItem:
    return BandItem(
        middle=_rounded(share.middle), low=_rounded(share.low), high=_rounded(share.high)
    )


def _rounded(value: float) -> float:
    return round(value, 4)
