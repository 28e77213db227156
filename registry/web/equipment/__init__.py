"""Items, places and the catalogue of models."""
