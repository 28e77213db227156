"""Finding things by what people have at hand: a tag, a label, an address, a part of a name."""
