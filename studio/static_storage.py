"""Static files under names that carry a hash of their content."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

_, _ALL_IMPORTS = CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns


class StudioStaticStorage(CompressedManifestStaticFilesStorage):
    """Also rewrites the imports inside our own ES modules, so that a release is never half old.

    Libraries' scripts are left alone: some import modules that they do not ship. So are types that
    our modules name in comments as ``import("./x.js").Type``: these are no imports.
    """

    support_js_module_import_aggregation = True
    _js_module_import_aggregation_patterns = (
        "js/*.js",
        tuple(way for way in _ALL_IMPORTS if r"import\(" not in way[0]),
    )
    # A pass for each module on the longest chain of imports; Django's five are too few.
    max_post_process_passes = 20
