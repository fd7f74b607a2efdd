"""The package `arcplunge` against the program: ARCPLUNGE names it, target/release/arcplunge unless said."""

import json
import os
import signal
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="session")
def program():
    """Runs the program; what it writes to standard output."""
    path = Path(os.environ.get("ARCPLUNGE", ROOT / "target" / "release" / "arcplunge")).resolve()

    def run(*arguments):
        command = [path, *map(str, arguments)]
        return subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT).stdout

    return run


@pytest.fixture(scope="session")
def told(program):
    """What a command of the program writes as JSON, without the command itself."""

    def run(*arguments):
        tree = json.loads(program(*arguments, "--json", "-"))
        del tree["command"]
        return tree

    return run


@pytest.fixture
def heard():
    """Ctrl-C is heard, though a shell that starts a command in the background has it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)
