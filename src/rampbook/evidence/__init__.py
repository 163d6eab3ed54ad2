"""What the numbers allow one to say: rungs, verdicts, sentences, and the finding that carries them."""
