"""Work on what strangers sent, in a process of its own, with limits of time and memory.

A file that makes a reader run for ever or take all memory ends that process and nothing else. Processes are
forked from a server that has loaded the checks and holds no threads, sockets or secrets.
"""

import multiprocessing
import os
import resource
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerContext
from threading import BoundedSemaphore
from typing import Any, TypeVar

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import Judged, judge
from pipeline.intake.tables import SentFile
from pipeline.workspace import Workspace
from sites.errors import InputError, LongrowError

Result = TypeVar("Result")

#: Files judged at once by all processes that serve, and at least one by each; more wait their turn, so that
#: memory is bounded by this and not by who sends.
_AT_ONCE = 2
#: Modules that the server of processes loads once, so that each starts in milliseconds.
_LOADED = ["pipeline.apart", "pipeline.beside", "pipeline.commands.checking"]
_MEGABYTE = 1_048_576
#: How far judging steps back for whoever waits for a page (nice(2): 0 as all, 19 the last).
_STEP_BACK = 10


class TakesTooMuchError(InputError):
    """The work took more time or memory than it was given."""


def run_apart(
    work: Callable[..., Result], *arguments: Any, seconds: float, memory_mb: int, servers: int = 1
) -> Result:
    """Return `work(*arguments)`, done in a process of its own; the function and all values are pickled.

    `memory_mb` counts what the work takes beyond the loaded program; `servers` is how many processes share
    the room for such work, of which this is one. Raises TakesTooMuchError where the
    process reaches a limit or dies, and whatever LongrowError the work raises.
    """
    ours, theirs = _processes().Pipe(duplex=False)
    with _room(max(1, _AT_ONCE // servers)):
        process = _processes().Process(
            target=_work, args=(theirs, memory_mb, seconds, work, arguments), daemon=True
        )
        process.start()
        theirs.close()
        try:
            if not ours.poll(seconds):
                raise TakesTooMuchError(f"This takes more than {seconds:g} seconds to read.")
            done, value = ours.recv()
        except EOFError:
            raise TakesTooMuchError("This takes more to read than there is for one file.") from None
        finally:
            process.kill()
            process.join()
            process.close()
            ours.close()
    if not done:
        raise value
    result: Result = value
    return result


def judge_apart(workspace: Workspace, files: list[SentFile]) -> Judged:
    """Return what the files hold, held against what was sent before, judged in a process of its own.

    Raises TakesTooMuchError where a file takes more time or memory than the settings give it.
    """
    serving = workspace.settings.serving
    return run_apart(
        _judge,
        workspace,
        files,
        seconds=serving.judge_seconds,
        memory_mb=serving.judge_memory_mb,
        servers=serving.processes,
    )


def make_ready() -> None:
    """Start the server of processes, so that the first file need not wait for it."""
    run_apart(_nothing, seconds=60, memory_mb=300)


def _nothing() -> None:
    return None


def _judge(workspace: Workspace, files: list[SentFile]) -> Judged:
    from pipeline.beside import standing_context

    with standing_context(workspace) as context:
        return judge(files, context, workspace.settings, CATALOGUE)


@cache
def _room(at_once: int) -> BoundedSemaphore:
    return BoundedSemaphore(at_once)


@cache
def _processes() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(_LOADED)
    return context


def _work(
    out: Connection, memory_mb: int, seconds: float, work: Callable[..., Any], arguments: tuple[Any, ...]
) -> None:
    """Do the work within its limits and send what came of it; without room even for that, send nothing."""
    os.nice(_STEP_BACK)
    # Data, and not all of the address space: the program's libraries map gigabytes that they never touch.
    most = _data_bytes() + memory_mb * _MEGABYTE
    resource.setrlimit(resource.RLIMIT_DATA, (most, most))
    # The processor's time as well, in case nobody is left to end this process.
    resource.setrlimit(resource.RLIMIT_CPU, (int(2 * seconds) + 1, int(2 * seconds) + 2))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    with suppress(MemoryError, BrokenPipeError):
        try:
            out.send((True, work(*arguments)))
        except LongrowError as problem:
            out.send((False, problem))
    out.close()


def _data_bytes() -> int:
    """Return how much data this process holds (proc(5), /proc/self/status, VmData, in kibibytes)."""
    with open("/proc/self/status", encoding="ascii") as status:
        for line in status:
            if line.startswith("VmData:"):
                return int(line.split()[1]) * 1024
    return 0
