"""What would the rules answer to a wish, with what has been noted so far?"""

from collections.abc import Callable
from datetime import datetime

from travelers.floor.queries.benches import notes_of
from travelers.floor.rules.bench import StepNow
from travelers.floor.rules.facts import Facts, Notes, needs_notes
from travelers.floor.rules.machine import Outcome, Wish, judge
from travelers.kit.refusals import Refusal
from travelers.routes.rules import Line


def judge_step(
    *,
    wish: Wish,
    step: StepNow,
    line: Line,
    facts_with: Callable[[Notes], Facts],
    at: datetime,
    untouched: bool = False,
) -> tuple[Refusal | Outcome, Notes]:
    """Judge a wish; the button and the verb both ask here.

    1. Read the notes of the step only where they count, which spares most scans
       a query.
    2. A gate that somebody may let pass is asked about again with the notes, since
       it may have been let pass already.

    ``untouched`` says that nothing can have been noted of the step yet.
    """
    reads = needs_notes(wish, line)
    notes = notes_of(step_id=step.id) if reads else Notes()
    answer = judge(facts_with(notes), wish, at)
    may_pass = isinstance(answer, Refusal) and bool(answer.may_allow)
    if may_pass and not reads and not untouched:
        notes = notes_of(step_id=step.id)
        answer = judge(facts_with(notes), wish, at)
    return answer, notes
