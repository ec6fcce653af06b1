"""In the field: readings turned into air, what should be read where, and what is due when."""
