"""The shooter in the world: where the feet stand, the planes of the motion, paths in metres."""
