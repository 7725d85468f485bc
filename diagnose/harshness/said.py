"""What the harshness budget says, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.senses import RIM_SPARE, Rim, Sense
from diagnose.harshness.shares import FELT, PERHAPS, PLAIN, EndAnswer, Estimate
from diagnose.harshness.unseen import unseen
from diagnose.harshness.values import End
from diagnose.physics.budget.factors import Factor

__all__ = [
    "band",
    "bottoming",
    "caution",
    "factor_label",
    "felt_word",
    "first_words",
    "friction_found",
    "rim_line",
    "sense_line",
    "tyre_or_damping",
    "unseen_words",
    "whole_percent",
    "worst_words",
]


def whole_percent(share: float) -> str:
    """A share in whole percent, never '-0'."""
    return f"{round(100 * share) or 0} %"


def band(share: Estimate) -> str:
    """A share with its band: `71 % (58 to 80)`; without one where both ends are the middle."""
    low, high = (round(100 * value) or 0 for value in (share.low, share.high))
    middle = whole_percent(share.middle)
    return middle if share.low == share.high else f"{middle} ({low} to {high})"


def felt_word(steps: float) -> str:
    """How a number of felt steps is felt."""
    for least, word in ((PLAIN, "plainly felt"), (FELT, "felt"), (PERHAPS, "perhaps felt")):
        if steps >= least:
            return word
    return "hardly felt"


def first_words(ride: str, extra: float) -> str:
    """The first number, a best guess."""
    if extra < 0.005:
        return "on no ride harsher than it should be (best guess)."
    return f"worst on {ride}, {whole_percent(extra)} harsher than it should be (best guess)."


def worst_words(answer: EndAnswer, ride: str) -> str:
    """How much harsher over a ride, with its band and what of that is felt."""
    steps = answer.steps(ride)
    return f"{band(answer.worse(ride))} harsher, {felt_word(steps.middle)}"


def friction_found(case: HarshnessCase, end: End) -> str:
    """The friction, named by what was found: clamps only where their torque was."""
    if end is End.REAR:
        return "friction"
    clamps = case.used_value("fork-clamps")
    tight = clamps.measured is not None and (
        clamps.measured.to("N·m").value > clamps.target.to("N·m").value
    )
    return "over-tight clamps" if tight else "friction"


def factor_label(factor: Factor, case: HarshnessCase, end: End) -> str:
    """What a technician calls the factor at this end, by what was found."""
    if factor is Factor.FRICTION:
        return friction_found(case, end)
    if end is End.FRONT and factor is Factor.LOW_SPEED_COMPRESSION:
        return "compression"
    return {Factor.SPRING: "spring and sag"}.get(factor, factor.value)


def tyre_or_damping(case: HarshnessCase, answer: EndAnswer) -> str:
    """The answer to 'tyre or damping?' at this end, in one sentence."""
    if not case.any_measured(answer.end) and not answer.differing:
        return "nothing measured at this end yet: begin with its tyre pressure, cold."
    groups = answer.groups
    if groups is None:
        return _neither(answer)
    friction = friction_found(case, answer.end)
    shares = {friction if name == "friction" else name: part for name, part in groups.items()}
    hardly = answer.steps(answer.over).middle < PERHAPS
    few = f" It is less than a rider can be sure to feel{_but(answer)}." if hardly else ""
    return _leading(case, answer, shares) + few + _elsewhere(answer, friction)


def _leading(case: HarshnessCase, answer: EndAnswer, shares: Mapping[str, Estimate]) -> str:
    """What makes most of the extra harshness, as far as the ranges let it be said."""
    ranked = sorted(shares.items(), key=lambda item: -item[1].middle)
    name, first = ranked[0]
    if len(answer.differing) == 1:
        alone = len(case.measured_at(answer.end)) == 1
        only = "only that was measured" if alone else "the rest of what was measured is right"
        return f"{name}; {only}, what was not measured could add to it."
    if first.low == first.high == 1.0:
        return f"{name}, which makes all of the extra harshness on {answer.over}."
    rest = [(other, part) for other, part in ranked[1:] if part.middle >= 0.005]
    tail = "".join(f", {other} {band(part)}" for other, part in rest)
    makes = f"of the extra harshness on {answer.over} {name} makes {band(first)}{tail}."
    if first.low >= 0.5:
        return f"{name}; {makes}"
    if first.middle >= 0.5:
        return f"more likely {name} than anything else; {makes}"
    return f"no one thing makes most of it; {makes}"


def _elsewhere(answer: EndAnswer, friction: str) -> str:
    """A ride where something else leads, since the worst one may hide it."""
    if answer.elsewhere is None:
        return ""
    ride, name = answer.elsewhere
    leads = friction if name == "friction" else name
    return f" On {ride}, {worst_words(answer, ride)}, {leads} leads."


def _neither(answer: EndAnswer) -> str:
    where = "on any ride" if answer.over == answer.worst else f"on {answer.over}"
    more = "makes it shake more" if answer.felt_otherwise else "makes it harsher"
    return f"neither: nothing here {more} {where}, by what was measured{_but(answer)}."


def _but(answer: EndAnswer) -> str:
    """What is felt besides vibration, as the tail of a sentence."""
    otherwise = [
        f"{sense.title} {round(sense.measured)} {sense.unit}, not {round(sense.target)}"
        for sense in answer.felt_otherwise
    ]
    return f"; but it is felt otherwise: {'; '.join(otherwise)}" if otherwise else ""


def sense_line(sense: Sense) -> str:
    """One thing felt besides vibration, against what it should be."""
    now, should = round(sense.measured), round(sense.target)
    if sense.steps is None:
        felt = "shows in a push by hand"
    elif abs(sense.steps.middle) < PERHAPS:
        felt = "hardly felt"
    else:
        height = sense.name == "height"
        up, down = ("stands higher", "stands lower") if height else ("firmer", "softer")
        felt = f"{up if sense.steps.middle > 0 else down}, {felt_word(abs(sense.steps.middle))}"
    return f"{sense.title}: {now} {sense.unit}, should be {should} ({felt})"


def rim_line(rim: Rim) -> str:
    """The edge on which the rim is met against what it should be, and which way is good."""
    if rim.measured == rim.target:
        return ""
    now, should = (
        "none up to 130" if edge is None else f"{1000 * edge:.0f}"
        for edge in (rim.measured, rim.target)
    )
    more = rim.measured is None or (rim.target is not None and rim.measured > rim.target)
    good = "no fault: more spare than it should have" if more else "less spare than it should have"
    return (
        f"lowest square edge that lets the rim touch at 8 m/s: {now} mm, as it should be {should}; "
        f"higher is safer ({good})"
    )


def caution(case: HarshnessCase, answer: EndAnswer) -> str | None:
    """What to see to before riding: a tyre too soft for its rim; None where there is nothing.

    By a rule of thumb, what bikes of the kind are built to may be too soft, and no more is said.
    """
    met, should = answer.rim.measured, answer.rim.target
    name = f"{answer.end}-tyre"
    tyre = case.used_value(name)
    if tyre.measured is None or met is None or should is None or should - met < RIM_SPARE:
        return None
    pressure = tyre.measured.to("Pa").value
    if pressure >= tyre.target.to("Pa").value:
        return None
    edge = f"The rim is met on an edge of {1000 * met:.0f} mm, not {1000 * should:.0f}."
    least = case.known.least_built(name)
    if tyre.target_given or least is None or pressure < least.to("Pa").value:
        harm = "It pinches, dents the rim and may leave it; pump it up before riding."
        return f"tyre too soft. {edge} {harm}"
    return (
        f"the tyre may be too soft; {tyre.target} is only a rule of thumb. By that: {edge} Look "
        "the manual's figure up, and where it is higher pump the tyre up before riding."
    )


def bottoming(answer: EndAnswer) -> Iterator[str]:
    """The rides over which all of the travel is used."""
    for ride in answer.survey.names:
        if ride in answer.survey.bottomed:
            yield (
                f"on {ride} all of the travel is used: that is bottoming, which more compression "
                "or spring cures, not less."
            )


def unseen_words(end: End) -> str:
    """What the model cannot see at this end, and why."""
    here = [f"{item.what} ({item.why})" for item in unseen() if item.end is end]
    return "; ".join(here) + "."
