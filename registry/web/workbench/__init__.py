"""Every calculation of the library, usable without saving anything."""
