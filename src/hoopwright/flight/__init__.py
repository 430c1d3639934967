"""Ball flight, ring and board contact; arrays in, values out."""
