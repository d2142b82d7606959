"""Situation files: reading, checking, settings by path, formations, line-up.

tables         settings dataclasses from plain tables
parts          the tables of a situation file, each checked on its own
checking       what the tables must have in common
setting_paths  every setting by its path: list, look up, change
situation      `Situation`: its fields, from and to plain tables, mirror, digest
files          files and shipped situations
lineup         from a situation to the scene and policies of the game
formation      a formation moved about the field
begin          a new situation from a few answers
asks           what a situation asks, and the measure that answers
grid           settings varied by path: ranges and grid points
"""
