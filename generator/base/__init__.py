"""The ground, standard library only: errors, units, geometry, TOML and whole files."""
