"""Pages of the searches: what was found so far, and each proposal beside the design."""
