"""One module for each theme, each a few declarations over registry.engineering."""
