#!/usr/bin/env python3
"""The live page in a real browser: what a class and a bench do with it.

    python tests/browser/run.py PROGRAM [--workers N] [--pictures FOLDER] [--requests N]

PROGRAM is the built `arcplunge`. Needs the packages of requirements.txt and a Chromium (Debian package
`chromium`, or the path in CHROMIUM). Each check prints a line as it ends; the exit code is 1 if one failed.
"""

import argparse
import contextlib
import inspect
import multiprocessing
import os
import pathlib
import shutil
import signal
import sys
import time
from multiprocessing.connection import wait

from playwright.sync_api import sync_playwright

import changing  # noqa: F401, adds its checks
import classroom  # noqa: F401, adds its checks
import lessons  # noqa: F401, adds its checks
import load
import outside
import picture  # noqa: F401, adds its checks
import rig  # noqa: F401, adds its checks
import shop  # noqa: F401, adds its checks
import showing  # noqa: F401, adds its checks
import stage  # noqa: F401, adds its checks
import telling  # noqa: F401, adds its checks
import visit
from server import Server

WIDTHS = {"desktop": (1366, 768), "projector": (1920, 1080), "phone": (360, 760)}


def chromium():
    """Where the browser is."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    return found or sys.exit("no chromium: install the Debian package, or set CHROMIUM")


@contextlib.contextmanager
def browsing(program):
    """A browser, and a server whose page it can open."""
    with sync_playwright() as player, Server(program) as server:
        browser = player.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        yield browser, server
        browser.close()


def outcome(function, *arguments):
    """Runs one check; whether it passed, and the line that says so."""
    words = inspect.getdoc(function).splitlines()[0]
    begun = time.monotonic()
    try:
        note = function(*arguments) or ""
    except Exception as error:  # a failed check must not hide the others
        return False, f"FAILED  {words}\n        {type(error).__name__}: {str(error)[:1500]}"
    return True, f"ok      {words} {note} ({time.monotonic() - begun:.1f} s)"


def visits(tell, asked, todo):
    """Checks in a browser, as long as there are any left to do."""
    with browsing(asked.program) as (browser, server):
        for k in iter(todo.get, None):
            tell(outcome(visit.ALL[k], visit.Visit(browser, server.url, asked.program)))


def loads(tell, asked, checks):
    """Checks under load, all of the same server, and then how that has borne them."""
    with Server(asked.program) as server:
        for function in [*checks, load.memory]:
            tell(outcome(function, server, asked.requests))
        tell(outcome(server.ends))


def knocks(tell, asked):
    """The checks from outside; each starts servers of its own."""
    for function in outside.ALL:
        tell(outcome(function, Server(asked.program), None))


def end_at(*signals):
    """Lets these signals end the process with all it has opened, but not break into that."""
    def end(*_):
        for number in signals:
            signal.signal(number, signal.SIG_IGN)
        sys.exit(1)

    for number in signals:
        signal.signal(number, end)


def in_process(job, *arguments):
    """Starts a job in a process of its own; returns it, and where it tells the outcomes of its checks."""
    here, there = multiprocessing.Pipe(duplex=False)

    def work():
        # With no reader left, as after the end of the first process, the next outcome ends this one too.
        here.close()
        end_at(signal.SIGTERM)
        # Ctrl-C reaches the whole group; the first process ends the others.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        job(there.send, *arguments)

    process = multiprocessing.Process(target=work)
    process.start()
    there.close()
    return here, process


def together(*jobs):
    """Does jobs beside each other; the outcomes of their checks as they come."""
    workers = dict(in_process(*job) for job in jobs)
    try:
        while workers:
            for here in wait(workers):
                try:
                    yield here.recv()
                except EOFError:
                    process = workers.pop(here)
                    process.join()
                    if process.exitcode:
                        yield False, f"FAILED  a process of the checks ended with {process.exitcode}"
    finally:
        for process in workers.values():
            process.terminate()
        for process in workers.values():
            process.join()


def outcomes(asked):
    """All checks. Those under load come after those in a browser, some of which go by pauses between events."""
    todo = multiprocessing.SimpleQueue()
    for k in [*range(len(visit.ALL)), *[None] * asked.workers]:
        todo.put(k)
    yield from together(*[(visits, asked, todo)] * asked.workers)
    yield from together((loads, asked, load.ALL), (loads, asked, load.IDLE), (knocks, asked))


def pictures(program, folder):
    """Screenshots of the page at each width, light and dark, for people to look at."""
    folder.mkdir(parents=True, exist_ok=True)
    with browsing(program) as (browser, server):
        for name, (wide, high) in WIDTHS.items():
            for scheme in ("light", "dark"):
                page = browser.new_page(viewport={"width": wide, "height": high}, color_scheme=scheme)
                page.goto(server.url + "?fault=loose-tool-terminal")
                page.wait_for_selector(".verdict")
                page.wait_for_load_state("networkidle")
                page.wait_for_timeout(400)
                page.screenshot(path=str(folder / f"{name}-{scheme}.png"), full_page=name == "phone")
                page.close()


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("program")
    arguments.add_argument("--workers", type=int, default=2, help="browsers beside each other")
    arguments.add_argument("--pictures", type=pathlib.Path)
    arguments.add_argument("--requests", type=int, default=2000)
    asked = arguments.parse_args()
    end_at(signal.SIGTERM, signal.SIGINT)
    count = {True: 0, False: 0}
    with contextlib.closing(outcomes(asked)) as told:
        for passed, line in told:
            count[passed] += 1
            print(line, flush=True)
    if asked.pictures:
        pictures(asked.program, asked.pictures)
    print(f"{count[True]} passed, {count[False]} failed")
    sys.exit(0 if count[True] and not count[False] else 1)


if __name__ == "__main__":
    main()
