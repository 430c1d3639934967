"""Trials: planned, shot block by block, read as often as one likes, pooled over players."""

from hoopwright.actions.trials.foretelling import foretell, foretold
from hoopwright.actions.trials.ideas import Idea, ideas_of_findings, trial_ideas
from hoopwright.actions.trials.planning import (
    TrialWish,
    extend_trial,
    plan_trial,
    remove_trial,
    stop_trial,
)
from hoopwright.actions.trials.pooling import GroupQuestion, GroupReading, group_questions, pooled
from hoopwright.actions.trials.reading import TrialReading, look_at_trial, looks_at, read_trial
from hoopwright.actions.trials.shooting import begin_block, finish_block
from hoopwright.actions.trials.views import (
    BlockView,
    TrialView,
    block_of,
    list_trials,
    trial_rows,
    view_trial,
)

__all__ = [
    "BlockView",
    "GroupQuestion",
    "GroupReading",
    "Idea",
    "TrialReading",
    "TrialView",
    "TrialWish",
    "begin_block",
    "block_of",
    "extend_trial",
    "finish_block",
    "foretell",
    "foretold",
    "group_questions",
    "ideas_of_findings",
    "list_trials",
    "look_at_trial",
    "looks_at",
    "plan_trial",
    "pooled",
    "read_trial",
    "remove_trial",
    "stop_trial",
    "trial_ideas",
    "trial_rows",
    "view_trial",
]
