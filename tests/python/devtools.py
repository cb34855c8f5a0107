"""A headless Chromium that is told what to do through its DevTools protocol, over a pair of pipes: no port, no further package.

The protocol is the browser's own (messages of JSON, each ended by a zero byte).
"""

import base64
import fcntl
import json
import os
import select
import signal
import time

from pages import chromium

# Seconds that any one answer may take.
PATIENCE = 60


class Browser:
    """One browser with one page. `flags` decide whether it has a graphics processor."""

    def __init__(self, folder, flags, size):
        to_browser, from_us = high_pipe()
        to_us, from_browser = high_pipe()
        arguments = [
            chromium(), "--headless", "--no-sandbox", "--disable-dev-shm-usage", "--hide-scrollbars", "--remote-debugging-pipe",
            f"--user-data-dir={folder}", f"--window-size={size[0]},{size[1]}", *flags, "about:blank",
        ]
        told = os.open(f"{folder}.log", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        actions = [(os.POSIX_SPAWN_DUP2, to_browser, 3), (os.POSIX_SPAWN_DUP2, from_browser, 4), (os.POSIX_SPAWN_DUP2, told, 2)]
        # A group of its own: the browser's processes end with it.
        self.process = os.posix_spawnp(arguments[0], arguments, os.environ, file_actions=actions, setpgroup=0)
        for end in (to_browser, from_browser, told):
            os.close(end)
        self.write, self.read = from_us, to_us
        self.last, self.rest, self.events, self.session = 0, b"", [], None
        target = next(one for one in self.ask("Target.getTargets")["targetInfos"] if one["type"] == "page")
        self.session = self.ask("Target.attachToTarget", targetId=target["targetId"], flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log", "DOM"):
            self.ask(f"{domain}.enable")

    def ask(self, method, **parameters):
        """The result of one call; events that come before it are kept."""
        self.last += 1
        message = {"id": self.last, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        data = json.dumps(message).encode() + b"\0"
        while data:
            data = data[os.write(self.write, data) :]
        while True:
            answer = self.message()
            if answer.get("id") == self.last:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]
            self.events.append(answer)

    def message(self):
        end = time.monotonic() + PATIENCE
        while b"\0" not in self.rest:
            ready, _, _ = select.select([self.read], [], [], max(0, end - time.monotonic()))
            data = os.read(self.read, 1 << 20) if ready else b""
            if not data:
                raise RuntimeError("the browser does not answer")
            self.rest += data
        first, self.rest = self.rest.split(b"\0", 1)
        return json.loads(first)

    def run(self, script):
        """The value of an expression in the page, awaited."""
        result = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in result:
            raise RuntimeError(f"{script[:200]}: {result['exceptionDetails']}")
        return result["result"].get("value")

    def until(self, script, what):
        """Waits until an expression is true in the page."""
        self.wait_for(lambda: self.run(script), what)

    def wait_for(self, holds, what):
        """Waits until something is true."""
        end = time.monotonic() + PATIENCE
        while not holds():
            if time.monotonic() > end:
                raise RuntimeError(f"waited in vain for {what}")
            time.sleep(0.03)

    def show(self, address):
        self.ask("Page.navigate", url=address)
        self.until("document.readyState === 'complete' && location.href !== 'about:blank'", address)

    def picture(self, path, whole=False):
        """A screenshot, for people."""
        data = self.ask("Page.captureScreenshot", captureBeyondViewport=whole)["data"]
        path.write_bytes(base64.b64decode(data))

    def asked_for(self):
        """Addresses that the page asked for."""
        return [one["params"]["request"]["url"] for one in self.events if one.get("method") == "Network.requestWillBeSent"]

    def complaints(self):
        """Errors that the page ran into, of its script or of its policy."""
        found = [one["params"]["exceptionDetails"] for one in self.events if one.get("method") == "Runtime.exceptionThrown"]
        entries = [one["params"]["entry"] for one in self.events if one.get("method") == "Log.entryAdded"]
        return [str(one.get("text")) for one in found] + [one["text"] for one in entries if one["level"] == "error"]

    def close(self):
        for end in (self.write, self.read):
            os.close(end)
        try:
            os.killpg(self.process, signal.SIGKILL)
        except ProcessLookupError:
            pass
        os.waitpid(self.process, 0)


def high_pipe():
    """Both ends of a pipe, out of the way of the two numbers that the browser uses."""
    ends = []
    for end in os.pipe():
        ends.append(fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 16))
        os.close(end)
    return ends
