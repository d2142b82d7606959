"""`stallwise again`: run a study once more from nothing but its folder."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from experiments.cli import (
    asking,
    compare,
    map,
    matchup,
    options,
    sturdiness,
    try_,
    tune,
    vary,
    whatif,
)
from experiments.cli.output import complain
from experiments.errors import StallwiseError
from experiments.running import disk, identity
from experiments.running.manifest import Manifest, read_manifest
from experiments.running.tasks import rehearse_dict
from experiments.situations.situation import Situation

COMMANDS: dict[str, Callable[..., None]] = {
    "try": try_.rehearse_one,
    "compare": compare.compare_plans,
    "whatif": whatif.ask_what_if,
    "vary": vary.vary_settings,
    "map": map.map_places,
    "matchup": matchup.match_plans,
    "tune": tune.tune_settings,
    "sturdiness": sturdiness.ask_sturdiness,
}
SITUATION = "situation.toml"


def run_again(
    study: Annotated[
        Path, typer.Argument(metavar="STUDY", help="Folder written by a command's --out.")
    ],
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Another folder, for the new.")],
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    json: options.Json = False,
) -> None:
    """Run a study again from what its folder says of it: command, options, situation, seed."""
    manifest = read_manifest(study)
    said = manifest.settings
    command, told, situation = (said.get(key) for key in ("command", "options", "situation"))
    if command not in COMMANDS or not isinstance(told, dict) or not isinstance(situation, dict):
        raise StallwiseError(
            f"{study} does not say which command made it: a script did, or it is part of a study; "
            f"allowed: the folder that was given to {', '.join(COMMANDS)} as --out"
        )
    options.ready_folder(out)
    chosen = Situation.from_dict(situation, f"{study}: the situation")
    disk.put(out / SITUATION, chosen.to_toml().encode())
    for line in _differences(manifest):
        complain(line)
    asking.remember(command, told)
    run = COMMANDS[command]
    unknown = sorted(set(told) - set(inspect.signature(run).parameters))
    if unknown:
        raise StallwiseError(f"{study}: found option {unknown[0]!r}; allowed: those of {command}")
    try:
        run(str(out / SITUATION), jobs=jobs, cluster=cluster, json=json, out=out, **told)
    except (TypeError, AttributeError) as error:
        raise StallwiseError(
            f"{study}: its options are not those that {command} writes down: {error}"
        ) from error


def _differences(manifest: Manifest) -> list[str]:
    """What may keep the results from being the same to the last bit."""
    now = identity.versions()
    changed = [
        f"{name} was {manifest.versions.get(name)}, is {now[name]}"
        for name in identity.COMPUTING
        if manifest.versions.get(name) != now[name]
    ]
    if manifest.code != identity.code_digest(rehearse_dict):
        changed.append("the code of the game or its policies is other code")
    return [f"this may come out differently: {told}" for told in changed]
