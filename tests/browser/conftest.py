"""A private JupyterLab or Voila and a real browser, started and ended here, all on loopback."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
SHOTS = ROOT / "tests" / "screenshots"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""
HERE = "http://127.0.0.1"

#: Nothing of the browser's own may call home, or the check of requests would blame the kit.
CHROMIUM_ARGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # No other machine has a name or a number here. A gate for every request would do as well, but
    # a browser with one keeps nothing, and loads JupyterLab anew for each test.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]


@dataclass
class Lab:
    """A running JupyterLab, and the folder in its root, or the page, that is a test's own."""

    address: str
    token: str
    folder: Path

    def put_notebook(self, name: str, source: str) -> None:
        """Write a notebook of one cell beside the others."""
        code = {
            "cell_type": "code", "execution_count": None, "id": "only", "metadata": {},
            "outputs": [], "source": source,
        }  # fmt: skip
        kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
        book = {
            "cells": [code], "metadata": {"kernelspec": kernel},
            "nbformat": 4, "nbformat_minor": 5,
        }  # fmt: skip
        (self.folder / "notebooks" / name).write_text(json.dumps(book))


@dataclass
class Watched:
    """A browser page, the requests that tried to leave the machine, and what it complained of."""

    page: Any
    outside: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def open_and_run(self, lab: Lab, notebook: str) -> float:
        """Open a notebook, run all of its cells, and return the seconds to the first chart."""
        path = f"{lab.folder.name}/notebooks/{notebook}"
        # What other tests had open is not opened again.
        self.page.goto(f"{lab.address}/doc/tree/{path}?reset&token={lab.token}")
        self.page.wait_for_selector(".jp-NotebookPanel .jp-Notebook", timeout=90_000)
        self.page.wait_for_function(IDLE, timeout=90_000)
        start = time.monotonic()
        run = "async () => await window.jupyterapp.commands.execute('notebook:run-all-cells')"
        self.page.evaluate(
            f"() => {{ window.ran = false; ({run})().finally(() => {{ window.ran = true }}) }}"
        )
        # A cell that fails ends the run, and no chart would ever come.
        self.page.wait_for_function(FIRST_CHART_OR_END, timeout=120_000)
        first_chart = time.monotonic() - start
        self.page.wait_for_function("() => window.ran", timeout=120_000)
        self.page.wait_for_function(IDLE, timeout=90_000)
        return first_chart

    def cell_errors(self) -> list[str]:
        """Return the errors in the outputs of all cells, seen or not."""
        return [str(error) for error in self.page.evaluate(CELL_ERRORS)]


IDLE = (
    "() => window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel?.status"
    " === 'idle'"
)
FIRST_CHART_OR_END = (
    "() => document.querySelector('.js-plotly-plot .main-svg, .ufk-board .ufk-elevation svg')"
    " !== null || window.ran"
)
CELL_ERRORS = """() => window.jupyterapp.shell.currentWidget.content.widgets
    .filter(cell => cell.model.type === 'code')
    .flatMap(cell => cell.model.outputs.toJSON())
    .filter(output => output.output_type === 'error')
    .map(output => output.ename + ': ' + output.evalue)"""


#: Gives a page ``quiet()``, which ends when every message to a kernel has been worked off, what
#: came of it is drawn, and nothing more follows: a new width is told 120 ms after it is seen.
QUIET = """() => {
    const open = new Set(), Plain = window.WebSocket
    let moved = 0
    const read = data => {
        if (typeof data === 'string') return JSON.parse(data)
        const view = new DataView(data), at = n => Number(view.getBigUint64(8 * (n + 1), true))
        const part = n => new TextDecoder().decode(data.slice(at(n), at(n + 1)))
        return {channel: part(0), header: JSON.parse(part(1)), parent_header: JSON.parse(part(2)),
            get content() { return JSON.parse(part(4)) }}
    }
    const sent = ({channel, header}) => {
        moved += 1
        if (channel === 'shell' || channel === 'control') open.add(header.msg_id)
    }
    const came = ({header, parent_header, content}) => {
        moved += 1
        if (header.msg_type === 'status' && content.execution_state === 'idle')
            open.delete(parent_header.msg_id)
    }
    window.WebSocket = class extends Plain {
        constructor(...where) {
            super(...where)
            this.kernel = this.url.includes('/channels')
            if (!this.kernel) return
            this.addEventListener('message', event => came(read(event.data)))
            this.addEventListener('close', () => open.clear())
        }
        send(data) {
            if (this.kernel) sent(read(data))
            super.send(data)
        }
    }
    const frame = () => new Promise(requestAnimationFrame)
    const wait = ms => new Promise(done => setTimeout(done, ms))
    window.quiet = async () => {
        for (const end = performance.now() + 60000; performance.now() < end;) {
            const before = moved
            await frame()
            await frame()
            await wait(200)
            if (!open.size && moved === before) return
        }
        throw new Error(`the kernel was not done within a minute: ${[...open]}`)
    }
}"""


@pytest.fixture(scope="session", autouse=True)
def _browser_is_there() -> None:
    if not CHROMIUM:
        if os.environ.get("CI"):
            pytest.fail("no chromium, and in the checks a missing browser is a failure")
        pytest.skip("no chromium on this machine")
    SHOTS.mkdir(exist_ok=True)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Copy notebooks and data to a folder of the test's own."""
    return _own_copy(tmp_path / "work")


def _own_copy(work: Path) -> Path:
    for part in ("notebooks", "data"):
        shutil.copytree(ROOT / part, work / part)
    return work


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """Start one JupyterLab for all tests, whose folders lie in its root; end it by its process."""
    root, home = tmp_path_factory.mktemp("root"), tmp_path_factory.mktemp("lab")
    token, port, settings = secrets.token_hex(16), _free_port(), home / "settings"
    quiet = settings / "@jupyterlab" / "apputils-extension"
    quiet.mkdir(parents=True)
    said = {"fetchNews": "false", "checkForUpdates": False}
    (quiet / "notification.jupyterlab-settings").write_text(json.dumps(said))
    page = home / "own-config" / "labconfig"
    page.mkdir(parents=True)
    # Whether JupyterLab should be built anew is asked of Node at each opening of a page.
    (page / "page_config.json").write_text('{"buildCheck": false, "buildAvailable": false}')
    with (home / "lab.log").open("wb") as log:
        process = subprocess.Popen(
            [
                str(Path(sys.executable).parent / "jupyter"),
                "lab",
                "--no-browser",
                "--allow-root",
                "--expose-app-in-browser",
                "--ServerApp.ip=127.0.0.1",
                f"--ServerApp.port={port}",
                "--ServerApp.port_retries=0",
                f"--IdentityProvider.token={token}",
                f"--ServerApp.root_dir={root}",
                "--LabApp.news_url=",
                "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
            ],
            env=_environment(home, settings),
            stdout=log,
            stderr=log,
            stdin=subprocess.DEVNULL,
        )
        try:
            _wait(f"{HERE}:{port}/api/status?token={token}", process, home / "lab.log")
            yield Lab(f"{HERE}:{port}", token, root)
        finally:
            _end(process)


@pytest.fixture
def lab(server: Lab) -> Iterator[Lab]:
    """Copy notebooks and data into the running JupyterLab; afterwards end the test's kernels."""
    work = _own_copy(server.folder / f"test-{secrets.token_hex(4)}")
    yield Lab(server.address, server.token, work)
    sessions = f"{server.address}/api/sessions"
    for one in json.loads(_asked(sessions, server.token)):
        _asked(f"{sessions}/{one['id']}", server.token, method="DELETE")


def _asked(address: str, token: str, method: str = "GET") -> bytes:
    heads = {"Authorization": f"token {token}"}
    asked = urllib.request.Request(address, method=method, headers=heads)
    with urllib.request.urlopen(asked, timeout=30) as reply:
        return bytes(reply.read())


@pytest.fixture
def voila(request: pytest.FixtureRequest, tmp_path: Path, folder: Path) -> Iterator[Lab]:
    """Start the board's notebook, or one that a test names, under Voila; end it by its process."""
    port = _free_port()
    notebook = folder / "notebooks" / getattr(request, "param", "02_set_out_the_base.ipynb")
    with (tmp_path / "voila.log").open("wb") as log:
        process = subprocess.Popen(
            [
                str(Path(sys.executable).parent / "voila"),
                str(notebook),
                "--no-browser",
                "--Voila.ip=127.0.0.1",
                f"--port={port}",
            ],
            cwd=notebook.parent,  # as the README has it: there its settings lie
            env=_environment(tmp_path, tmp_path / "settings"),
            stdout=log,
            stderr=log,
            stdin=subprocess.DEVNULL,
        )
        try:
            # The socket only: each visit of the page starts a kernel.
            _wait_for_socket(port, process, tmp_path / "voila.log")
            yield Lab(f"{HERE}:{port}", "", folder)
        finally:
            _end(process)


def _wait_for_socket(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + 60
    while time.monotonic() < end:
        if process.poll() is not None:
            raise RuntimeError(log.read_text(errors="replace")[-2000:])
        with socket.socket() as one:
            one.settimeout(1)
            if one.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.2)
    raise TimeoutError(str(port))


def _environment(tmp_path: Path, settings: Path) -> dict[str, str]:
    own = {
        "JUPYTER_CONFIG_DIR": "config",
        "JUPYTER_DATA_DIR": "data",
        "JUPYTER_RUNTIME_DIR": "runtime",
        "IPYTHONDIR": "ipython",
        "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
    }
    places = {name: str(tmp_path / f"own-{place}") for name, place in own.items()}
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    return {
        **os.environ,
        **places,
        "JUPYTERLAB_SETTINGS_DIR": str(settings),
        "PYTHONPATH": path.rstrip(os.pathsep),
    }


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _wait(address: str, process: subprocess.Popen[bytes], log: Path, seconds: float = 60) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if process.poll() is not None:
            raise RuntimeError(log.read_text(errors="replace")[-2000:])
        try:
            with urllib.request.urlopen(address, timeout=2) as reply:
                if reply.status == 200:
                    return
        except OSError:
            time.sleep(0.2)
    raise TimeoutError(address)


def _end(process: subprocess.Popen[bytes]) -> None:
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(15)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(5)


@pytest.fixture(params=[1400, 800], ids=["wide", "narrow"])
def width(request: pytest.FixtureRequest) -> int:
    """Return the width of the browser's window [px]."""
    return int(request.param)


@pytest.fixture
def device() -> dict[str, Any]:
    """Return what else the browser is told of the device, such as a touch screen."""
    return {}


@pytest.fixture(scope="session")
def profiles() -> Iterator[Callable[[dict[str, Any]], Any]]:
    """Start one browser, with one profile a kind of device: what Lab is made of loads once."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        made: dict[str, Any] = {}

        def profile(device: dict[str, Any]) -> Any:
            name = json.dumps(device, sort_keys=True)
            if name not in made:
                made[name] = started.new_context(**device)
            return made[name]

        yield profile
        started.close()


@pytest.fixture
def watched(
    profiles: Callable[[dict[str, Any]], Any], width: int, device: dict[str, Any]
) -> Iterator[Watched]:
    """Open a page; what it asks of another machine is written down, and is not to be had."""
    page = profiles(device).new_page()
    page.set_viewport_size({"width": width, "height": 1000})
    page.set_default_timeout(60_000)  # two workers share the machine
    page.add_init_script(f"({QUIET})()")
    seen = Watched(page)

    def note(request: Any) -> None:
        # What the page's own policy (notebooks/voila.json) forbids never left the browser.
        forbidden = "csp" in (request.failure or "").lower()
        if not (forbidden or request.url.startswith((HERE, "data:", "blob:"))):
            seen.outside.append(request.url)

    page.on("requestfinished", note)
    page.on("requestfailed", note)
    page.on("pageerror", lambda error: seen.errors.append(str(error)))
    try:
        yield seen
    finally:
        page.close()
