"""One XML part of a workbook, read as a stream of elements: no tree is built, whatever a hostile part holds."""

from collections.abc import Callable
from typing import IO
from xml.parsers import expat

from inventory.sheets.parts import Clock, SheetRefused

CHUNK = 1 << 16
LONGEST_TEXT = 40_000  # of one element; a cell of a spreadsheet holds 32,767 signs


def walk(
    part: IO[bytes],
    clock: Clock,
    begin: Callable[[str, dict[str, str]], None],
    end: Callable[[str, str], None],
) -> None:
    """Calls begin(name, attributes) and end(name, text) for each element; names without their namespace, `text` what
    stood in the element since its last child. SheetRefused for broken XML, and for a document type, which no
    spreadsheet writes and which could make a small part unfold to gigabytes.
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    text: list[str] = []

    def on_begin(name, attributes):
        text.clear()
        begin(name.rpartition(" ")[2], {key.rpartition(" ")[2]: value for key, value in attributes.items()})

    def on_end(name):
        end(name.rpartition(" ")[2], "".join(text)[:LONGEST_TEXT])
        text.clear()

    def on_doctype(*_):
        raise SheetRefused("The file holds a document type, as no spreadsheet writes it. Save it anew as XLSX.")

    parser.StartElementHandler, parser.EndElementHandler = on_begin, on_end
    parser.CharacterDataHandler, parser.StartDoctypeDeclHandler = text.append, on_doctype
    try:
        while chunk := part.read(CHUNK):
            clock.check()
            parser.Parse(chunk)
        parser.Parse(b"", True)
    except expat.ExpatError:
        raise damaged() from None


def damaged() -> SheetRefused:
    return SheetRefused("The file is damaged and cannot be read. Save it anew from the spreadsheet as XLSX or CSV.")
