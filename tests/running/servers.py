"""Programs that run beside the tests: gunicorn as README starts it, and storage that speaks S3."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from pathlib import Path

from tests.architecture.source import ROOT

PATIENCE = 60.0  # seconds, on a machine with a lot else to do


class Server:
    """A running program, its port and its log."""

    def __init__(self, command: list[str], environment: dict[str, str], port: int, log: Path) -> None:
        self.port, self.log = port, log
        with log.open("wb") as file:
            self.process = subprocess.Popen(command, env=environment, cwd=ROOT, stdout=file, stderr=file)

    def wait_for(self, path: str) -> None:
        """Wait until it answers."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self.process.poll() is None:
            try:
                with closing(HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)) as connection:
                    connection.request("GET", path)
                    connection.getresponse().read()
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError(f"it doesn't answer: {self.log.read_text()[-3000:]}")

    def reload(self) -> None:
        """Ask gunicorn for new workers."""
        os.kill(self.process.pid, signal.SIGHUP)


@contextmanager
def _running(command: list[str], environment: dict[str, str], port: int, log: Path, path: str) -> Iterator[Server]:
    server = Server(command, environment, port, log)
    try:
        server.wait_for(path)
        yield server
    finally:
        server.process.terminate()
        server.process.wait(timeout=PATIENCE)


@contextmanager
def gunicorn(environment: dict[str, str], log: Path, *, workers: int) -> Iterator[Server]:
    """Serve the register."""
    port = free_port()
    settings = ["-c", "python:registry.serving", "--bind", f"127.0.0.1:{port}", "--workers", str(workers)]
    command = [sys.executable, "-m", "gunicorn", *settings, "registry.wsgi"]
    with _running(command, environment, port, log, "/health/") as server:
        yield server


@contextmanager
def bucket_server(log: Path) -> Iterator[Server]:
    """Serve S3's words from memory."""
    port = free_port()
    command = [sys.executable, "-m", "moto.server", "-H", "127.0.0.1", "-p", str(port)]
    with _running(command, dict(os.environ), port, log, "/") as server:
        yield server


def free_port() -> int:
    """Return a port that nobody listens at."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])
