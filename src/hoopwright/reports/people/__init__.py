"""One player's work told to the player, the family, the team coach, the coach, and a group's."""
