"""Workers on every core do not fight over the cores."""

from __future__ import annotations

import os

import pytest

from diagnose.batch.every_core import each_on_every_core

_THREADS = "OPENBLAS_NUM_THREADS"


def test_each_worker_multiplies_in_one_thread_and_nothing_outlasts_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv(_THREADS, raising=False)
    assert list(each_on_every_core(os.getenv, [_THREADS] * 2)) == ["1", "1"]
    assert _THREADS not in os.environ


def test_who_asks_for_another_number_of_threads_has_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(_THREADS, "2")
    assert list(each_on_every_core(os.getenv, [_THREADS] * 2)) == ["2", "2"]
    assert os.environ[_THREADS] == "2"
