"""The chance of a symptom under several causes at once against a textbook table."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

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
    network = Model(load_pack(fever_pack(tmp_path))).network
    row = network.first_row["fever"]
    for there in itertools.product((False, True), repeat=3):
        silent = np.exp(network.log_leak[row] + np.array(there) @ network.log_cdf[row])
        present = tuple(c for c, is_there in zip(network.causes, there, strict=True) if is_there)
        assert 1 - silent == pytest.approx(FEVER[present], abs=1e-12)
