"""STEP: exact solids."""
