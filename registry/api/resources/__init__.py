"""One module per subject: what its rows look like in JSON, which actions write them. Listed once, in ../urls.py."""
