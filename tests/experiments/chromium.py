"""Headless Chromium, from the system's packages, to look at pages as a person would."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
SWITCHES = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    # The browser itself may ask for the time; no name is resolved, so nothing leaves the machine.
    "--disable-features=NetworkTimeServiceQuerying",
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--hide-scrollbars",
)


def browser() -> str:
    """The path of a Chromium; the test is skipped only where there is none."""
    for name in BROWSERS:
        found = shutil.which(name)
        if found:
            return found
    pytest.skip("no chromium on this machine: install the package 'chromium' to run this test")


def run(page: Path, folder: Path, *switches: str, milliseconds: int = 3000) -> str:
    """Open a page with a profile of its own, and return what the browser prints."""
    profile = folder / f"profile-{len(list(folder.glob('profile-*')))}"
    command = [
        browser(),
        *SWITCHES,
        f"--user-data-dir={profile}",
        f"--virtual-time-budget={milliseconds}",
        *switches,
        page.as_uri(),
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


def dom_of(page: Path, folder: Path, milliseconds: int = 3000) -> str:
    """The document after its scripts have run."""
    return run(page, folder, "--dump-dom", milliseconds=milliseconds)


def screenshot(page: Path, folder: Path, width: int = 1000, height: int = 1000) -> Path:
    """A picture of the page."""
    picture = folder / f"{page.stem}.png"
    run(page, folder, f"--screenshot={picture}", f"--window-size={width},{height}")
    return picture


def requests_of(page: Path, folder: Path) -> list[str]:
    """Every address that the page, or a script in it, asked the network for.

    The browser asks for things of its own (updates, the time), which have no origin in a page and
    are left out; its name look-ups all fail, so nothing leaves the machine.
    """
    log = folder / "net-log.json"
    run(page, folder, f"--log-net-log={log}", "--dump-dom")
    events: list[dict[str, Any]] = json.loads(log.read_text())["events"]
    asked = [event["params"] for event in events if "initiator" in event.get("params", {})]
    urls = {str(one["url"]) for one in asked if one["initiator"] != "not an origin"}
    return sorted(url for url in urls if url.startswith(("http:", "https:", "ws:", "wss:")))
