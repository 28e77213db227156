"""Survey folders in and out: files to actions and back, with no tables of its own."""
