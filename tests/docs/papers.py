"""The generated papers and what is in them."""

from __future__ import annotations

import json
from pathlib import Path

from patterns.shop.shapes_models import shapes_schema
from tests.docs.module_table import with_module_tables
from tests.docs.shapes_page import shapes_page

__all__ = ["ROOT", "SCHEMA", "papers"]

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "patterns" / "shop" / "shapes.schema.json"


def papers() -> dict[Path, str]:
    """Every generated file with its text as it must be."""
    developers = ROOT / "DEVELOPERS.md"
    return {
        developers: with_module_tables(developers.read_text(encoding="utf-8")),
        SCHEMA: json.dumps(shapes_schema(), indent=1, ensure_ascii=False) + "\n",
        SCHEMA.with_name("shapes.md"): shapes_page(),
    }
