"""A real browser for tests, driven over its own debugging pipe with the standard library alone.

The protocol is the one that Chromium documents (Chrome DevTools Protocol, stable 1.3): JSON messages, each ended by
a zero byte, read by the browser from file descriptor 3 and written by it to file descriptor 4.
"""

from __future__ import annotations

import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

import pytest

__all__ = ["Browser", "Tab", "browser_path"]

fcntl = pytest.importorskip("fcntl")  # the pipe's descriptors are handed over as on Unix

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PATIENCE = 60.0  # seconds without a word from the browser before a test gives up: no measure of speed


def browser_path() -> str:
    """The browser's program; the test is skipped where there is none.  ``SCRIEVE_BROWSER`` names another."""
    named = os.environ.get("SCRIEVE_BROWSER")
    found = shutil.which(named) if named else next(filter(None, map(shutil.which, NAMES)), None)
    if found is None:
        pytest.skip(f"no browser: neither SCRIEVE_BROWSER nor any of {', '.join(NAMES)} is there")
    return found


class Browser:
    """A browser without a window, with a profile of its own that is thrown away."""

    def __init__(self) -> None:
        path = browser_path()
        self._profile = tempfile.TemporaryDirectory(prefix="scrieve-browser-", ignore_cleanup_errors=True)
        theirs_in, self._out = os.pipe()
        self._in, theirs_out = os.pipe()
        high = [fcntl.fcntl(fd, fcntl.F_DUPFD, 50) for fd in (theirs_in, theirs_out)]

        def as_three_and_four() -> None:
            os.dup2(high[0], 3)
            os.dup2(high[1], 4)

        self._process = subprocess.Popen(
            [
                path, "--headless=new", "--no-sandbox", "--disable-gpu", "--remote-debugging-pipe",
                "--no-first-run", "--disable-background-networking", "--disable-dev-shm-usage",
                f"--user-data-dir={self._profile.name}", "about:blank",
            ],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, pass_fds=(3, 4), preexec_fn=as_three_and_four,
        )  # fmt: skip
        for fd in (theirs_in, theirs_out, *high):
            os.close(fd)
        self._rest = b""
        self._number = 0
        self.events: list[dict[str, Any]] = []

    def close(self) -> None:
        """End it, and leave nothing behind."""
        self._process.terminate()
        self._process.wait()
        os.close(self._out)
        os.close(self._in)
        self._profile.cleanup()

    def call(self, method: str, session: str | None = None, **params: Any) -> dict[str, Any]:
        """One command and its result; what else is told meanwhile is kept in ``events``."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            told = self._next()
            if told.get("id") == self._number:
                assert "error" not in told, (method, told)
                result: dict[str, Any] = told["result"]
                return result
            self.events.append(told)

    def wait(self, method: str, session: str) -> None:
        """Until the browser tells of something."""
        while not any(e.get("method") == method and e.get("sessionId") == session for e in self.events):
            self.events.append(self._next())

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._in], [], [], PATIENCE)
            assert ready, "the browser says nothing"
            more = os.read(self._in, 1 << 20)
            assert more, "the browser has ended"
            self._rest += more
        line, self._rest = self._rest.split(b"\0", 1)
        told: dict[str, Any] = json.loads(line)
        return told

    def tab(self, page: Path | str, *, width: int = 1200, height: int = 900, phone: bool = False) -> Tab:
        """A page, by its file or its address, opened in a tab of a given size."""
        return Tab(self, page, width=width, height=height, phone=phone)


class Tab:
    """One page."""

    def __init__(self, browser: Browser, page: Path | str, *, width: int, height: int, phone: bool) -> None:
        self._browser = browser
        target = browser.call("Target.createTarget", url="about:blank")["targetId"]
        attached = browser.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session: str = attached["sessionId"]
        self._target = target
        for domain in ("Page", "Runtime", "Log", "Network"):
            self._call(f"{domain}.enable")
        self._call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=phone,
        )
        if phone:
            self._call("Emulation.setTouchEmulationEnabled", enabled=True, maxTouchPoints=5)
        self._call("Page.navigate", url=page.as_uri() if isinstance(page, Path) else page)
        browser.wait("Page.loadEventFired", self._session)

    def _call(self, method: str, **params: Any) -> dict[str, Any]:
        return self._browser.call(method, self._session, **params)

    def close(self) -> None:
        """Close the tab."""
        self._browser.call("Target.closeTarget", targetId=self._target)

    def run(self, script: str) -> Any:
        """The value of an expression in the page (of a promise, what it comes to)."""
        told = self._call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in told, told["exceptionDetails"]
        return told["result"].get("value")

    def settle(self) -> None:
        """Until what was begun has been drawn."""
        self.run("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))")

    def go(self, name: str) -> None:
        """Go to a place in the page by its name."""
        self.run(f"location.hash = {json.dumps(name)}; 1")
        self.settle()

    def mouse(self, x: float, y: float) -> None:
        """Move the mouse there."""
        self._call("Input.dispatchMouseEvent", type="mouseMoved", x=x, y=y)
        self.settle()

    def click(self, x: float, y: float) -> None:
        """Press and let go there."""
        for kind in ("mousePressed", "mouseReleased"):
            self._call("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)
        self.settle()

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Press, pull and let go."""
        self._call("Input.dispatchMouseEvent", type="mousePressed", x=start[0], y=start[1], button="left")
        for share in (0.25, 0.5, 0.75, 1.0):
            x, y = (a + share * (b - a) for a, b in zip(start, end, strict=True))
            self._call("Input.dispatchMouseEvent", type="mouseMoved", x=x, y=y, button="left", buttons=1)
        self._call("Input.dispatchMouseEvent", type="mouseReleased", x=end[0], y=end[1], button="left")
        self.settle()

    def wheel(self, x: float, y: float, turn: float) -> None:
        """Turn the wheel there; less than 0 is away from oneself."""
        self._call("Input.dispatchMouseEvent", type="mouseWheel", x=x, y=y, deltaX=0, deltaY=turn)
        self.settle()

    def touch(self, kind: str, *fingers: tuple[float, float]) -> None:
        """``touchStart``, ``touchMove`` or ``touchEnd`` with the fingers that are down."""
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(fingers)]
        self._call("Input.dispatchTouchEvent", type=kind, touchPoints=points)
        self.settle()

    def tap(self, x: float, y: float) -> None:
        """Tap with a finger."""
        self.touch("touchStart", (x, y))
        self.touch("touchEnd")

    def key(self, key: str, *, control: bool = False) -> None:
        """Press a key, alone or with the control key."""
        text = {"Enter": "\r"}.get(key, key if len(key) == 1 and not control else "")
        code = {"Enter": 13, "Tab": 9, "Escape": 27}.get(key, 0)
        more: dict[str, Any] = {"text": text} if text else {}
        if control:
            more["modifiers"] = 2
        self._call("Input.dispatchKeyEvent", type="keyDown", key=key, windowsVirtualKeyCode=code, **more)
        self._call("Input.dispatchKeyEvent", type="keyUp", key=key, windowsVirtualKeyCode=code)
        self.settle()

    def type(self, text: str) -> None:
        """Type words where the cursor is."""
        self._call("Input.insertText", text=text)

    def paste(self, text: str) -> None:
        """Paste words where the cursor is, as the clipboard of a spreadsheet has them."""
        self.run(
            f"{{const data = new DataTransfer(); data.setData('text/plain', {json.dumps(text)});"
            "document.activeElement.dispatchEvent(new ClipboardEvent('paste',"
            "{clipboardData: data, bubbles: true, cancelable: true}));} 1"
        )

    def dark(self, dark: bool) -> None:
        """Whether the user asks for dark pages."""
        features = [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]
        self._call("Emulation.setEmulatedMedia", features=features)

    def until(self, script: str) -> Any:
        """The value of an expression as soon as it is one that counts as true."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            found = self.run(script)
            if found:
                return found
            time.sleep(0.05)
        raise AssertionError(f"never: {script}; {self.faults()}")

    def picture(self, path: Path) -> None:
        """What is seen, as PNG."""
        path.write_bytes(base64.b64decode(self._call("Page.captureScreenshot", format="png")["data"]))

    def faults(self) -> list[str]:
        """Everything that the console, the log and the script engine complained of."""
        found = []
        for event in self._mine():
            if event["method"] in ("Runtime.exceptionThrown", "Log.entryAdded", "Runtime.consoleAPICalled"):
                found.append(json.dumps(event["params"]))
        return found

    def requests(self) -> list[str]:
        """Every address that the page asked for, its own included."""
        return [
            event["params"]["request"]["url"]
            for event in self._mine()
            if event["method"] == "Network.requestWillBeSent"
        ]

    def _mine(self) -> list[dict[str, Any]]:
        self.settle()
        return [event for event in self._browser.events if event.get("sessionId") == self._session]
