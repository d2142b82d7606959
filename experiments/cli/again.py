"""`stallwise again`: run a study again from its folder alone."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from experiments.cli import options
from experiments.cli.app import command_of
from experiments.cli.output import complain
from experiments.errors import StallwiseError
from experiments.running import disk, identity
from experiments.running.manifest import Manifest, code_of, read_manifest
from experiments.running.tasks import rehearse_dict
from experiments.situations.situation import Situation

COMMANDS = ("try", "compare", "whatif", "vary", "map", "matchup", "tune", "sturdiness")
SITUATION = "situation.toml"


def command(
    study: Annotated[Path, options.argument("STUDY", "Folder written by a command's --out.")],
    out: Annotated[Path, options.option("DIR", "A new folder for the new run.")],
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    json: options.Json = False,
) -> None:
    """Run a study again from its folder alone: command, options, situation, seed."""
    manifest = read_manifest(study)
    command, told, situation = map(manifest.settings.get, ("command", "options", "situation"))
    known = isinstance(command, str) and command in COMMANDS
    if not (known and isinstance(told, dict) and isinstance(situation, dict)):
        raise StallwiseError(
            f"{study} does not say which command made it: a script did, or it is part of a study; "
            f"allowed: the folder that was given to {', '.join(COMMANDS)} as --out"
        )
    asked = command_of(str(command))
    now = {"jobs": jobs, "cluster": cluster, "json": json, "out": out}
    arguments = _line(study, asked, {**told, **now})
    options.ready_folder(out)
    chosen = Situation.from_dict(situation, f"{study}: the situation")
    disk.put(out / SITUATION, chosen.to_toml().encode())
    for line in _differences(manifest):
        complain(line)
    # A usage error is shown as one of the command itself.
    code = asked.main([str(out / SITUATION), *arguments], standalone_mode=False)
    if code:
        raise typer.Exit(code)


def _line(study: Path, command: Any, told: dict[str, Any]) -> list[str]:
    """The options as command-line arguments, so that they are checked like any others."""
    known = {each.name: each for each in command.params if each.name != "situation"}
    line: list[str] = []
    bare: list[str] = []
    for name, value in told.items():
        if value is None or value is False:
            continue
        if name not in known:
            raise StallwiseError(f"{study}: found the unknown option {name!r}")
        values = value if isinstance(value, list) else [value]
        if not all(isinstance(each, (str, int, float, Path)) for each in values):
            raise StallwiseError(f"{study}: found {name} = {value!r:.100}; allowed: words, numbers")
        if known[name].param_type_name == "argument":
            bare += map(str, values)
        else:
            flag = known[name].opts[-1]
            line += [flag] if known[name].is_flag else [f"{flag}={each}" for each in values]
    return [*line, "--", *bare]


def _differences(manifest: Manifest) -> list[str]:
    """What may make the results differ from those in the folder."""
    before, now = manifest.versions, identity.versions()
    changed = [
        f"{name} was {before.get(name)}, is {now[name]}"
        for name in identity.COMPUTING
        if before.get(name) != now[name]
    ]
    if manifest.code != code_of(rehearse_dict, [task.situation for task in manifest.tasks]):
        changed.append("the code of the game or its policies has changed")
    return [f"this may come out differently: {told}" for told in changed]
