"""A program on a pseudo-terminal of its own, as somebody at a keyboard sees it.

Says what came, waits for a text, types lines; every wait has an end. The screen is kept as bytes, so that a test can
see what a terminal would have swallowed.
"""
import errno
import fcntl
import os
import pty
import re
import select
import signal
import struct
import termios
import time

SECONDS = 20  # that no answer comes near


class Terminal:
    def __init__(self, words, folder, columns=80, rows=40, **environment):
        self.seen = b""  # all that was printed
        self.read_to = 0  # up to here a wait has consumed it
        env = {k: v for k, v in os.environ.items() if not k.startswith("LC_") and k not in ("LANG", "TZ", "NO_COLOR")}
        env.update({"LC_ALL": "C.UTF-8", "TZ": "UTC", "TERM": "xterm", "ASAN_OPTIONS": "verify_asan_link_order=0:detect_leaks=0"})
        env.update(environment)
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
            os.execvpe(words[0], [str(w) for w in words], env)
        self.status = None

    def resize(self, columns, rows=40):
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def _take(self, seconds):
        """Reads what there is; False at the end of the program."""
        ready, _, _ = select.select([self.fd], [], [], seconds)
        if not ready:
            return True
        try:
            got = os.read(self.fd, 65536)
        except OSError as e:
            if e.errno != errno.EIO:
                raise
            got = b""
        self.seen += got
        return bool(got)

    def wait_for(self, pattern, seconds=SECONDS):
        """The match of a regular expression in what was printed since the last wait."""
        end = time.monotonic() + seconds
        alive = True
        while True:
            found = re.search(pattern.encode(), self.seen[self.read_to:])
            if found:
                self.read_to += found.end()
                return found
            if not alive or time.monotonic() > end:
                raise AssertionError(f"no {pattern!r} in {self.seen[self.read_to:].decode('utf-8', 'replace')!r}")
            alive = self._take(0.1)

    def type(self, line):
        os.write(self.fd, line.encode() + b"\n")

    def send(self, data):
        os.write(self.fd, data)

    def end(self, seconds=SECONDS):
        """Waits for the program's end; its exit status, or minus the signal."""
        end = time.monotonic() + seconds
        while self._take(0.1):
            if time.monotonic() > end:
                os.kill(self.pid, signal.SIGKILL)
                raise AssertionError(f"did not end: {self.seen[-500:]!r}")
        _, status = os.waitpid(self.pid, 0)
        os.close(self.fd)
        self.status = -os.WTERMSIG(status) if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)
        self.pid = None
        return self.status

    def kill(self):
        if self.pid is not None:
            os.kill(self.pid, signal.SIGKILL)
            self.end()

    @property
    def text(self):
        return self.seen.decode("utf-8", "replace").replace("\r\n", "\n")
