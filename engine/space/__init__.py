"""Where a design's runs, ports and walls are; nothing here knows of air."""
