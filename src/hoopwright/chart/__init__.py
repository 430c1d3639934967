"""What a set of makes and misses says about aim, spread and worth."""
