"""A sitting of the workbench under test, and a plain client for it."""

import http.client
import json
import os
import pathlib
import signal
import socket
import subprocess
import threading
import time

FEWER = max(1, int(os.environ.get("LOOMWALL_FEWER", "1")))


def fewer(n):
    """How many of n random cases to run: see tests/support/fewer.h."""
    return max(1, n // FEWER)


class Answer:
    def __init__(self, status, headers, body):
        self.status, self.headers, self.body = status, headers, body

    @property
    def json(self):
        return json.loads(self.body)

    def __repr__(self):
        return f"{self.status} {self.body[:300]!r}"


class Sitting:
    """`loomwall open` with a file. What ends in another way than by our hand, or says something, is noted among the faults."""

    faults = []

    def __init__(self, loomwall, *arguments, folder=None, preexec=None):
        self.process = subprocess.Popen(
            [str(loomwall), "open", "--no-browser", *map(str, arguments)], cwd=folder, preexec_fn=preexec,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, "DISPLAY": "", "BROWSER": ""},
        )
        self.address = self.process.stdout.readline().decode().strip()
        base, _, self.token = self.address.partition("/#")
        self.port = int(base.rpartition(":")[2]) if base else 0
        self.host = f"127.0.0.1:{self.port}"

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.end()

    def end(self, how=signal.SIGTERM):
        if self.process.poll() is None:
            self.process.send_signal(how)
        try:
            _, self.said = self.process.communicate(timeout=60)
        except subprocess.TimeoutExpired:
            self.process.kill()
            _, self.said = self.process.communicate()
        if self.process.returncode not in (0, -signal.SIGKILL) or self.said:
            Sitting.faults.append(f"status {self.process.returncode}\n{self.said.decode(errors='replace')[:5000]}")
        return self.process.returncode

    def is_alive(self):
        return self.process.poll() is None

    def ask(self, method, path, body=None, headers=None, timeout=60):
        """One request; a value of None among the headers leaves that header out."""
        wanted = {"Host": self.host, "X-Loomwall-Sitting": self.token}
        if body is not None and not isinstance(body, (bytes, str)):
            body = json.dumps(body)
        if isinstance(body, str):
            body = body.encode()
        if body is not None:
            wanted.update({"Content-Type": "application/json", "Content-Length": str(len(body))})
        wanted.update(headers or {})
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in wanted.items():
                if value is not None:
                    connection.putheader(name, value)
            connection.endheaders(body)
            answer = connection.getresponse()
            return Answer(answer.status, dict(answer.getheaders()), answer.read())
        finally:
            connection.close()

    def get(self, path, **options):
        return self.ask("GET", path, **options)

    def post(self, path, body, **options):
        return self.ask("POST", path, body, **options)

    def van(self):
        return self.get("/api/van").json

    def edit(self, revision, *edits, says="an edit", **more):
        return self.post("/api/edit", {"revision": revision, "says": says, "edits": list(edits), **more})

    def put(self, revision, path, value, **more):
        return self.edit(revision, {"do": "put", "path": path, "value": value}, **more)

    def raw(self, data, timeout=15):
        """Sends bytes as they are; what came back until the server closed, or until it was silent for the time."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=timeout) as s:
            came = b""
            try:
                s.sendall(data)
                s.shutdown(socket.SHUT_WR)
                while part := s.recv(65536):
                    came += part
            except OSError:
                pass
            return came

    def head(self, method="GET", path="/api/van", **more):
        lines = [f"{method} {path} HTTP/1.1", f"Host: {self.host}", f"X-Loomwall-Sitting: {self.token}"]
        return "\r\n".join(lines + [f"{name}: {value}" for name, value in more.items()]).encode() + b"\r\n"

    def rss_kib(self):
        status = pathlib.Path(f"/proc/{self.process.pid}/status").read_text()
        return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS"))

    def events(self, **options):
        return Events(self, **options)

    def wait_judged(self, revision, seconds=60):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            told = self.get("/api/judgement").json
            if not told["pending"] and told["revision"] >= revision:
                return told
            time.sleep(0.02)
        return told


class Events:
    """A page that listens, in a thread; with reads=False one that never reads."""

    def __init__(self, sitting, reads=True):
        self.socket = socket.socket()
        if not reads:
            self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        self.socket.settimeout(60)
        self.socket.connect(("127.0.0.1", sitting.port))
        self.socket.sendall(sitting.head(path="/api/events") + b"\r\n")
        self.came, self.is_over, self.is_started = [], False, threading.Event()
        if reads:
            threading.Thread(target=self.read, daemon=True).start()
            self.is_started.wait(30)

    def read(self):
        name, rest = None, b""
        try:
            while part := self.socket.recv(65536):
                *lines, rest = (rest + part).split(b"\n")
                for line in lines:
                    line = line.strip()
                    if line.startswith(b":"):
                        self.is_started.set()
                    if line.startswith(b"event: "):
                        name = line[7:].decode()
                    if line.startswith(b"data: "):
                        self.came.append((time.monotonic(), name, json.loads(line[6:])))
        except OSError:
            pass
        self.is_over = True

    def wait(self, name, revision=0, seconds=20):
        """When an event of that name, of that revision or a later one, came; None if it did not."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            for when, what, data in list(self.came):
                if what == name and data["revision"] >= revision:
                    return when
            time.sleep(0.002)
        return None

    def close(self):
        self.socket.close()
