"""One file per page family; each handler reads input, calls one action, renders."""
