"""The rules of EN 16931 as CEN/TC 434 publishes them, run by Saxon: the judge of our own rules.

Source and licence of the stylesheet: published/NOTICE.
"""

import gzip
import os
from functools import lru_cache
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import fromstring

import pytest

SHEET = Path(__file__).parent / "published" / "CEN-EN16931-UBL.xslt.gz"
SVRL = {"svrl": "http://purl.oclc.org/dsdl/svrl"}

if "CI" not in os.environ:  # where CI runs, a machine without Saxon fails; elsewhere its tests are skipped
    pytest.importorskip("saxonche")


class Unreadable(Exception):
    """The rules stop at a text that is no number, no truth value."""


@lru_cache(maxsize=1)
def _judge() -> tuple[Any, Any]:
    """Saxon and the compiled rules; made once, for it takes seconds."""
    from saxonche import PySaxonProcessor

    saxon = PySaxonProcessor(license=False)
    sheet = gzip.decompress(SHEET.read_bytes()).decode()
    return saxon, saxon.new_xslt30_processor().compile_stylesheet(stylesheet_text=sheet)


def official(content: bytes) -> dict[str, str]:
    """The published rules that a UBL document breaks: what each says, by its code; empty where none."""
    from saxonche import PySaxonApiError

    saxon, rules = _judge()
    node = saxon.parse_xml(xml_text=content.decode())
    try:
        told = fromstring(rules.transform_to_string(xdm_node=node))
    except PySaxonApiError as wrong:
        raise Unreadable(str(wrong)[:200]) from wrong
    return {
        failed.get("id", ""): "".join(failed.itertext()).strip()
        for failed in told.iterfind(".//svrl:failed-assert", SVRL)
    }
