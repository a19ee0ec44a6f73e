"""The commands, one file each.

A file of this folder is a command when it has `NAME`, `ORDER` (its place in the help) and either `run`, a function
whose annotated arguments typer turns into the command's, or `group`, a typer application of subcommands.
"""
