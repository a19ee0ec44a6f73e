"""glTF, binary: the jig to turn about."""
