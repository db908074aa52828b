"""One headless chromium for many checks of pages, over its DevTools protocol on two pipes; no library is needed."""

from __future__ import annotations

import base64
import contextlib
import json
import os
import select
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

FOUND = next((path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), None)
OPTIONS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-extensions", "--disable-default-apps",
    "--remote-debugging-pipe",
)  # fmt: skip
PATIENCE_S = 60.0


class Chromium:
    """A browser with one tab. What pages log as faults is kept in `faults`, what they ask for in `asked`."""

    def __init__(self, profile: Path) -> None:
        to_browser, self.write_end = os.pipe()
        self.read_end, from_browser = os.pipe()

        def pipes() -> None:  # the browser reads commands from 3 and writes answers to 4
            commands, answers = os.dup(to_browser), os.dup(from_browser)
            os.dup2(commands, 3)
            os.dup2(answers, 4)

        self.process = subprocess.Popen(
            [str(FOUND), *OPTIONS, f"--user-data-dir={profile}"], preexec_fn=pipes, close_fds=False,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(to_browser)
        os.close(from_browser)
        self.number, self.session, self.rest = 0, "", b""
        self.faults: list[str] = []
        self.asked: list[str] = []
        self.loaded = False
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.call(f"{domain}.enable")

    def close(self) -> None:
        """End the browser."""
        session, self.session = self.session, ""
        if session:
            with contextlib.suppress(OSError, AssertionError):
                self.call("Browser.close")
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait(10)
        os.close(self.write_end)
        os.close(self.read_end)

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """The answer to a command of the protocol."""
        self.number += 1
        message = {"id": self.number, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        data = json.dumps(message).encode("utf-8") + b"\0"
        while data:
            data = data[os.write(self.write_end, data) :]
        while True:
            answer = self._message()
            if answer.get("id") == self.number:
                assert "error" not in answer, f"{method}: {answer['error']}"
                return answer["result"]

    def open(self, address: str) -> None:
        """Load a page and wait for its end."""
        for url in ("about:blank", address):  # an address that differs behind "#" only would not load anew
            self.loaded = False
            self.faults.clear()
            self.asked.clear()
            self.call("Page.navigate", url=url)
            while not self.loaded:
                self._message()

    def run(self, script: str) -> Any:
        """Value of an expression in the page, a promise's too."""
        answer = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def press(self, key: str, code: int, text: str = "") -> None:
        """Press and let go a key."""
        for kind in ("keyDown", "keyUp"):
            typed = {"text": text} if text and kind == "keyDown" else {}
            self.call("Input.dispatchKeyEvent", type=kind, key=key, code=key, windowsVirtualKeyCode=code, **typed)

    def resize(self, width: int, height: int = 800) -> None:
        """Give the page a size [px]."""
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 600
        )

    def look(self, scheme: str) -> None:
        """Set the preferred colours, "light" or "dark"."""
        self.call("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])

    def pdf(self, width_in: float, height_in: float) -> bytes:
        """The page on paper, with its own margins."""
        answer = self.call(
            "Page.printToPDF", paperWidth=width_in, paperHeight=height_in, printBackground=True, preferCSSPageSize=True
        )
        return base64.b64decode(answer["data"])

    def picture(self, whole: bool = True) -> bytes:
        """The page as PNG."""
        return base64.b64decode(self.call("Page.captureScreenshot", captureBeyondViewport=whole)["data"])

    def _message(self) -> dict[str, Any]:
        """The next message of the browser; events are noted."""
        end = time.monotonic() + PATIENCE_S
        while b"\0" not in self.rest:
            ready, _, _ = select.select([self.read_end], [], [], max(0.0, end - time.monotonic()))
            data = os.read(self.read_end, 1 << 20) if ready else b""
            assert data, "chromium does not answer"
            self.rest += data
        text, self.rest = self.rest.split(b"\0", 1)
        message: dict[str, Any] = json.loads(text)
        self._note(message.get("method", ""), message.get("params", {}))
        return message

    def _note(self, event: str, detail: dict[str, Any]) -> None:
        """Keep what an event says."""
        if event == "Page.loadEventFired":
            self.loaded = True
        elif event == "Runtime.exceptionThrown":
            self.faults.append(str(detail["exceptionDetails"]))
        elif event == "Runtime.consoleAPICalled" and detail["type"] in ("error", "warning", "assert"):
            self.faults.append(str(detail["args"]))
        elif event == "Log.entryAdded" and detail["entry"]["level"] in ("error", "warning"):
            self.faults.append(detail["entry"]["text"])
        elif event == "Network.requestWillBeSent":
            self.asked.append(detail["request"]["url"])
