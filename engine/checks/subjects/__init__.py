"""One small function a finding, one module a subject."""
