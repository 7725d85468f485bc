"""What every answer that could still be given would do: its chance, and what it leaves likely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.inference.network import Network
from diagnose.inference.posterior import Belief
from diagnose.inference.terms import Flags, Floats, Indices, Terms

_BLOCK = 2_048  # terms worked at once, which fit a processor's cache
_SHORT = 64  # terms up to which one sum over all links is quicker than one a link
SMALLEST_CHANCE = 1e-12
"""A chance is a difference of two sums near 1; below this it is rounding."""


@dataclass(frozen=True, slots=True)
class AnswerTable:
    """Every state of some nodes, as rows.

    `owner` (rows) says which of the nodes a row is of, `state` which of its states. `chance` (rows)
    is the chance of the answer; `causes` (rows, causes) the chance of each cause once it is given.
    """

    owner: Indices
    state: Indices
    chance: Floats
    causes: Floats


def answer_table(network: Network, belief: Belief, nodes: Sequence[str]) -> AnswerTable:
    """What each state of each of `nodes`, seen now, would do."""
    sizes = np.array([network.sizes[node] for node in nodes], dtype=np.intp)
    starts = np.cumsum(sizes) - sizes
    owner = np.repeat(np.arange(len(nodes)), sizes)
    state = np.arange(len(owner)) - starts[owner]
    rows = np.array([network.first_row[node] for node in nodes], dtype=np.intp)[owner] + state
    up_to, joint = _cumulative(network, belief, rows)
    chance, with_cause = up_to.copy(), joint.copy()
    later = state > 0
    chance[later] -= up_to[np.flatnonzero(later) - 1]
    with_cause[later] -= joint[np.flatnonzero(later) - 1]
    chance = np.where(chance > SMALLEST_CHANCE, chance, 0.0)
    share = with_cause / np.where(chance > 0, chance, 1.0)[:, None]
    return AnswerTable(owner, state, chance, np.clip(share, 0.0, 1.0))


def _cumulative(network: Network, belief: Belief, rows: Indices) -> tuple[Floats, Floats]:
    """P(node <= k) for each row, and jointly with each cause being at work: (rows, causes).

    What was put right leaves a node quiet; it goes on having been at work.
    """
    quiet = np.exp(np.where(belief.gone, 0.0, network.log_cdf[rows]))
    chances = belief.chances
    apart = chances.apart
    factors = 1 - apart * (1 - quiet)
    up_to = np.exp(network.log_leak[rows]) * np.multiply.reduce(factors, axis=1)
    joint = apart * quiet / np.where(factors > 0, factors, 1.0)
    for part in chances.parts:
        total, with_cause = _part_rows(part, quiet[:, part.causes])
        up_to = up_to * total
        joint[:, part.causes] = with_cause / np.where(total > 0, total, 1.0)[:, None]
    return up_to, joint * up_to[:, None]


def _part_rows(part: Terms, quiet: Floats) -> tuple[Floats, Floats]:
    """Expected product of `quiet` (rows, causes of the part) over the causes at work, and the same
    jointly with each cause. Rows that say the same are worked once, and so are those that a single
    cause bears on."""
    marginal = part.marginals()
    patterns, back = np.unique(quiet, axis=0, return_inverse=True)
    total = np.ones(len(patterns))
    joint = np.tile(marginal, (len(patterns), 1))
    bearing: Flags = patterns != 1
    count = bearing.sum(axis=1)
    single = np.flatnonzero(count == 1)
    if len(single):
        cause = np.argmax(bearing[single], axis=1)
        loss = 1 - patterns[single, cause]
        total[single] = 1 - loss * marginal[cause]
        used, at = np.unique(cause, return_inverse=True)
        pairs = np.zeros((len(used), len(marginal)))
        for start in range(0, len(part.weights), _BLOCK):
            block = slice(start, start + _BLOCK)
            present = part.present[:, block]
            pairs += (present[used] * part.weights[block]) @ present.T
        pairs[np.arange(len(used)), used] = marginal[used]
        joint[single] -= loss[:, None] * pairs[at]
    several = np.flatnonzero(count > 1)
    if len(several):
        total[several], joint[several] = _several(part, patterns[several])
    return total[back], joint[back]


def _several(part: Terms, patterns: Floats) -> tuple[Floats, Floats]:
    """`_part_rows` for patterns that several causes bear on."""
    rows, causes = np.nonzero(patterns != 1)
    kinds, kind = np.unique(
        np.column_stack([causes, np.round(patterns[rows, causes], 12)]), axis=0, return_inverse=True
    )
    kind = kind.ravel()
    whose, quiet = kinds[:, 0].astype(np.intp), kinds[:, 1][:, None]
    links = list(zip(rows.tolist(), kind.tolist(), strict=True))
    total = np.zeros(len(patterns))
    joint = np.zeros(patterns.shape)
    own = np.zeros(len(rows))
    for start in range(0, len(part.weights), _BLOCK):
        block = slice(start, start + _BLOCK)
        present = np.ascontiguousarray(part.present[:, block])
        at_work = present[whose] * quiet
        factors = at_work + (1 - present[whose])
        at_work /= np.where(factors > 0, factors, 1.0)
        product = np.tile(part.weights[block], (len(patterns), 1))
        for row, which in links:
            np.multiply(product[row], factors[which], out=product[row])
        total += product.sum(axis=1)
        joint += product @ present.T
        if len(part.weights) <= _SHORT:
            own += np.einsum("ij,ij->i", product[rows], at_work[kind])
        else:
            own += [product[row] @ at_work[which] for row, which in links]
    joint[rows, causes] = own
    return total, joint
