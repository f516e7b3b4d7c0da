"""No printing process outlives its program, however that ends."""

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import CancelledError, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import pytest

from app.ground.children import Child, end_with_parent

TRIALS = 5
BROKEN = (BrokenProcessPool, CancelledError, RuntimeError)

PROGRAM = """
import sys, time
from app.ground.press import Press
if __name__ == "__main__":
    press = Press()
    press.warm()
    print(*press._pool._processes, flush=True)
    time.sleep(60)
"""


def runs(pid: int) -> bool:
    """Whether a process is there and is no zombie."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(") ")[2][0] != "Z"
    except OSError:
        return False


def gone(pid: int, within: float = 30) -> bool:
    """Whether a process ends within some seconds."""
    end = time.monotonic() + within
    while runs(pid) and time.monotonic() < end:
        time.sleep(0.1)
    return not runs(pid)


@pytest.mark.parametrize("ends", [signal.SIGKILL, signal.SIGTERM])
def test_a_printing_process_ends_with_its_program(tmp_path: Path, ends: signal.Signals) -> None:
    program = tmp_path / "program.py"
    program.write_text(PROGRAM)
    here = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    with subprocess.Popen([sys.executable, str(program)], stdout=subprocess.PIPE, env=here) as started:
        assert started.stdout is not None
        (child,) = (int(pid) for pid in started.stdout.readline().split())
        assert runs(child)
        started.send_signal(ends)
    assert gone(child)


def test_closed_while_it_is_being_started_it_ends_all_the_same() -> None:
    """Whatever moment of its start it is closed in: what was asked of it fails at once."""
    for _ in range(TRIALS):
        child = Child(end_with_parent)
        with ThreadPoolExecutor(1) as beside:
            asked = beside.submit(lambda started: started().submit(time.sleep, 60).result(20), child._started)
            while child._pool is None:
                time.sleep(0)
            child.close()
            assert isinstance(asked.exception(), BROKEN)


def test_a_process_that_nobody_started_goes_on() -> None:
    end_with_parent()
    assert not gone(os.getpid(), within=0.5)
