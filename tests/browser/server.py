"""The program, serving its page on a free port of this machine."""

import os
import re
import signal
import subprocess


class Server:
    """Runs `PROGRAM page` with these options for as long as the block lasts."""

    def __init__(self, program, *options):
        self.program, self.options = program, options

    def __enter__(self):
        self.process = subprocess.Popen(
            [self.program, "page", "--listen", "127.0.0.1:0", *self.options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        first = self.process.stdout.readline()
        self.url = re.search(r"http://\S+/", first).group()
        self.host, port = re.match(r"http://([^:/]+):(\d+)/", self.url).groups()
        self.port = int(port)
        if any(option.startswith("--class") for option in self.options):
            self.link, self.code = re.search(r"(http://\S+/) with the code (\w+)", self.process.stdout.readline()).groups()
            self.said = self.process.stdout.readline()
        return self

    def __exit__(self, *_):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()

    def resident(self, line="VmRSS"):
        """Memory the program holds, or has held at most (`VmHWM`) [KiB]."""
        with open(f"/proc/{self.process.pid}/status", encoding="ascii") as status:
            return int(re.search(line + r":\s+(\d+)", status.read()).group(1))

    def cpu(self):
        """Time of a core the program has taken [s]."""
        with open(f"/proc/{self.process.pid}/stat", encoding="ascii") as stat:
            fields = stat.read().rsplit(")", 1)[1].split()
        return sum(map(int, fields[11:13])) / os.sysconf("SC_CLK_TCK")

    def ends(self, by=signal.SIGINT):
        """Ctrl-C, or the system's wish, ends the program in good order."""
        self.process.send_signal(by)
        # So long only where it hangs.
        code = self.process.wait(timeout=60)
        assert code == 0, f"exit code {code}: {self.process.stderr.read()}"
