"""Independent jobs on every core, in order, with a call per finished job."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import TypeVar

from rules.problems import BadInput

Job = TypeVar("Job")
Result = TypeVar("Result")
CHUNK = 1


_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


class WorkersDied(BadInput):
    """A worker process was ended from outside, most often because memory ran out."""


def on_every_core(
    work: Callable[[Job], Result],
    jobs: Sequence[Job],
    progress: Callable[[], None] = lambda: None,
    chunk: int = CHUNK,
    fewest: int = 2,
) -> list[Result]:
    """The results of `each_on_every_core` as a list; `progress` is called for each finished job."""
    results = []
    for result in each_on_every_core(work, jobs, chunk, fewest):
        results.append(result)
        progress()
    return results


def each_on_every_core(
    work: Callable[[Job], Result], jobs: Sequence[Job], chunk: int = CHUNK, fewest: int = 2
) -> Iterator[Result]:
    """`work` on each job; the results come in the order of the jobs, as they are known.

    `work` is a function of a module, and jobs and results can be pickled. Whatever `work` raises
    comes through. Less than `fewest` jobs are done in this process, where starting others would
    take longer. Raises `WorkersDied`.
    """
    if len(jobs) < fewest:
        yield from map(work, jobs)
        return
    context = multiprocessing.get_context("spawn")
    workers = min(os.cpu_count() or 1, max(1, -(-len(jobs) // chunk)))
    try:
        with _one_thread_each(), ProcessPoolExecutor(workers, context) as pool:
            yield from pool.map(work, jobs, chunksize=chunk)
    except BrokenProcessPool as error:
        message = "a worker process was ended from outside; is there enough memory?"
        raise WorkersDied(message) from error


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """While this lasts, processes begin with one thread each for numpy's products of matrices:
    where every core has a worker, more threads only wait for one another."""
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update({name: before[name] or "1" for name in _THREADS})
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
