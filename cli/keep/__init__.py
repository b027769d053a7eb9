"""A wheel's file: every reading of one wheel, kept so that a later one can be fused with it."""
