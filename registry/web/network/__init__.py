"""Pages of a site's network: what a sweep saw, against what the register says."""
