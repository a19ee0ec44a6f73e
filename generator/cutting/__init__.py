"""What a laser or router cuts: layers and their faults, cut lines, sheets of nested parts."""
