"""The chance of a symptom under several causes at once against a textbook table."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from diagnose.inference.cause_sets import cause_sets

from diagnose.inference.posterior import Model
from rules.loading.loader import load_pack
from tests.published.fever import fever_pack

# S. Russell and P. Norvig, Artificial Intelligence: A Modern Approach, third edition, 2010, section
# 14.3, efficient representation of conditional distributions: fever from cold, flu and malaria with
# inhibitions 0.6, 0.2 and 0.1 (as quoted in course slides, page not seen). The priors are our own.
FEVER = {
    (): 0.0,
    ("malaria",): 0.9,
    ("flu",): 0.8,
    ("flu", "malaria"): 0.98,
    ("cold",): 0.4,
    ("cold", "malaria"): 0.94,
    ("cold", "flu"): 0.88,
    ("cold", "flu", "malaria"): 0.988,
}


def test_the_textbook_fever_table(tmp_path: Path) -> None:
    model = Model(load_pack(fever_pack(tmp_path)), 3)
    sets = cause_sets(3, 3)
    chances = np.exp(model.network.log_likelihood(sets, "fever", 1))
    for members, chance in zip(sets.members, chances, strict=True):
        present = tuple(sorted(model.network.causes[i] for i in members if i < 3))
        assert chance == pytest.approx(FEVER[present], abs=1e-12)
