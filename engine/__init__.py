"""The computation behind Kerfdraft: functions over immutable designs, free of any screen."""

from engine.assess import Assessment, assess
from engine.balance import Balance, NotConverged, solve
from engine.design import Design
from engine.design_file import DesignFileError, load, save
from engine.network import compile_tree

__all__ = ["Assessment", "Balance", "Design", "DesignFileError", "NotConverged", "assess", "compile_tree", "load", "save", "solve"]
