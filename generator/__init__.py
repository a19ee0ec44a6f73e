"""Heelwright: the bolted mortise-and-tenon neck joint of an acoustic guitar, and the router jig that cuts it."""

__version__ = "0.1.0"
