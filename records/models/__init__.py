"""The record's tables, one file per subject."""

from records.models import ledger as ledger  # modules only, so that Django registers them
from records.models import log as log
from records.models.accounts import Token, User
from records.models.bob_weights import BobWeight, BobWeightCard, CardSource
from records.models.builds import (
    Build,
    BuildCylinder,
    BuildDetail,
    BuildFixture,
    Fitment,
    FitmentEnd,
    Match,
)
from records.models.calibration_files import CalibrationFile
from records.models.check_weights import CheckWeightCertificate
from records.models.checklist import ChecklistAnswer
from records.models.findings import Disposition, Finding
from records.models.gauge_studies import (
    GaugeReading,
    GaugeReadingCorrection,
    GaugeStudy,
    GaugeStudyEnd,
    GaugeTurn,
)
from records.models.outbox import OutboxTask
from records.models.parts import AllowanceRuling, DamperRating, IntakeNote, Part
from records.models.people import (
    Customer,
    CustomerContact,
    Person,
    PersonContact,
    PersonEnd,
    RoleEnd,
    RoleGrant,
)
from records.models.progress import TaskProgress
from records.models.recalls import (
    CustomerNotice,
    Recall,
    RecallCase,
    RecallClearing,
    RecallItem,
    RecallPart,
)
from records.models.releases import Certificate, CertificateState, EngineSeal, Release
from records.models.removals import (
    Removal,
    RemovalClose,
    RemovalCorrection,
    RemovalPass,
    RemovalZone,
)
from records.models.scale_events import ScaleEvent
from records.models.scales import (
    Calibration,
    CalibrationPoint,
    CalibrationRepeatability,
    CheckWeight,
    Scale,
    ScaleCheck,
    ScaleCheckLoad,
    ScaleStep,
)
from records.models.shop import (
    BalanceRule,
    Checklist,
    ChecklistQuestion,
    RodFixture,
    ShopSettings,
    ToleranceClass,
)
from records.models.specs import PartSpec, Zone
from records.models.weighings import Reading, SetMember, Weighing, WeighingCorrection

__all__ = [
    "AllowanceRuling",
    "BalanceRule",
    "BobWeight",
    "BobWeightCard",
    "Build",
    "BuildCylinder",
    "BuildDetail",
    "BuildFixture",
    "Calibration",
    "CalibrationFile",
    "CalibrationPoint",
    "CalibrationRepeatability",
    "CardSource",
    "Certificate",
    "CertificateState",
    "CheckWeight",
    "CheckWeightCertificate",
    "Checklist",
    "ChecklistAnswer",
    "ChecklistQuestion",
    "Customer",
    "CustomerContact",
    "CustomerNotice",
    "DamperRating",
    "Disposition",
    "EngineSeal",
    "Finding",
    "Fitment",
    "FitmentEnd",
    "GaugeReading",
    "GaugeReadingCorrection",
    "GaugeStudy",
    "GaugeStudyEnd",
    "GaugeTurn",
    "IntakeNote",
    "Match",
    "OutboxTask",
    "Part",
    "PartSpec",
    "Person",
    "PersonContact",
    "PersonEnd",
    "Reading",
    "Recall",
    "RecallCase",
    "RecallClearing",
    "RecallItem",
    "RecallPart",
    "Release",
    "Removal",
    "RemovalClose",
    "RemovalCorrection",
    "RemovalPass",
    "RemovalZone",
    "RodFixture",
    "RoleEnd",
    "RoleGrant",
    "Scale",
    "ScaleCheck",
    "ScaleCheckLoad",
    "ScaleEvent",
    "ScaleStep",
    "SetMember",
    "ShopSettings",
    "TaskProgress",
    "Token",
    "ToleranceClass",
    "User",
    "Weighing",
    "WeighingCorrection",
    "Zone",
]
