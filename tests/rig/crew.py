"""Runs of a campaign on all processors, a few ahead of the test that waits for them."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from typing import Any

_AHEAD = 4


class Crew:
    """Workers for one function over a list of jobs. result(job) also begins the jobs after it."""

    def __init__(self, work: Callable[[Any], Any], jobs: Sequence[Any]) -> None:
        self._work = work
        self._jobs = list(jobs)
        self._begun: dict[Any, Future[Any]] = {}
        # Spawned, not forked: a fork would copy the locks of threads that it does not copy.
        self._pool = ProcessPoolExecutor(
            os.cpu_count() or 1, mp_context=multiprocessing.get_context("spawn")
        )

    def result(self, job: Any) -> Any:
        """What work(job) returned."""
        at = self._jobs.index(job)
        for each in self._jobs[at : at + _AHEAD]:
            if each not in self._begun:
                self._begun[each] = self._pool.submit(self._work, each)
        return self._begun[job].result()

    def close(self) -> None:
        """Let the workers go; jobs nobody waited for are dropped."""
        self._pool.shutdown(cancel_futures=True)
