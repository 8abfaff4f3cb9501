"""From joints to verdicts: what a mount probably is, whether two go together, and what to do next."""
