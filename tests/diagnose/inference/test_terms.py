"""The posterior in terms, the recursion and what stands in for them, against plain enumeration."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.inference import recursion
from diagnose.inference.evidence import Question
from diagnose.inference.posterior import MOST_TOGETHER, chances_of
from diagnose.inference.terms import Flags, Floats, Piece, TooManyTerms, connected, expand

FINDING = np.array([0.0, 1.0])


def finding(quiet: list[float], background: float) -> Piece:
    return Piece(np.array([quiet]), np.array([background]), FINDING)


@dataclass(frozen=True)
class Enumerated:
    """Every set of causes (rows) and its share of the probability of what was seen."""

    holds: Flags
    shares: Floats
    mass: float

    @property
    def marginal(self) -> Floats:
        return np.asarray(self.shares @ self.holds)


def enumerated(odds: Floats, pieces: tuple[Piece, ...]) -> Enumerated:
    """Set by set and bit by bit, in plain Python."""
    rows, weights = [], []
    for present in itertools.product((False, True), repeat=len(odds)):
        weight = 1.0
        for ratio, there in zip(odds, present, strict=True):
            weight *= ratio / (1 + ratio) if there else 1 / (1 + ratio)
        for piece in pieces:
            silent = [
                leak * math.prod(q for q, there in zip(quiet, present, strict=True) if there)
                for quiet, leak in zip(piece.quiet, piece.background, strict=True)
            ]
            weight *= sum(
                likelihood
                * math.prod(1 - one if made >> bit & 1 else one for bit, one in enumerate(silent))
                for made, likelihood in enumerate(piece.weights)
            )
        rows.append(present)
        weights.append(weight)
    total = np.array(weights)
    return Enumerated(np.array(rows), total / total.sum(), float(total.sum()))


@st.composite
def questions(draw: st.DrawFn) -> Question:
    """Up to seven causes, some of them ruled out, and up to five findings or complaints with rides."""
    rng = np.random.default_rng(draw(st.integers(0, 2**31)))
    causes = draw(st.integers(1, 7))
    odds = 10.0 ** rng.uniform(-4, 0.5, causes) * (rng.random(causes) < 0.95)
    pieces = []
    for bits in draw(st.lists(st.sampled_from([1, 1, 1, 2, 3]), max_size=5)):
        quiet = np.where(rng.random((bits, causes)) < 0.5, rng.random((bits, causes)), 1.0)
        quiet = np.where(rng.random(quiet.shape) < 0.05, 0.0, quiet)
        weights = FINDING if bits == 1 else rng.random(1 << bits)
        pieces.append(Piece(quiet, rng.uniform(0.5, 0.999, bits), weights))
    return Question(odds, tuple(pieces))


@given(questions())
def test_chances_match_enumeration(question: Question) -> None:
    expected = enumerated(question.odds, question.pieces)
    found = chances_of(question)
    assert found.is_exact
    assert found.marginal == pytest.approx(expected.marginal, abs=1e-9)
    assert math.exp(found.log_mass) == pytest.approx(expected.mass, rel=1e-9)


@given(questions())
def test_the_recursion_matches_enumeration(question: Question) -> None:
    if question.pieces:
        expected = enumerated(question.odds, question.pieces)
        marginal, log_mass = recursion.marginals(question.odds, question.pieces)
        assert marginal == pytest.approx(expected.marginal, abs=1e-12)
        assert math.exp(log_mass) == pytest.approx(expected.mass, rel=1e-12)


@given(questions(), st.data())
def test_joint_chances_match_enumeration(question: Question, data: st.DataObject) -> None:
    """Of any causes in any order, of parts that hang together and of causes apart."""
    expected = enumerated(question.odds, question.pieces)
    found = chances_of(question)
    some = data.draw(st.lists(st.integers(0, len(question.odds) - 1), unique=True))
    table = found.joint(np.array(some, dtype=np.intp))
    assert len(table) == 2 ** len(some)
    for number, chance in enumerate(table):
        wanted = [bool(number >> bit & 1) for bit in range(len(some))]
        rows = (expected.holds[:, some] == wanted).all(axis=1)
        assert chance == pytest.approx(expected.shares[rows].sum(), abs=1e-9)
    flags = np.zeros(len(question.odds), dtype=np.bool_)
    flags[some] = True
    none = expected.shares[~expected.holds[:, flags].any(axis=1)].sum()
    assert found.none_of(flags) == pytest.approx(none, abs=1e-9)
    quiet = ~expected.holds[:, flags].any(axis=1)
    beside = expected.shares[quiet] @ expected.holds[quiet]
    assert found.without(flags) == pytest.approx(beside, abs=1e-9)


@settings(max_examples=15)
@given(questions(), st.integers(0, 2**31))
def test_other_odds_beforehand_give_what_they_would_have_given(
    question: Question, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    factor = 10.0 ** rng.uniform(-1, 1, len(question.odds))
    factor[rng.random(len(factor)) < 0.3] = 2.0
    factor[rng.random(len(factor)) < 0.3] = 1.0
    expected = enumerated(question.odds * factor, question.pieces)
    found = chances_of(question).with_odds(factor)
    assert found == pytest.approx(expected.marginal, abs=1e-7)


@given(questions(), st.randoms(use_true_random=False))
def test_the_order_of_what_was_seen_does_not_matter(
    question: Question, shuffler: random.Random
) -> None:
    pieces = list(question.pieces)
    shuffler.shuffle(pieces)
    turned = chances_of(Question(question.odds, tuple(pieces)))
    assert turned.marginal == pytest.approx(chances_of(question).marginal, abs=1e-9)


def test_what_shares_no_cause_is_explained_apart() -> None:
    odds = np.array([0.1, 0.2, 0.3, 0.4])
    pieces = (
        finding([0.5, 1, 1, 1], 0.9),
        finding([1, 0.5, 0.5, 1], 0.9),
        finding([0.2, 1, 1, 1], 0.8),
    )
    parts = [
        (len(group), np.flatnonzero(reach).tolist()) for group, reach in connected(odds, pieces)
    ]
    assert parts == [(2, [0]), (1, [1, 2])]


def unlikely() -> Question:
    """Pairs of bits that were both made and next to never are: nothing to split by a first cause,
    and sums that lose all their digits."""
    rng = np.random.default_rng(7)
    odds = np.full(6, 1e-12)
    both = np.array([0.0, 0.0, 0.0, 1.0])
    pieces = [
        Piece(rng.uniform(0.3, 1.0, (2, 6)), np.array([1 - 1e-6, 1 - 1e-6]), both) for _ in range(4)
    ]
    return Question(odds, tuple(pieces))


def test_sums_that_cancel_are_left_to_the_recursion() -> None:
    question = unlikely()
    with pytest.raises(TooManyTerms):
        expand(question.odds, question.pieces)
    found = chances_of(question)
    expected = enumerated(question.odds, question.pieces)
    assert not found.is_exact  # each chance is, what hangs together is not kept
    assert found.marginal == pytest.approx(expected.marginal, abs=1e-12)
    # beside each other they are taken as independent
    some = np.array([True, False, True, False, False, False])
    alone = 1 - found.marginal
    assert found.none_of(some) == pytest.approx(float(np.prod(alone[some])), rel=1e-9)
    assert found.joint(np.array([1, 4])) == pytest.approx(
        np.outer([alone[4], 1 - alone[4]], [alone[1], 1 - alone[1]]).ravel(), rel=1e-9
    )
    assert math.exp(found.log_mass) == pytest.approx(expected.mass, rel=1e-9)


def test_findings_that_cancel_are_split_by_their_first_cause() -> None:
    """A dozen findings that the background makes once in ten million."""
    rng = np.random.default_rng(3)
    odds = np.full(10, 1e-3)
    pieces = tuple(
        finding(np.where(rng.random(10) < 0.4, rng.uniform(0.1, 0.9, 10), 1.0).tolist(), 1 - 1e-7)
        for _ in range(12)
    )
    found = chances_of(Question(odds, pieces))
    assert found.is_exact
    assert found.marginal == pytest.approx(recursion.marginals(odds, pieces)[0], abs=1e-6)


@pytest.mark.parametrize("odds", [[0.0, 0.0], [0.3, 0.2]], ids=["no cause left", "no cause able"])
def test_what_nothing_can_make_is_impossible(odds: list[float]) -> None:
    quiet = [0.5, 0.5] if not any(odds) else [1.0, 1.0]
    with pytest.raises(ZeroDivisionError, match=r"^the pieces are impossible$"):
        chances_of(Question(np.array(odds), (finding(quiet, 1.0),)))


def test_the_recursion_refuses_what_memory_cannot_hold() -> None:
    pieces = tuple(finding([0.5], 0.9) for _ in range(recursion.MOST_BITS + 1))
    with pytest.raises(TooManyTerms):
        recursion.marginals(np.array([0.1]), pieces)


def test_too_much_with_rides_is_still_weighed() -> None:
    """Three complaints with eight rides each: more than terms or recursion hold."""
    rng = np.random.default_rng(11)
    odds = rng.uniform(0.01, 0.2, 27)
    pieces = []
    for _ in range(3):
        quiet = np.ones((9, 27))
        for bit in range(9):  # each group of corrections puts right causes of its own
            quiet[bit, 3 * bit : 3 * bit + 3] = rng.uniform(0.1, 0.9, 3)
        weights = rng.random(1 << 9)
        pieces.append(Piece(quiet, np.array([*[1.0] * 8, 0.95]), weights))
    found = chances_of(Question(odds, tuple(pieces)))
    assert not found.is_exact
    assert np.all((found.marginal > 0) & (found.marginal < 1))
    # one complaint alone is within reach: what the others say shifts no chance by much here
    alone = chances_of(Question(odds, tuple(pieces[:1])))
    assert alone.is_exact
    assert alone.marginal != pytest.approx(found.marginal, abs=1e-6)


def test_findings_beyond_what_is_explained_together_stay_close(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Up to four more than are taken together, against the recursion, on random problems."""
    worst, means, folded = [], [], 0
    for seed in range(15):
        rng = np.random.default_rng([seed, 5])
        causes, bits = 24, MOST_TOGETHER + (1 + seed % 4 if seed < 12 else 0)
        odds = 10.0 ** rng.uniform(-3, -0.7, causes)
        pieces = tuple(
            finding(
                np.where(rng.random(causes) < 0.2, rng.uniform(0.05, 0.95, causes), 1.0).tolist(),
                float(rng.uniform(0.8, 0.99)),
            )
            for _ in range(bits)
        )
        odds[seed % causes] = 0.0  # one is ruled out
        found = chances_of(Question(odds, pieces))
        exact = recursion.marginals(odds, pieces)[0]
        off = np.abs(found.marginal - exact)
        assert not found.is_exact or off.max() < 1e-6
        assert found.is_exact or bits > MOST_TOGETHER
        folded += not found.is_exact
        worst.append(float(off.max()))
        means.append(float(off.mean()))
    with capsys.disabled():
        print(
            f"\nfindings beyond {MOST_TOGETHER} together, random problems: a chance is off by "
            f"{np.mean(means):.4f} in the mean, {max(worst):.3f} at most"
        )
    assert folded > 6
    assert max(worst) < 0.1
    assert float(np.mean(means)) < 0.005


def test_what_was_seen_itself_is_not_explained_away() -> None:
    """Its chance is raised to the trust in the look, and left alone where it is above."""
    odds, pieces = np.array([0.05, 0.5, 0.2]), (finding([0.1, 0.05, 1.0], 0.99),)
    plain = chances_of(Question(odds, pieces))
    assert plain.marginal[0] < 0.3
    seen = chances_of(Question(odds, pieces, np.array([19.0, 0.0, 0.0])))
    assert 0.945 < seen.marginal[0] < 0.96
    assert seen.marginal[1] < plain.marginal[1]  # there is less left for it to explain
    assert seen.marginal[2] == pytest.approx(plain.marginal[2])
    little = chances_of(Question(odds, pieces, np.array([0.01, 0.0, 0.0])))
    assert little.marginal == pytest.approx(plain.marginal)
