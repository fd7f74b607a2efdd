"""The live page in Firefox: it draws, answers, plays, compares, and complains of nothing.

    python tests/browser/firefox.py PROGRAM

Needs Firefox (Debian package firefox-esr, or the path in FIREFOX) and `marionette_driver`. Not a part of .ci/run: the checks of run.py are in Chromium.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time

from marionette_driver import By, Wait, errors
from marionette_driver.marionette import Marionette

from server import Server

PORT = 2829


def main():
    firefox = os.environ.get("FIREFOX") or shutil.which("firefox-esr") or sys.exit("no firefox: install the Debian package firefox-esr")
    with tempfile.TemporaryDirectory() as profile, Server(sys.argv[1]) as server:
        with open(f"{profile}/user.js", "w") as prefs:
            prefs.write(f'user_pref("marionette.port", {PORT});\n')
        started = subprocess.Popen([firefox, "--headless", "--marionette", "--no-remote", "--profile", profile], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            client = Marionette(host="127.0.0.1", port=PORT)
            for _ in range(120):
                try:
                    client.start_session()
                    break
                except (OSError, errors.MarionetteException):
                    time.sleep(0.5)
            client.set_window_rect(width=1366, height=900)
            walk(client, server.url)
            print(f"ok      Firefox {client.session_capabilities['browserVersion']}")
        finally:
            started.kill()
            started.wait()


def walk(client, url):
    """Opens the page, plays it, switches a fault, compares, presents."""
    text = lambda what: client.find_element(By.CSS_SELECTOR, what).text
    run = client.execute_script
    wait = Wait(client, timeout=30, interval=0.1, ignored_exceptions=[errors.NoSuchElementException])

    def visit(address):
        client.navigate(address)
        run("window.wrong = []; addEventListener('error', (e) => window.wrong.push(e.message)); addEventListener('unhandledrejection', (e) => window.wrong.push(String(e.reason)))", sandbox=None)

    visit(url)
    wait.until(lambda _: text(".verdict").startswith("sound"))
    before = text("#moment")
    client.find_element(By.ID, "play").click()
    wait.until(lambda _: text("#moment") != before)
    client.find_element(By.ID, "play").click()
    assert not run("return window.wrong", sandbox=None)
    visit(f"{url}?fault=loose-tool-terminal")
    wait.until(lambda _: text(".verdict").startswith("cold"))
    wait.until(lambda _: "of 128 shots" in text("#sure"))
    client.find_element(By.ID, "pair").click()
    wait.until(lambda _: text("#twin-word") == "base: sound")
    client.find_element(By.ID, "present").click()
    wait.until(lambda _: run("return document.body.classList.contains('present')"))
    # Nothing is wider than the page, at each width.
    for wide in (1366, 1024, 500):
        client.set_window_rect(width=wide, height=900)
        time.sleep(0.5)
        over = run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert over <= 0, (wide, over)
    wrong = run("return window.wrong", sandbox=None)
    assert wrong == [], wrong


if __name__ == "__main__":
    main()
