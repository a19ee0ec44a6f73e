"""The ready jobs by name: all of them, and those whose joint is a mortise and tenon."""

from __future__ import annotations

from generator.job.load import load_job
from generator.job.model.joint import JointKind
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop

READY = [preset.name for preset in list_presets(PresetKind.JOBS)]
WITH_TENON = [name for name in READY if load_job(name, Shop()).joint.kind is JointKind.MORTISE_TENON]
