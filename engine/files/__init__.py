"""Design files: TOML in and out."""
