"""The record's tables, one file per subject."""

from records.models import ledger as ledger  # a module only, so that Django registers it
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
from records.models.checklist import ChecklistAnswer
from records.models.findings import Disposition, Finding
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
from records.models.releases import Certificate, CertificateState, EngineSeal, Release
from records.models.removals import (
    Removal,
    RemovalClose,
    RemovalCorrection,
    RemovalPass,
    RemovalZone,
)
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
    "CalibrationPoint",
    "CalibrationRepeatability",
    "CardSource",
    "Certificate",
    "CertificateState",
    "CheckWeight",
    "Checklist",
    "ChecklistAnswer",
    "ChecklistQuestion",
    "Customer",
    "CustomerContact",
    "DamperRating",
    "Disposition",
    "EngineSeal",
    "Finding",
    "Fitment",
    "FitmentEnd",
    "IntakeNote",
    "Match",
    "OutboxTask",
    "Part",
    "PartSpec",
    "Person",
    "PersonContact",
    "PersonEnd",
    "Reading",
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
    "ScaleStep",
    "SetMember",
    "ShopSettings",
    "Token",
    "ToleranceClass",
    "User",
    "Weighing",
    "WeighingCorrection",
    "Zone",
]
