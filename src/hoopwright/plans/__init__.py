"""From what was found to what to practise: focus, cue, drills, sheets."""
