"""What may be said of a defect, of a decision, and of the shop's gauges?"""

from travelers.quality.forms.charts import AnswerSignalForm, AskedForm, BaseForm
from travelers.quality.forms.containing import ContainForm, LetGoForm
from travelers.quality.forms.defects import (
    DecisionForm,
    DefectForm,
    Place,
    VerificationForm,
    touched_place,
)
from travelers.quality.forms.gauges import GaugeBackForm, GaugeBadForm, OverdueForm
from travelers.quality.forms.pareto import ParetoForm
from travelers.quality.forms.photos import photos_in
from travelers.quality.forms.shared_causes import CommonForm
from travelers.quality.forms.studies import (
    CallOffForm,
    StudyForm,
    StudyPartForm,
    StudyValueForm,
    TakeBackForm,
)

__all__ = [
    "AnswerSignalForm",
    "AskedForm",
    "BaseForm",
    "CallOffForm",
    "CommonForm",
    "ContainForm",
    "DecisionForm",
    "DefectForm",
    "GaugeBackForm",
    "GaugeBadForm",
    "LetGoForm",
    "OverdueForm",
    "ParetoForm",
    "Place",
    "StudyForm",
    "StudyPartForm",
    "StudyValueForm",
    "TakeBackForm",
    "VerificationForm",
    "photos_in",
    "touched_place",
]
