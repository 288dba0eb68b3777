"""Which signs a text may hold where it becomes XML: in a workbook, in an e-invoice. No Django."""

import re

# All that XML 1.0 (2.2, Characters) leaves out: control signs but tab and line ends, half signs, two that are none.
# A spreadsheet's or a word processor's soft line break is one of them, and comes along when a cell is pasted.
NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def for_xml(text: str) -> str:
    """The text with a blank in place of each sign that XML cannot hold."""
    return NOT_IN_XML.sub(" ", text)
