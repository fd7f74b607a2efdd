#!/usr/bin/env python3
"""The live page in a real browser: what a class and a bench do with it.

    python tests/browser/run.py PROGRAM [--pictures FOLDER] [--requests N]

PROGRAM is the built `arcplunge`. Needs the packages of requirements.txt and a Chromium (Debian package
`chromium`, or the path in CHROMIUM). Each check prints a line; the exit code is 1 if one failed.
"""

import argparse
import inspect
import os
import pathlib
import shutil
import sys
import time

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


class Run:
    """Counts what passed and what failed."""

    def __init__(self):
        self.passed = self.failed = 0

    def check(self, function, *arguments):
        """Runs one check and says how it went."""
        words = inspect.getdoc(function).splitlines()[0]
        begun = time.monotonic()
        try:
            note = function(*arguments) or ""
        except Exception as error:  # a failed check must not hide the others
            self.failed += 1
            print(f"FAILED  {words}\n        {type(error).__name__}: {str(error)[:1500]}")
        else:
            self.passed += 1
            print(f"ok      {words} {note} ({time.monotonic() - begun:.1f} s)", flush=True)


def pictures(browser, url, folder):
    """Screenshots of the page at each width, light and dark, for people to look at."""
    for name, (wide, high) in WIDTHS.items():
        for scheme in ("light", "dark"):
            page = browser.new_page(viewport={"width": wide, "height": high}, color_scheme=scheme)
            page.goto(url + "?fault=loose-tool-terminal")
            page.wait_for_selector(".verdict")
            page.wait_for_load_state("networkidle")
            page.wait_for_timeout(400)
            page.screenshot(path=str(folder / f"{name}-{scheme}.png"), full_page=name == "phone")
            page.close()


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("program")
    arguments.add_argument("--pictures", type=pathlib.Path)
    arguments.add_argument("--requests", type=int, default=10_000)
    asked = arguments.parse_args()
    run = Run()
    with sync_playwright() as player, Server(asked.program) as server:
        browser = player.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        for function in visit.ALL:
            run.check(function, visit.Visit(browser, server.url, asked.program))
        if asked.pictures:
            asked.pictures.mkdir(parents=True, exist_ok=True)
            pictures(browser, server.url, asked.pictures)
        browser.close()
        for function in load.ALL + outside.ALL:
            run.check(function, server, asked.requests)
        run.check(server.ends)
    print(f"{run.passed} passed, {run.failed} failed")
    sys.exit(0 if run.passed and not run.failed else 1)


if __name__ == "__main__":
    main()
