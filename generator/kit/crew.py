"""Hands for the work on a kit: one process, or several side by side.

The CAD kernel and the writers keep state that threads would share, so what is heavy runs in processes of their own. The
first process only leads: it owns every unfinished folder, so when it is stopped it ends the others at once and leaves
nothing behind; and when it is killed outright the others end of themselves.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor, as_completed, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from functools import partial
from multiprocessing.reduction import ForkingPickler
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

from generator.base.errors import OutputError
from generator.base.packed import read_only

#: A crew has no more: Windows lets one process wait for 63 things at once, and the pool keeps two for itself.
MOST_WORKERS = 61

Subject = TypeVar("Subject")
Result = TypeVar("Result")


# Read-only mappings, of which a solved job is full, go to another process as copies.
ForkingPickler.register(MappingProxyType, lambda mapping: (read_only, (dict(mapping),)))


class Task(NamedTuple):
    """A piece of work: a function that another process can find by its name, its arguments, how long it takes.

    `name` says what is done; `weight` is a rough time in any unit.
    """

    name: str
    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    weight: float = 0.0


#: Called with a task's name when it is handed out, or when it has ended.
Told = Callable[[str], None]


def _silent(name: str) -> None:
    pass


class Crew:
    """Does work in this process: a crew of one."""

    def do_all(self, tasks: Sequence[Task], told: Told = _silent, done: Told = _silent) -> list[Any]:
        """What each task returns, in their order. Of several errors that of the first task in this order is raised.

        `told` hears of each task that is handed out, `done` of each that has ended.
        """
        results = []
        for task in tasks:
            told(task.name)
            results.append(task.function(*task.arguments))
            done(task.name)
        return results

    def as_done(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        """Each task's place and what it returned, as it is done; tasks are begun in their order."""
        for place, task in enumerate(tasks):
            yield place, task.function(*task.arguments)

    def for_each(self, subjects: Sequence[Subject], lead: Callable[[Subject], Result]) -> Iterator[Result]:
        """What `lead`, which gives the crew its tasks, returns for each of `subjects`, in their order."""
        return map(lead, subjects)


class _Many(Crew):
    """Does work in processes of their own."""

    def __init__(self, pool: ProcessPoolExecutor, workers: int) -> None:
        self._pool = pool
        self._workers = workers

    def do_all(self, tasks: Sequence[Task], told: Told = _silent, done: Told = _silent) -> list[Any]:
        try:
            begun: dict[int, Future[Any]] = {}
            # The longest first, so that at the end no process waits long for another.
            for i in sorted(range(len(tasks)), key=lambda i: -tasks[i].weight):
                told(tasks[i].name)
                begun[i] = self._pool.submit(tasks[i].function, *tasks[i].arguments)
                begun[i].add_done_callback(partial(_report, done, tasks[i].name))
            return _results([begun[i] for i in range(len(tasks))])
        except BrokenProcessPool as error:
            raise OutputError("a process that wrote a part of the kit ended early: out of memory, or killed") from error
        except (KeyboardInterrupt, SystemExit):
            _end()
            raise

    def as_done(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        begun = {self._pool.submit(task.function, *task.arguments): place for place, task in enumerate(tasks)}
        try:
            for future in as_completed(begun):
                # Let go of what is done: many kits are made one after the other.
                yield begun.pop(future), future.result()
        except BrokenProcessPool as error:
            raise OutputError("a process that wrote a kit ended early: out of memory, or killed") from error
        except BaseException:
            _end()
            raise

    def for_each(self, subjects: Sequence[Subject], lead: Callable[[Subject], Result]) -> Iterator[Result]:
        if len(subjects) == 1:
            yield lead(subjects[0])
            return
        leads = ThreadPoolExecutor(self._workers)
        try:
            yield from leads.map(lead, subjects)
        except BaseException:
            _end()  # so that no lead waits for work any more
            raise
        finally:
            leads.shutdown(cancel_futures=True)


def processors() -> int:
    """How many this process may use, as far as the system tells; at most as many as a crew can have."""
    found = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(found, MOST_WORKERS)


@contextmanager
def crew_of(workers: int) -> Iterator[Crew]:
    """A crew of so many processes; with 1 everything runs in this one."""
    if workers == 1:
        yield Crew()
        return
    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _begin, (gc.get_threshold(),))
    try:
        for _ in range(workers):
            pool.submit(_warm_up)
        yield _Many(pool, workers)
    except BaseException:
        _end()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _report(done: Told, name: str, ended: Future[Any]) -> None:
    done(name)


def _results(begun: Sequence[Future[Any]]) -> list[Any]:
    """The results in order; after an error what follows it is not begun, and nothing is still running."""
    try:
        return [future.result() for future in begun]
    except Exception:
        for future in begun:
            future.cancel()
        wait([future for future in begun if not future.cancelled()])
        raise


def _warm_up() -> None:
    """Loads what every task needs while the first process is still solving."""
    import generator.kit.pipeline  # noqa: F401


def _begin(threshold: tuple[int, int, int]) -> None:
    """In a new process: the first one alone answers to the keyboard, and this one does not outlive it.

    Python's garbage collector takes the first one's `threshold`.
    """
    gc.set_threshold(*threshold)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_first, daemon=True).start()


def _end_with_the_first() -> None:
    first = multiprocessing.parent_process()
    if first is not None:
        first.join()
        os._exit(1)


def _end() -> None:
    """End the other processes, whatever they are at: what they wrote lies in folders that are given up."""
    for process in multiprocessing.active_children():
        process.kill()
        process.join()
