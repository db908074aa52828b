"""A table worked out on a real dask cluster of two worker processes, of which one is killed in the middle."""

from __future__ import annotations

import os
import signal
import threading
import time

import pytest

from tests.cli.small_tables import ROOT, TANK, short_climate
from thermal.analysis import table_question
from thermal.analysis.many_plans import answers
from thermal.cli import table_command
from thermal.cli.table_command import executor_at
from thermal.core.parallel import SerialExecutor
from thermal.errors import OverwinterError

distributed = pytest.importorskip("distributed", reason="the extra cluster is not installed")
FLOORS = {"keep.floor": [f"{floor} degC" for floor in range(5, 19)]}
UNITS = 7  # of two rows each
pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::pytest.PytestUnraisableExceptionWarning")


@pytest.fixture(scope="module")
def cluster():
    folder, before = os.getcwd(), os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = str(ROOT)  # the workers are new processes
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
    ) as made:
        yield made
    os.chdir(folder)
    os.environ.pop("PYTHONPATH") if before is None else os.environ.update(PYTHONPATH=before)


def test_a_killed_worker_leaves_the_table_complete_and_equal(cluster, tmp_path, monkeypatch):
    monkeypatch.setattr(table_question, "LARGEST_UNIT", 2)
    climate = short_climate(tmp_path)
    expected = answers([TANK], [climate], FLOORS, SerialExecutor(), samples=0)
    victim, done_at_kill = next(iter(cluster.workers.values())).pid, []
    with executor_at(f"dask:{cluster.scheduler_address}") as executor:
        submit, done = executor.submit, []

        def submit_and_watch(*task):
            future = submit(*task)
            future.add_done_callback(done.append)
            return future

        def kill_when_one_is_done():
            while not done:
                time.sleep(0.01)
            os.kill(victim, signal.SIGKILL)
            done_at_kill.append(len(done))

        executor.submit = submit_and_watch
        watch = threading.Thread(target=kill_when_one_is_done)
        watch.start()
        table = answers([TANK], [climate], FLOORS, executor, samples=0)
        watch.join()
    assert 0 < done_at_kill[0] < UNITS  # in the middle
    assert len(done) == UNITS
    assert len(table) == len(FLOORS["keep.floor"])
    assert table.equals(expected)


def test_a_cluster_that_cannot_be_used_is_refused_in_words(monkeypatch):
    with pytest.raises(OverwinterError, match="write dask: and the scheduler's address"), executor_at("tcp://host:1"):
        pass
    monkeypatch.setattr(table_command, "CONNECT_S", 0.5)
    with pytest.raises(OverwinterError, match="does not answer"), executor_at("dask:tcp://127.0.0.1:1"):
        pass
