"""One network: its ducts, its tree, Newton on it, its balance."""
