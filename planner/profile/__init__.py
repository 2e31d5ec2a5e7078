"""Step 3, profile: the ground under the line, its grade breaks, rises and dips."""
