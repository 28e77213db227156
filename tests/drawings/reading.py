"""Reads drawings back: parsed SVG, its texts, its elements by class or data attribute."""

from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
Node = ElementTree.Element


def parsed(svg: str) -> Node:
    return ElementTree.fromstring(svg)


def tag(node: Node) -> str:
    return node.tag.removeprefix(SVG)


def by_class(root: Node, name: str) -> list[Node]:
    return [node for node in root.iter() if name in node.get("class", "").split()]


def by_tag(root: Node, name: str) -> list[Node]:
    return list(root.iter(SVG + name))


def texts(root: Node) -> list[str]:
    return [node.text or "" for node in by_tag(root, "text")]


def all_words(root: Node) -> str:
    """What is written in the picture itself, without title and desc, line breaks undone."""
    return " ".join(texts(root))


def said(root: Node) -> str:
    return root.findtext(f"{SVG}desc") or ""


def numbers(node: Node, *names: str) -> list[float]:
    return [float(node.attrib[name]) for name in names]
