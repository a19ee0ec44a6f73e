"""A class: one table of students in; shared jigs, one laser order, hand-outs, a summary and the class's state out."""
