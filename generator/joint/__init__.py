"""The formulas of the joint, and what is done with a reading after the cut."""
