from production.models.burn import BurnCycle, BurnSample, BurnTest
from production.models.carousel import Carousel, DayOff, FrameKind, WorkingDay
from production.models.cost import CostFigures
from production.models.figures import FloorFigures
from production.models.found_later import FoundLater
from production.models.frame import Frame, GaugeReading, HungFor
from production.models.grading import GradedFault, Grading, WickEnds
from production.models.plan import ChangeOver, DipPlan, PlannedFor, PlannedFrame, PlanPin, PlanSearch
from production.models.recipe import Recipe, Stage
from production.models.run import DipRun, RunFrame, Step
from production.models.use import FrameUse, Remelt
from production.models.vat import FloorCheck, Vat, VatReading, WaxHeat
from production.models.want import Want

__all__ = [
    "BurnCycle",
    "BurnSample",
    "BurnTest",
    "Carousel",
    "ChangeOver",
    "CostFigures",
    "DayOff",
    "DipPlan",
    "DipRun",
    "FloorCheck",
    "FloorFigures",
    "FoundLater",
    "Frame",
    "FrameKind",
    "FrameUse",
    "GaugeReading",
    "GradedFault",
    "Grading",
    "HungFor",
    "PlanPin",
    "PlanSearch",
    "PlannedFor",
    "PlannedFrame",
    "Recipe",
    "Remelt",
    "RunFrame",
    "Stage",
    "Step",
    "Vat",
    "VatReading",
    "Want",
    "WaxHeat",
    "WickEnds",
    "WorkingDay",
]
