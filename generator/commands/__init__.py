"""The commands, one file each.

A file of this folder is a command when it has `NAME`, `ORDER` (its place in the help), `EXAMPLE` (a command that runs
as it stands, for its help page) and either `run`, a function whose annotated arguments typer turns into the command's,
or `group`, a typer application of subcommands.
"""
