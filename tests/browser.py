"""A real browser without a screen: Chromium, spoken to over its DevTools pipe with JSON.

The protocol is that of chromedevtools.github.io/devtools-protocol (domains Target, Page, Runtime,
DOM, Input, Network, Emulation). Its network is a proxy of ours, which notes what it is asked for.
"""

import base64
import json
import os
import select
import shutil
import socket
import subprocess
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path
from typing import Any, Self

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-dev-shm-usage",
    "--no-first-run", "--no-default-browser-check", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-default-apps",
    "--disable-domain-reliability", "--disable-extensions", "--metrics-recording-only",
    "--no-pings", "--password-store=basic", "--use-mock-keychain", "--remote-debugging-pipe",
    "--disable-features=Translate,OptimizationHints,MediaRouter",
)  # fmt: skip
PATIENCE_SECONDS = 120
_CHUNK_BYTES = 1 << 16
_NOTHING = b"HTTP/1.1 502 nothing\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"


class Browser:
    """One browser with one page, closed when its block ends."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="browser-"))
        self._network = _Network()
        to_it, self._out = os.pipe()
        self._in, from_it = os.pipe()
        # It reads its orders from descriptor 3 and answers on 4.
        self._process = subprocess.Popen(
            ["bash", "-c", f'exec "$@" 3<&{to_it} 4>&{from_it}', "-", _program(), *FLAGS,
             f"--user-data-dir={self._folder}",
             f"--proxy-server=127.0.0.1:{self._network.port}",
             "--proxy-bypass-list=<-loopback>", "about:blank"],
            pass_fds=(to_it, from_it), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(to_it)
        os.close(from_it)
        self._left, self._number, self._session = b"", 0, ""
        self.requests: list[str] = []

    def __enter__(self) -> Self:
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        session = self._ask("Target.attachToTarget", targetId=target, flatten=True)
        self._session = str(session["sessionId"])
        for domain in ("Page", "Runtime", "DOM", "Network"):
            self._ask(f"{domain}.enable")
        return self

    def __exit__(self, *_: object) -> None:
        self._process.terminate()
        self._process.wait(PATIENCE_SECONDS)
        for descriptor in (self._in, self._out):
            os.close(descriptor)
        self._network.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def open(self, page: Path) -> None:
        """Show a page that is a file, and wait until it is there."""
        self.requests.clear()
        self._ask("Page.navigate", url=page.as_uri())
        self.run(
            "new Promise((done) => document.readyState === 'complete' ? done()"
            " : addEventListener('load', () => done()))"
        )

    def run(self, script: str) -> Any:
        """Return what a script gives in the page, once its promise is kept."""
        answer = self._ask(
            "Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True
        )
        if "exceptionDetails" in answer:
            raise AssertionError(answer["exceptionDetails"])
        return answer["result"].get("value")

    def wait_for(self, condition: str) -> None:
        """Wait until a condition holds in the page, looked at whenever the page changes."""
        self.run(
            f"new Promise((done) => {{ const look = () => {{ if ({condition}) done(true); }};"
            " new MutationObserver(look).observe(document, { subtree: true, childList: true,"
            " attributes: true, characterData: true }); look(); })"
        )

    def choose(self, selector: str, *paths: Path) -> None:
        """Choose files, or a folder, in a field for files."""
        document = self._ask("DOM.getDocument")["root"]["nodeId"]
        node = self._ask("DOM.querySelector", nodeId=document, selector=selector)["nodeId"]
        self._ask("DOM.setFileInputFiles", nodeId=node, files=[str(path) for path in paths])

    def drop(self, selector: str, *paths: Path) -> None:
        """Drop files or folders on something in the page, as from a file manager."""
        x, y = self.run(
            f"(() => {{ const box = document.querySelector('{selector}').getBoundingClientRect();"
            " return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        data = {"items": [], "files": [str(path) for path in paths], "dragOperationsMask": 1}
        for kind in ("dragEnter", "dragOver", "drop"):
            self._ask("Input.dispatchDragEvent", type=kind, x=x, y=y, data=data)

    def resize(self, width: int, height: int, *, dark: bool = False) -> None:
        """Give the page the screen of a phone, or another, and its light or dark look."""
        self._ask(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=2, mobile=width < 600,
        )  # fmt: skip
        look = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self._ask("Emulation.setEmulatedMedia", features=[look])

    def picture(self) -> bytes:
        """Return the whole page as a PNG."""
        answer = self._ask("Page.captureScreenshot", captureBeyondViewport=True)
        return base64.b64decode(answer["data"])

    def calls(self) -> list[str]:
        """Return what has been asked of the network by anything in the browser, a line each.

        It asks its maker for news of its own accord; what a page asks for names the page's wish.
        """
        return list(self._network.calls)

    def _ask(self, method: str, **given: object) -> dict[str, Any]:
        self._number += 1
        order: dict[str, object] = {"id": self._number, "method": method, "params": given}
        if self._session:
            order["sessionId"] = self._session
        message = json.dumps(order).encode() + b"\0"
        while message:
            message = message[os.write(self._out, message) :]
        while True:
            answer = self._next()
            if answer.get("method") == "Network.requestWillBeSent":
                self.requests.append(str(answer["params"]["request"]["url"]))
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise AssertionError(f"{method}: {answer['error']}")
                return dict(answer["result"])

    def _next(self) -> dict[str, Any]:
        until = time.monotonic() + PATIENCE_SECONDS
        while b"\0" not in self._left:
            ready, _, _ = select.select([self._in], [], [], max(0.0, until - time.monotonic()))
            some = os.read(self._in, _CHUNK_BYTES) if ready else b""
            if not some:
                raise AssertionError("the browser has ended, or says nothing more")
            self._left += some
        message, _, self._left = self._left.partition(b"\0")
        return dict(json.loads(message))


class _Network(threading.Thread):
    """All the network there is: a proxy that notes what it is asked for and has nothing."""

    def __init__(self) -> None:
        super().__init__(daemon=True)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        self.calls: list[str] = []
        self.start()

    def run(self) -> None:
        with suppress(OSError):  # closed: the end
            while True:
                caller, _ = self._listener.accept()
                with caller, suppress(OSError):
                    caller.settimeout(PATIENCE_SECONDS)
                    self.calls.append(
                        caller.recv(_CHUNK_BYTES).partition(b"\r\n")[0].decode("latin-1")
                    )
                    caller.sendall(
                        b"HTTP/1.1 502 no\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
                    )

    def close(self) -> None:
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        self.join(PATIENCE_SECONDS)


def _program() -> str:
    for name in NAMES:
        if found := shutil.which(name):
            return found
    raise AssertionError(
        f"no browser to test check.html with: install Chromium (one of {', '.join(NAMES)})"
    )
