"""How long tests let the planner look: long enough for a week that keeps every rule, not for the best one."""

from plans.domain.planner.solving import Effort

QUICK = Effort(first=0.8, a_round=0.1, rounds=2, splits=1, most=1.0)
