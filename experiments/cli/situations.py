"""`stallwise situations`: the situations that are shipped."""

from __future__ import annotations

from typing import Annotated

from experiments.cli.options import Json, argument
from experiments.cli.output import print_json, print_table
from experiments.situations.files import load, shipped, shipped_text


def command(
    name: Annotated[str | None, argument("[NAME]", "Print this one's file instead.")] = None,
    json: Json = False,
) -> None:
    """List the shipped situations, or print the file of one."""
    if name is not None:
        if json:
            print_json(load(name).to_dict())
        else:
            print(shipped_text(name), end="")
        return
    found = {known: load(known) for known in shipped()}
    if json:
        about = ("title", "question", "plan", "defence")
        print_json({k: {word: getattr(v, word) for word in about} for k, v in found.items()})
        return
    rows = [(k, v.title, v.question) for k, v in found.items()]
    print_table(("situation", "title", "question"), rows, left=3)
