"""Which of a player's own body measures go with where the ball goes; never why."""
