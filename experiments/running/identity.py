"""What makes two studies the same study: situation, code and the versions that compute."""

from __future__ import annotations

import ast
import functools
import hashlib
import importlib.metadata
import importlib.util
import json
import platform
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from pathlib import Path
from typing import Any

# A different version of one of these may change the last bit of a result.
COMPUTING = ("stallwise", "numpy", "scipy", "mesa", "numba", "llvmlite")
STORING = ("pandas", "pyarrow")
# The packages whose code decides what a rehearsal comes to, all of it; and those of the project.
GAME = ("sim", "policies")
OWN = (*GAME, "experiments")
# What Python and the game read of a package: modules and tables.
READ = (".py", ".npz", ".so", ".pyd")
# For the reader only; a corrected title does not make another study.
WORDS = ("title", "question", "story")


def plain(situation: Mapping[str, Any]) -> dict[str, Any]:
    """The situation after a round trip through JSON: lists for tuples, strings for keys.

    Raises
    ------
    ValueError : if it holds a value that JSON does not have, NaN and infinity among them.
    """
    try:
        return json.loads(json.dumps(situation, allow_nan=False))
    except TypeError as error:
        raise ValueError(f"a situation must be made of plain values: {error}") from error


def digest(situation: Mapping[str, Any]) -> str:
    """SHA-256 of a situation, independent of the order of its keys and of its title and story."""
    told = {key: value for key, value in plain(situation).items() if key not in WORDS}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def differences(before: Any, now: Any, path: str = "") -> Iterator[str]:
    """Where two situations differ, a line each, by their path in the file."""
    if isinstance(before, dict) and isinstance(now, dict):
        for key in sorted(before.keys() | now.keys()):
            if not path and key in WORDS:
                continue
            here = f"{path}.{key}" if path else key
            if key not in before or key not in now:
                yield f"{here} was {'added' if key in now else 'taken out'}"
            else:
                yield from differences(before[key], now[key], here)
    elif isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        for index, pair in enumerate(zip(before, now, strict=True)):
            yield from differences(*pair, f"{path}[{index}]")
    elif before != now or type(before) is not type(now):
        yield f"{path} was {json.dumps(before)}, now {json.dumps(now)}"


def versions() -> dict[str, str]:
    """Versions of this package, of what it computes and stores with, and of the machine."""
    found = {"python": platform.python_version(), "machine": platform.machine()}
    for name in COMPUTING + STORING:
        try:
            found[name] = importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            found[name] = "not installed"
    return found


def code_digest(rows: Callable[..., Any]) -> str:
    """SHA-256 of the game, the policies, and the modules that make rehearsals of a situation.

    Of the game's packages all modules and tables count; of others the module of `rows` and those
    that it imports, and so on, of this project or of its own package. Files that Python does not
    read do not count, nor does compiled code: that is made from these texts by the compiler
    whose version is in `versions`. Policies of other packages: see `plugins_digest`.
    """
    files = {path: name for package in GAME for name, path in _package_files(package)}
    ours = {*OWN, rows.__module__.partition(".")[0]} - set(GAME)
    files |= {path: name for name, path in _imported(rows.__module__, ours)}
    return _digest_of(files)


def plugins_digest(situations: Iterable[Mapping[str, Any]]) -> str:
    """SHA-256 of the packages whose policies some situations name; "" if they name none."""
    from policies import BUILT_IN
    from policies.registry import GROUP, KINDS

    words = set(_words(list(situations)))
    files: dict[Path, str] = {}
    for kind in KINDS:
        for entry in importlib.metadata.entry_points(group=f"{GROUP}.{kind}"):
            if entry.name not in words or entry.name in BUILT_IN.get(kind, {}):
                continue
            files |= {path: name for name, path in _package_files(entry.module.partition(".")[0])}
            listed = (entry.dist.files if entry.dist is not None else None) or []
            files |= {Path(str(f.locate())): str(f) for f in listed if f.suffix in READ}
    return _digest_of(files) if files else ""


def _digest_of(files: Mapping[Path, str]) -> str:
    total = hashlib.sha256()
    for name, path in sorted((name, path) for path, name in files.items() if path.is_file()):
        total.update(name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return total.hexdigest()


def _package_files(package: str) -> Iterator[tuple[str, Path]]:
    """Name and place of a module, or of all that Python reads of a package, which is not run."""
    found = importlib.util.find_spec(package)
    if found is None:
        return
    if found.submodule_search_locations is None:
        if found.origin is not None:
            yield package, Path(found.origin)
        return
    for folder in map(Path, found.submodule_search_locations):
        for path in folder.rglob("*"):
            inside = path.relative_to(folder)
            if path.suffix in READ and not any(part.startswith(".") for part in inside.parts):
                yield f"{package}/{inside.as_posix()}", path


def _imported(module: str, packages: Set[str]) -> Iterator[tuple[str, Path]]:
    """Name and file of a module and of every module of some packages that it comes to import."""
    waiting, seen = [module], {module}
    while waiting:
        name = waiting.pop()
        path = _file_of(name)
        if path is None:
            continue
        yield name, path
        above = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
        for wanted in _imports_of(path.read_bytes(), tuple(above)):
            if wanted.partition(".")[0] in packages and wanted not in seen:
                seen.add(wanted)
                waiting.append(wanted)


def _file_of(module: str) -> Path | None:
    try:
        found = importlib.util.find_spec(module)
    except (ImportError, ValueError):
        return None  # a name in a module, not a module
    origin = None if found is None else found.origin
    return Path(origin) if origin is not None and Path(origin).suffix == ".py" else None


@functools.lru_cache(maxsize=256)
def _imports_of(text: bytes, package: Sequence[str]) -> tuple[str, ...]:
    """What the text of a module in a package imports, its functions too; names that may be modules."""
    found: list[str] = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            parts = package[: len(package) - node.level + 1] if node.level else ()
            start = ".".join([*parts, *([node.module] if node.module else [])])
            found += [start, *(f"{start}.{alias.name}" for alias in node.names)]
    return tuple(found)


def _words(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        yield from _words(list(value.values()))
    elif isinstance(value, (list, tuple)):
        for part in value:
            yield from _words(part)
