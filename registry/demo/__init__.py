"""The invented site and clients that the demo shows; factories that tests use too."""
