"""What Voila is told where it is started from the kit's folder: nothing is fetched from outside."""

from __future__ import annotations

import json
from pathlib import Path

from voila.app import Voila

SETTINGS = Path(__file__).parents[2] / "notebooks" / "voila.json"

#: Sources of Content Security Policy Level 3 that are the page itself or its own server; ``ws:``
#: is the kernel's socket, which not every browser takes for the page's own server.
OWN = {"'self'", "'unsafe-inline'", "'unsafe-eval'", "data:", "blob:", "ws:", "wss:"}


def test_a_browser_is_told_to_fetch_from_the_pages_own_server_only() -> None:
    settings = json.loads(SETTINGS.read_text(encoding="utf-8"))
    (policy,) = settings["Voila"]["tornado_settings"]["headers"].values()
    told = {name: set(more) for name, *more in (part.split() for part in policy.split(";"))}
    assert {"default-src", "connect-src"} <= set(told)
    assert set.union(*told.values()) <= OWN
    assert "ws:" not in told["default-src"]


def test_voila_reads_them_from_the_folder_that_it_is_started_in(monkeypatch) -> None:
    monkeypatch.chdir(SETTINGS.parent)
    app = Voila()
    app.load_config_file("voila", path=app.config_file_paths[:1])
    assert "default-src 'self'" in json.dumps(app.tornado_settings)
