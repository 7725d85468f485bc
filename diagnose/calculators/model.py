"""What a calculator is: inputs with units, a formula, a source, and a function from SI to SI."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from rules.problems import BadInput
from rules.units.quantities import Quantity, parse_quantity, si_unit

__all__ = ["Calculation", "Calculator", "Given", "Input", "Result", "Values", "calculate"]

AIR_CAUTION = (
    "Bleed with the fork cold and the front wheel off the ground, face away from the screw, eyes "
    "covered. Gas chambers of a shock or an air fork are for a trained technician."
)
SPRING_CAUTION = (
    "A spring under preload can throw parts: the manual first, the proper compressor, never "
    "improvise."
)
TORQUE_CAUTION = (
    "The manual's torque goes first, also against this figure; use a torque wrench, bring both "
    "bolts of a clamp up in turns, and keep threads as the manual means them, mostly clean and dry."
)
RIDE_CAUTION = "After any change to the chassis ride slowly first, in a safe place."


@dataclass(frozen=True, slots=True)
class Input:
    """One value a calculator takes.

    `name`: of the option.
    `title`: what it is.
    `unit`: unit of a bare number; None takes any unit.
    `default`: taken where nothing is given; without one, it must be given unless `optional`.
    `source`: how the default is known.
    `possible`: lowest and highest possible value, in `unit`.
    `usual`: lowest and highest usual value, in `unit`.
    `words`: instead of a quantity, one of these words.
    `optional`: whether it may be left out without a default.
    `many`: whether it may be given several times, in order.
    """

    name: str
    title: str
    unit: str | None = ""
    default: str | None = None
    source: str = ""
    possible: tuple[float, float] | None = None
    usual: tuple[float, float] | None = None
    words: tuple[str, ...] = ()
    optional: bool = False
    many: bool = False

    def read(self, text: str) -> Quantity | str:
        """The value as written. Raises `BadInput` naming the input and what would be accepted."""
        if self.words:
            word = text.strip().lower()
            if word not in self.words:
                raise BadInput(
                    f"{self.name} is {text!r}; it must be one of {', '.join(self.words)}"
                )
            return word
        try:
            quantity = parse_quantity(text, self.unit)
        except BadInput as error:
            raise BadInput(f"{self.name}: {error}") from None
        if self.possible is not None and self.unit is not None:
            low, high = self.possible
            if not low <= quantity.to(self.unit).value <= high:
                raise BadInput(
                    f"{self.name} is {quantity}; "
                    f"it must be between {_plain(low)} and {_plain(high)} {self.unit}".rstrip()
                )
        return quantity

    def question(self, value: Quantity | str) -> str | None:
        """The question to ask about a value that is possible but unusual, else None."""
        if isinstance(value, str) or self.usual is None or self.unit is None:
            return None
        low, high = self.usual
        if low <= value.to(self.unit).value <= high:
            return None
        usual = f"{_plain(low)} to {_plain(high)} {self.unit}".rstrip()
        return f"{self.name} is {value}; {usual} is usual. Is that what was read?"


@dataclass(frozen=True, slots=True)
class Given:
    """An input as it was used: `assumed` where the default was taken."""

    input: Input
    values: tuple[Quantity | str, ...]
    assumed: bool


@dataclass(frozen=True, slots=True)
class Values:
    """The inputs by name, for a calculator's function."""

    given: Mapping[str, Given]

    def has(self, name: str) -> bool:
        """Whether the input was given or has a default."""
        return name in self.given

    def quantity(self, name: str) -> Quantity:
        """The input in the unit in which it was written."""
        value = self.given[name].values[0]
        assert isinstance(value, Quantity)
        return value

    def word(self, name: str) -> str:
        """The input, where it is one of some words."""
        value = self.given[name].values[0]
        assert isinstance(value, str)
        return value

    def si(self, name: str) -> float:
        """The input in SI; counts, clicks and turns as they are."""
        return _si(self.quantity(name))

    def maybe(self, name: str) -> float | None:
        """The input in SI, or None where it was left out."""
        return self.si(name) if self.has(name) else None

    def every(self, name: str) -> tuple[float, ...]:
        """Every value of an input that may be given several times, in SI."""
        values = self.given[name].values if self.has(name) else ()
        return tuple(_si(value) for value in values if isinstance(value, Quantity))


def _si(quantity: Quantity) -> float:
    return quantity.to(si_unit(quantity.unit)).value


def _plain(number: float) -> str:
    return f"{number:.6g}"


@dataclass(frozen=True, slots=True)
class Result:
    """One figure that a calculator gives.

    `name`: for programs.
    `title`: for people.
    `value`: in SI.
    `unit`: SI unit of `value`; empty for a plain number.
    `shown`: units to show it in.
    `low`: lower end of its range, where it has one.
    `high`: upper end.
    """

    name: str
    title: str
    value: float
    unit: str
    shown: tuple[str, ...]
    low: float | None = None
    high: float | None = None

    def text(self) -> str:
        """The result as people write it."""
        parts = []
        for unit in self.shown:
            own = [
                Quantity(value, self.unit).to(unit).value
                for value in (self.value, self.low, self.high)
                if value is not None
            ]
            band = f" ({_short(own[1])} to {_short(own[2])})" if len(own) == 3 else ""
            parts.append(f"{_short(own[0])}{band} {Quantity(0.0, unit).unit}".rstrip())
        return " = ".join(parts)


def _short(number: float) -> str:
    """Four significant figures, without an exponent below ten million."""
    if 1e4 <= abs(number) < 1e7:
        return f"{number:.0f}"
    return f"{number or 0.0:.4g}"


@dataclass(frozen=True, slots=True)
class Calculator:
    """One calculation of the workshop.

    `name`: on the command line.
    `title`: one line.
    `formula`: as people write it.
    `inputs`: what it takes.
    `source`: where formula and numbers come from.
    `module`: the physics behind it.
    `compute`: from inputs to results.
    `say`: sentences about the results.
    `cautions`: to mind before anything is done.
    """

    name: str
    title: str
    formula: str
    inputs: tuple[Input, ...]
    source: str
    module: str
    compute: Callable[[Values], Iterable[Result]]
    say: Callable[[Values], Iterable[str]] = lambda _: ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Calculation:
    """The results of a calculator for the inputs given."""

    calculator: Calculator
    given: tuple[Given, ...]
    figures: tuple[Result, ...]
    says: tuple[str, ...]
    questions: tuple[str, ...] = field(default=())


def calculate(calculator: Calculator, texts: Mapping[str, Sequence[str]]) -> Calculation:
    """Read the inputs as people wrote them and compute.

    Raises `BadInput` for a value that cannot be read or is impossible, one that is missing, or one
    that is not an input.
    """
    known = {item.name for item in calculator.inputs}
    for name in texts:
        if name not in known:
            raise BadInput(
                f"{calculator.name} takes no {name!r}; it takes {', '.join(sorted(known))}"
            )
    given = tuple(_given(calculator, texts))
    values = Values({item.input.name: item for item in given})
    asked = (item.input.question(value) for item in given for value in item.values)
    return Calculation(
        calculator,
        given,
        tuple(calculator.compute(values)),
        tuple(calculator.say(values)),
        tuple(question for question in asked if question is not None),
    )


def _given(calculator: Calculator, texts: Mapping[str, Sequence[str]]) -> Iterator[Given]:
    for item in calculator.inputs:
        written = tuple(texts.get(item.name, ()))
        if len(written) > 1 and not item.many:
            raise BadInput(f"{item.name} is given {len(written)} times; give it once")
        if written:
            yield Given(item, tuple(item.read(text) for text in written), assumed=False)
        elif item.default is not None:
            yield Given(item, (item.read(item.default),), assumed=True)
        elif not item.optional:
            example = f", such as --{item.name} '{_example(item)}'"
            raise BadInput(f"{calculator.name} needs {item.name}: {item.title}{example}")


def _example(item: Input) -> str:
    if item.words:
        return item.words[0]
    middle = sum(item.usual) / 2 if item.usual else 10.0
    return f"{middle:.3g} {item.unit or ''}".strip()
