"""Processes of the program's own: none outlives the program, however that ends."""

import multiprocessing
import os
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor


class Child:
    """One process for one kind of work: started when it is first needed, killed where it is stuck.

    `begin`: what it does first. `tasks`: after how many it makes room for a fresh one; None for never.
    """

    def __init__(self, begin: Callable[[], object], tasks: int | None = None) -> None:
        self._begin, self._tasks = begin, tasks
        self._pool: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()

    def _started(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._pool is None:
                context = multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(
                    1, mp_context=context, max_tasks_per_child=self._tasks, initializer=self._begin
                )
            return self._pool

    def close(self) -> None:
        """End the process, in the middle of its work if need be."""
        with self._lock:
            pool, self._pool = self._pool, None
        if pool is None:
            return
        processes = pool._processes  # this very mapping: one that is just being started comes into it
        pool.shutdown(wait=False, cancel_futures=True)  # waits for such a start; nothing begins any more
        for process in list((processes or {}).values()):
            process.kill()
            process.join()


def end_with_parent() -> None:
    """Let this process end as soon as the one that started it has ended, killed or not.

    Called in the process itself, once. A process that nobody started is left alone.
    """
    threading.Thread(target=_wait, daemon=True).start()


def _wait() -> None:
    if (parent := multiprocessing.parent_process()) is not None:
        parent.join()
        os._exit(1)
