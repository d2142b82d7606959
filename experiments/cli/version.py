"""The version of the program, for manifests and `--version`."""

from __future__ import annotations

from importlib import metadata


def version() -> str:
    """The installed version, or words saying that the source tree is used uninstalled."""
    try:
        return metadata.version("stallwise")
    except metadata.PackageNotFoundError:
        return "source tree, not installed"
