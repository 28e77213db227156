"""Who changed what, when and from where."""
