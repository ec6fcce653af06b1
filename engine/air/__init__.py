"""The air in the ducts: its properties, the collector's curve, losses, and the network solved for a set of gates."""
