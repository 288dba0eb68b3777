"""Elements of an XML document, written top down: `under(parent)` gives a writer that leaves out what is empty."""

from collections.abc import Mapping

from lxml import etree

from inventory.signs import for_xml


class Writer:
    """Writes children of one element by prefixed name, "cbc:ID", in the order of the calls, which is the schema's."""

    def __init__(self, element: etree._Element, names: Mapping[str, str]):
        self.element, self.names = element, names

    @classmethod
    def root(cls, name: str, names: Mapping[str, str], default: str | None = None) -> "Writer":
        spaces = {**names, None: default} if default else dict(names)
        tag = f"{{{default}}}{name}" if default else cls.tag_of(name, names)
        return cls(etree.Element(tag, nsmap=spaces), names)

    @staticmethod
    def tag_of(name: str, names: Mapping[str, str]) -> str:
        prefix, local = name.split(":")
        return f"{{{names[prefix]}}}{local}"

    def put(self, name: str, text, **attributes: str) -> None:
        """The element with this text; none at all where there is no text."""
        if text is None or text == "":
            return
        child = etree.SubElement(self.element, self.tag_of(name, self.names), attributes)
        child.text = for_xml(str(text))

    def open(self, name: str) -> "Writer":
        """An element to write into; path "cac:Party/cac:PartyName" opens one in the other."""
        element = self.element
        for step in name.split("/"):
            element = etree.SubElement(element, self.tag_of(step, self.names))
        return Writer(element, self.names)

    def bytes(self) -> bytes:
        return etree.tostring(self.element, xml_declaration=True, encoding="UTF-8", pretty_print=True)
