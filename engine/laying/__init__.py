"""Laying ducts out: where the runs of a first layout go in a room, in which sizes, and how near that is to the least there could be."""
