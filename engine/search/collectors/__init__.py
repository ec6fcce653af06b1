"""Which collector: what each gate set asks of one, the choices there are, the least that would do."""

from engine.search.collectors.choices import Choice, choices, is_known, with_choice
from engine.search.collectors.duty import Duty, duties, filter_known, worst
from engine.search.collectors.least import Least, binding, least_at_todays_ducts, least_with_other_sizes
from engine.search.collectors.second import Split, splits

__all__ = [
    "Choice", "Duty", "Least", "Split", "binding", "choices", "duties", "filter_known", "is_known", "least_at_todays_ducts",
    "least_with_other_sizes", "splits", "with_choice", "worst",
]  # fmt: skip
