"""How lengths, names, sentences and lines are put down, on the screen and on paper alike."""
