"""The published MusicXML 4.0 schema, put together from installed packages without the network.

The schema text is W3C's MusicXML 4.0 (W3C Community Final Specification Agreement), carried by the
PyPI package ``musicxml``; the ``xml`` and ``xlink`` schemas that it imports are carried by the
package ``xmlschema``. Neither package is imported: only their files are read.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from lxml import etree


def package_folder(name: str) -> Path:
    """The folder of an installed package, without importing it."""
    spec = find_spec(name)
    assert spec is not None, f"the package {name} is not installed"
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0])


class _Imports(etree.Resolver):
    """Answers the two addresses that the schema imports from files on this machine."""

    def resolve(self, system_url: str, public_id: str, context: object) -> object:
        schemas = package_folder("xmlschema") / "schemas"
        files = {
            "xml.xsd": schemas / "XML" / "xml.xsd",
            "xlink.xsd": schemas / "XLINK" / "xlink.xsd",
        }
        name = system_url.rpartition("/")[2]
        return self.resolve_filename(str(files[name]), context) if name in files else None


@lru_cache(maxsize=1)
def musicxml_4_0() -> etree.XMLSchema:
    """MusicXML 4.0 as a schema to validate against."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Imports())
    file = package_folder("musicxml") / "generate_classes" / "musicxml_4_0.xsd"
    # Parsed from bytes with a neutral address, so that imports resolve by name and nothing else.
    tree = etree.fromstring(file.read_bytes(), parser, base_url="http://www.musicxml.org/xsd/")
    return etree.XMLSchema(tree)
