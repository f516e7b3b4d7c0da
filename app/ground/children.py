"""Processes of the program's own: none outlives the program, however that ends."""

import multiprocessing
import os
import threading


def end_with_parent() -> None:
    """Let this process end as soon as the one that started it has ended, killed or not.

    Called in the process itself, once. A process that nobody started is left alone.
    """
    threading.Thread(target=_wait, daemon=True).start()


def _wait() -> None:
    if (parent := multiprocessing.parent_process()) is not None:
        parent.join()
        os._exit(1)
