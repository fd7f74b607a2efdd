"""The program, serving its page on a free port of this machine."""

import re
import signal
import subprocess


class Server:
    """Runs `PROGRAM page` for as long as the block lasts."""

    def __init__(self, program):
        self.program = program

    def __enter__(self):
        self.process = subprocess.Popen(
            [self.program, "page", "--listen", "127.0.0.1:0"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        first = self.process.stdout.readline()
        self.url = re.search(r"http://\S+/", first).group()
        self.host, port = re.match(r"http://([^:/]+):(\d+)/", self.url).groups()
        self.port = int(port)
        return self

    def __exit__(self, *_):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()

    def resident(self):
        """Memory the program holds [KiB]."""
        with open(f"/proc/{self.process.pid}/status", encoding="ascii") as status:
            return int(re.search(r"VmRSS:\s+(\d+)", status.read()).group(1))

    def ends(self):
        """Ctrl-C ends the program in good order."""
        self.process.send_signal(signal.SIGINT)
        # So long only where it hangs.
        code = self.process.wait(timeout=60)
        assert code == 0, f"exit code {code}: {self.process.stderr.read()}"
