"""The joint cut virtually from the written files."""
