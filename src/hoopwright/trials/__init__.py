"""Whether a change puts more shots in than the player's habit, and how sure that is."""
