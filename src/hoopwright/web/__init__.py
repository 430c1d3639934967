"""The pages: read input, call one action, render."""
